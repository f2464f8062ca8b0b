package transcript

var stampedTests = []parseTest{
	{
		name:   "brackets",
		src:    "[0:00] the Nimbrook\n[0:19] sixty five watts\nat twenty volts\n\n[1:02:03] done\n",
		format: FormatStamped,
		cues:   "1 0-19: the Nimbrook\n2 19-3723: sixty five watts / at twenty volts\n5 3723-3723: done\n",
		words:  "twenty volts", source: "twenty volts",
	},
	{
		name:   "one bracket opens the file",
		src:    "[0:00] the Nimbrook draws 3:25 amps",
		format: FormatStamped,
		cues:   "1 0-0: the Nimbrook draws 3:25 amps\n",
	},
	{
		name:   "parentheses",
		src:    "(0:05) one\n(0:09) two\n(0:12) three",
		format: FormatStamped,
		cues:   "1 5-9: one\n2 9-12: two\n3 12-12: three\n",
	},
	{
		name:   "bare with hours",
		src:    "0:00:01 one\n0:00:05 two\n0:01:00 three",
		format: FormatStamped,
		cues:   "1 1-5: one\n2 5-60: two\n3 60-60: three\n",
	},
	{
		name:   "dashes and colons",
		src:    "0:01 - five volts\n0:04 – two amps\n0:09: -5 degrees\n0:12 -5 again",
		format: FormatStamped,
		cues:   "1 1-4: five volts\n2 4-9: two amps\n3 9-12: -5 degrees\n4 12-12: -5 again\n",
	},
	{
		name:   "a time on a line of its own",
		src:    "0:00\nthe Nimbrook\nit is grey\n0:19\nsixty five watts\n\nand more\n1:10\ndone",
		format: FormatStamped,
		cues:   "1 0-19: the Nimbrook / it is grey\n4 19-70: sixty five watts /  / and more\n8 70-70: done\n",
	},
	{
		name:   "ranges and words ahead",
		src:    "Bench talk\n[0:01 - 0:03] one\n[0:05 --> 0:06.5] two",
		format: FormatStamped,
		cues:   "1 0-1: Bench talk\n2 1-3: one\n3 5-6.5: two\n",
	},
	{
		name:   "a garbled value at the head of a line is no stamp",
		src:    "0:01 it runs at\n0:04 twenty volts and\n3:25 amps which is\n0:09 sixty five watts\n0:12 done",
		format: FormatStamped,
		cues: "1 1-4: it runs at\n2 4-9: twenty volts and / 3:25 amps which is\n4 9-12: sixty five watts\n5 " +
			"12-12: done\n",
		problems: "3:1 a time out of line with its neighbours, read as words\n",
	},
	{
		name:   "pasted as a single line",
		src:    "[0:00] the Nimbrook [0:04] draws [3 to 4] amps [0:02] or so [0:09]  done",
		format: FormatStamped,
		cues:   "1 0-4: the Nimbrook\n1 4-9: draws [3 to 4] amps [0:02] or so\n1 9-9: done\n",
		words:  "Nimbrook\ndraws", source: "Nimbrook [0:04] draws",
	},
}
