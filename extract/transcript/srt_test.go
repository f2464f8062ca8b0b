package transcript

var srtTests = []parseTest{
	{
		name: "plain",
		src: "1\n00:00:01,000 --> 00:00:02,500\nthe Nimbrook draws\nsixty five watts\n\n2\n00:00:02,500 --> " +
			"00:00:04,000\nat twenty volts\n",
		format: FormatSRT,
		cues:   "2 #1 1-2.5: the Nimbrook draws / sixty five watts\n7 #2 2.5-4: at twenty volts\n",
		words:  "watts\nat", source: "watts\n\n2\n00:00:02,500 --> 00:00:04,000\nat",
	},
	{
		name:   "byte order mark and CRLF",
		src:    "\ufeff1\r\n00:00:01,000 --> 00:00:02,500\r\nfive volts\r\nthree amps\r\n\r\n",
		format: FormatSRT,
		cues:   "2 #1 1-2.5: five volts / three amps\n",
		words:  "volts\nthree", source: "volts\r\nthree",
	},
	{
		name:   "CR only",
		src:    "1\r00:00:01,000 --> 00:00:02,500\rfive volts\r\r2\r00:00:03,000 --> 00:00:04,000\rthree amps\r",
		format: FormatSRT,
		cues:   "2 #1 1-2.5: five volts\n6 #2 3-4: three amps\n",
	},
	{
		name:   "dots, short hours, place of the caption",
		src:    "1\n0:00:01.5 --> 0:00:02.25 X1:40 X2:600 Y1:20 Y2:50\nfive volts",
		format: FormatSRT,
		cues:   "2 #1 1.5-2.25: five volts\n",
	},
	{
		name:     "blank lines missing between cues",
		src:      "1\n00:00:01,000 --> 00:00:02,000\nfive volts\n2\n00:00:02,000 --> 00:00:03,000\nthree amps\n",
		format:   FormatSRT,
		cues:     "2 #1 1-2: five volts\n5 #2 2-3: three amps\n",
		problems: "4:1 blank line inside a cue or missing between two cues\n",
	},
	{
		name: "a display read out is no cue number",
		src: "1\n00:00:01,000 --> 00:00:02,000\nit shows\n5060\n\n2\n00:00:02,000 --> " +
			"00:00:03,000\n20\n\n3\n00:00:03,000 --> 00:00:04,000\nvolts",
		format: FormatSRT,
		cues:   "2 #1 1-2: it shows / 5060\n7 #2 2-3: 20\n11 #3 3-4: volts\n",
	},
	{
		name: "numbers missing",
		src: "1\n00:00:01,000 --> 00:00:02,000\none\n\n00:00:02,000 --> 00:00:03,000\ntwo\n\n3\n00:00:03,000 " +
			"--> 00:00:04,000\nthree",
		format:   FormatSRT,
		cues:     "2 #1 1-2: one\n5 2-3: two\n9 #3 3-4: three\n",
		problems: "5:1 cue number missing or stray\n",
	},
	{
		name:     "a stray number",
		src:      "1\n00:00:01,000 --> 00:00:02,000\none\n\n2\n\n3\n00:00:03,000 --> 00:00:04,000\nthree",
		format:   FormatSRT,
		cues:     "2 #1 1-2: one\n8 #3 3-4: three\n",
		problems: "5:1 cue number missing or stray\n",
	},
	{
		name: "no numbers at all",
		src: "00:00:01,000 --> 00:00:02,000\none\n\n00:00:02,000 --> 00:00:03,000\ntwo\n42\n\n00:00:03,000 --> " +
			"00:00:04,000\nthree",
		format: FormatSRT,
		cues:   "1 1-2: one\n4 2-3: two / 42\n8 3-4: three\n",
	},
	{
		name:     "blank line inside a cue",
		src:      "1\n00:00:01,000 --> 00:00:02,000\none\n\nstill one\n\n2\n00:00:03,000 --> 00:00:04,000\ntwo",
		format:   FormatSRT,
		cues:     "2 #1 1-2: one / still one\n8 #2 3-4: two\n",
		problems: "5:1 blank line inside a cue or missing between two cues\n",
	},
	{
		name: "tags and braces",
		src: "1\n00:00:01,000 --> 00:00:02,000\n{\\an8}<i>it drew</i> <font color=\"#00ff00\">3.25</font> &amp; " +
			"<5 A {net}\n",
		format: FormatSRT,
		cues:   "2 #1 1-2: it drew 3.25 & <5 A {net}\n",
		words:  "drew 3.25 &", source: "drew</i> <font color=\"#00ff00\">3.25</font> &amp;",
	},
	{
		name: "one bad cue",
		src: "1\n00:00:01,000 --> 00:00:02,000\none\n\n2\n00:0x:02,000 --> 00:00:03,000\ntwo\n\n3\n00:00:03,000 " +
			"--> 00:00:04,000\nthree",
		format:   FormatSRT,
		cues:     "2 #1 1-2: one\n6 #2 2-2: two\n10 #3 3-4: three\n",
		problems: "6:1 unreadable or irregular cue time\n",
	},
	{
		name:     "words before the first cue",
		src:      "bench talk\n\n1\n00:00:01,000 --> 00:00:02,000\none --> two",
		format:   FormatSRT,
		cues:     "4 #1 1-2: one --> two\n",
		problems: "1:1 text outside any cue\n",
	},
}
