package transcript

var tableTests = []parseTest{
	{
		name: "start, end, text",
		src: "start,end,text\n0:00:01.000,0:00:02.500,\"so, the " +
			"\"\"Nimbrook\"\"\ndraws\"\n0:00:02.500,0:00:04.000,65 watts\n",
		format: FormatTable,
		cues:   "2 1-2.5: so, the \"Nimbrook\" / draws\n4 2.5-4: 65 watts\n",
		words:  "\"Nimbrook\"\ndraws\n65", source: "\"\"Nimbrook\"\"\ndraws\"\n0:00:02.500,0:00:04.000,65",
	},
	{
		name:   "tabs, seconds, a duration, a column of speakers, CRLF",
		src:    "Start (s)\tDuration\tSpeaker\tTranscript\r\n0.5\t1.5\tOsla\tfive volts\r\n2\t2\tOsla\tthree amps\r\n",
		format: FormatTable,
		cues:   "2 0.5-2: five volts\n3 2-4: three amps\n",
	},
	{
		name:   "milliseconds known by the pace",
		src:    "start\tend\ttext\n0\t4000\tthis one gives 20 volts at 3 amps\n4000\t7000\tand nine volts too\n",
		format: FormatTable,
		cues:   "2 0-4: this one gives 20 volts at 3 amps\n3 4-7: and nine volts too\n",
	},
	{
		name:   "times only, semicolons, words first",
		src:    "Text;Time\nfive volts;0:05\n\nthree amps;0:09\n",
		format: FormatTable,
		cues:   "2 5-9: five volts\n4 9-9: three amps\n",
	},
	{
		name:   "no head",
		src:    "0.000000\t2.500000\tthis is the Nimbrook\n2.500000\t4.000000\t20 volts\n",
		format: FormatTable,
		cues:   "1 0-2.5: this is the Nimbrook\n2 2.5-4: 20 volts\n",
	},
	{
		name:   "commas in words without quotes, a row too short, a bad time",
		src:    "start,end,text\n0:01,0:02,well, five volts\n0:02\nsoon,0:04,three amps\n",
		format: FormatTable,
		cues:   "2 1-2: well, five volts\n3 2-2: \n4 2-2: three amps\n",
		problems: "2:1 a row with more or fewer cells than the head of the table\n3:1 a row with more or fewer cells " +
			"than the head of the table\n4:1 unreadable or irregular cue time\n",
	},
	{
		name:   "a table of levels is notes",
		src:    "port,volts,amps\nUSB-C,5,3\nUSB-C,9,3\n",
		format: FormatNotes,
		cues:   "1: port,volts,amps / USB-C,5,3 / USB-C,9,3\n",
	},
}
