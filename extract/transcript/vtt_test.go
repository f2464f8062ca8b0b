package transcript

var vttTests = []parseTest{
	{
		name: "plain",
		src: "WEBVTT\n\n00:01.000 --> 00:02.500\nthe Nimbrook draws\nsixty five watts\n\n00:02.500 --> " +
			"00:04.000\nat twenty volts\n",
		format: FormatVTT,
		cues:   "3 1-2.5: the Nimbrook draws / sixty five watts\n7 2.5-4: at twenty volts\n",
		words:  "watts\nat twenty", source: "watts\n\n00:02.500 --> 00:04.000\nat twenty",
	},
	{
		name: "header lines, notes, style, region, ids, settings",
		src: "WEBVTT - bench talk\nKind: captions\nLanguage: en\n\nSTYLE\n::cue { color: lime }\n\nREGION\nid:low\n\n" +
			"NOTE checked by Osla\nand again\n\nopening\n01:00:00.000 --> 01:00:01.000 align:start line:90%\nfive volts\n\nNOTE\n\n2\n01:00:01.000 --> 01:00:02.000\nthree amps",
		format: FormatVTT,
		cues:   "15 #opening 3600-3601: five volts\n21 #2 3601-3602: three amps\n",
	},
	{
		name: "tags and references",
		src: "WEBVTT\n\n00:01.000 --> 00:02.000\n<v Osla Vennik>R&amp;D says <b>3.25</b>&nbsp;amps</v> " +
			"<c.low.x>or</c> <i>so</i>",
		format: FormatVTT,
		cues:   "3 1-2: R&D says 3.25\u00a0amps or so\n",
		words:  "3.25\u00a0amps", source: "3.25</b>&nbsp;amps",
	},
	{
		name:   "ruby and language",
		src:    "WEBVTT\n\n00:01.000 --> 00:02.000\n<lang nl>accu</lang> <ruby>A<rt>amp</rt></ruby>",
		format: FormatVTT,
		cues:   "3 1-2: accu Aamp\n",
	},
	{
		name: "a stray less-than keeps its words",
		src: "WEBVTT\n\n00:01.000 --> 00:02.000\nit drew <5 watts idle\n\n00:02.000 --> 00:03.000\n<i now five " +
			"volts\n",
		format:   FormatVTT,
		cues:     "3 1-2: it drew <5 watts idle\n6 2-3:  now five volts\n",
		problems: "4:9 stray < or tag never closed\n7:1 stray < or tag never closed\n",
		words:    "<5 watts", source: "<5 watts",
	},
	{
		name:     "less-than before a real tag",
		src:      "WEBVTT\n\n00:01.000 --> 00:02.000\nbelow < 5 volts and <b>falling</b>",
		format:   FormatVTT,
		cues:     "3 1-2: below < 5 volts and falling\n",
		problems: "4:7 stray < or tag never closed\n",
	},
	{
		name:   "CR only, CRLF, mixed",
		src:    "WEBVTT\r\r00:01.000 --> 00:02.000\rfive\rvolts\r\n\r\n00:02.000 --> 00:03.000\r\ntwo\namps\n",
		format: FormatVTT,
		cues:   "3 1-2: five / volts\n7 2-3: two / amps\n",
		words:  "five\nvolts", source: "five\rvolts",
	},
	{
		name:   "NUL is a replacement character",
		src:    "WEBVTT\n\n00:01.000 --> 00:02.000\nfive\x00volts now",
		format: FormatVTT,
		cues:   "3 1-2: five\ufffdvolts now\n",
		words:  "\ufffdvolts", source: "\x00volts",
	},
	{
		name: "bad times lose no words",
		src: "WEBVTT\n\n00:01.000 --> 00:02.000\none\n\n00:02,000 --> 00:03,000\ntwo\n\nhalf past --> " +
			"three\nthree\n\n" +
			"00:05.000 --> soon\nfour\n\n00:07.000 --> 00:06.000\nfive\n",
		format: FormatVTT,
		cues:   "3 1-2: one\n6 2-3: two\n9 3-3: three\n12 5-5: four\n15 7-6: five\n",
		problems: "6:1 unreadable or irregular cue time\n9:1 unreadable or irregular cue time\n" +
			"12:1 unreadable or irregular cue time\n15:1 the cue ends before it starts\n",
	},
	{
		name:     "blank line inside a cue, text before the first",
		src:      "WEBVTT\n\nleft over\n\n00:01.000 --> 00:02.000\none\n\ntwo\n\n00:03.000 --> 00:04.000\nthree",
		format:   FormatVTT,
		cues:     "5 1-2: one / two\n10 3-4: three\n",
		problems: "3:1 text outside any cue\n8:1 blank line inside a cue or missing between two cues\n",
	},
	{
		name:     "signature in the wrong case, after a blank line",
		src:      "\nwebvtt\n\n00:01.000 --> 00:02.000\none",
		format:   FormatVTT,
		cues:     "4 1-2: one\n",
		problems: "2:1 the WEBVTT signature is not as the standard wants it\n",
	},
	{
		name: "unsorted and overlapping",
		src: "WEBVTT\n\n00:05.000 --> 00:06.000\none\n\n00:01.000 --> 00:02.000\ntwo\n\n00:01.500 --> " +
			"00:03.000\nthree",
		format:   FormatVTT,
		cues:     "3 5-6: one\n6 1-2: two\n9 1.5-3: three\n",
		problems: "6:1 the cue starts before the one ahead of it\n9:1 the cue starts before the one ahead of it ends\n",
	},
	{
		name:     "no cue",
		src:      "WEBVTT\n\nNOTE nothing yet\n",
		format:   FormatVTT,
		problems: "0:0 no cue in the file\n",
	},
	{
		name:     "no words",
		src:      "WEBVTT\n\n00:01.000 --> 00:02.000\n \n",
		format:   FormatVTT,
		cues:     "3 1-2: \n",
		problems: "0:0 no words in the file\n",
	},
	{
		name:     "word times outside their cue",
		src:      "WEBVTT\n\n00:01.000 --> 00:02.000\none <00:09.000>two",
		format:   FormatVTT,
		cues:     "3 1-2: one two\n",
		problems: "3:1 word time outside its cue or out of order\n",
	},
	{
		name: "blank line missing before a numbered cue",
		src: "WEBVTT\n\n1\n00:01.000 --> 00:02.000\nfive\n2\n00:02.000 --> 00:03.000\nit shows\n7\n00:03.000 " +
			"--> 00:04.000\nvolts",
		format:   FormatVTT,
		cues:     "4 #1 1-2: five\n7 #2 2-3: it shows / 7\n10 3-4: volts\n",
		problems: "6:1 blank line inside a cue or missing between two cues\n",
	},
	{
		name:     "a stray block that runs up against times",
		src:      "WEBVTT\n\n00:01.000 --> 00:02.000\nfive\n\nvolts and\ntwo\n00:02.000 --> 00:03.000\namps",
		format:   FormatVTT,
		cues:     "3 1-2: five / volts and / two\n8 2-3: amps\n",
		problems: "6:1 blank line inside a cue or missing between two cues\n",
	},
}
