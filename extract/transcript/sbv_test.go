package transcript

var sbvTests = []parseTest{
	{
		name: "plain",
		src: "0:00:00.599,0:00:04.160\nthe Nimbrook draws\n65 watts\n\n" +
			"0:00:04.160,0:00:06.770\nat 20 volts\n",
		format: FormatSBV,
		cues:   "1 0.599-4.16: the Nimbrook draws / 65 watts\n5 4.16-6.77: at 20 volts\n",
		words:  "watts\nat", source: "watts\n\n0:00:04.160,0:00:06.770\nat",
	},
	{
		name: "SubViewer with a head and line breaks",
		src: "[INFORMATION]\r\n[TITLE]Nimbrook\r\n[END INFORMATION]\r\n[SUBTITLE]\r\n" +
			"00:04:35.03,00:04:38.82\r\nfive volts[br]3 amps\r\n\r\n",
		format: FormatSBV,
		cues:   "5 275.03-278.82: five volts / 3 amps\n",
		words:  "volts\n3", source: "volts[br]3",
	},
	{
		name:     "blank line inside a cue, words ahead",
		src:      "by Osla\n0:00:01.000,0:00:02.000\nfive\n\nvolts\n0:00:02.000,0:00:03.000\nthree amps",
		format:   FormatSBV,
		cues:     "2 1-2: five / volts\n6 2-3: three amps\n",
		problems: "1:1 text outside any cue\n5:1 blank line inside a cue or missing between two cues\n",
	},
	{
		name:   "a cue without words",
		src:    "0:00:01.000,0:00:02.000\n\n0:00:02.000,0:00:03.000\nthree amps\n",
		format: FormatSBV,
		cues:   "1 1-2: \n3 2-3: three amps\n",
	},
}
