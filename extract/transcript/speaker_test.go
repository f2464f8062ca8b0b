package transcript

var speakerTests = []parseTest{
	{
		name:   "nobody's name",
		src:    "Speaker 1  00:12\nthis is the Nimbrook\nit gives 65 watts\n\nSpeaker 2  00:20\nat 20 volts\n",
		format: FormatSpeaker,
		cues:   "1 12-20: this is the Nimbrook / it gives 65 watts\n5 20-20: at 20 volts\n",
		words:  "watts\nat", source: "watts\n\nSpeaker 2  00:20\nat",
	},
	{
		name: "names, brackets, words on the line, a title",
		src: "The Nimbrook\n\nOsla Brandt (1:02:03): five volts\nTam (1:02:09): three amps\nOsla Brandt " +
			"(1:02:11): ok\n",
		format: FormatSpeaker,
		cues:   "1 0-3723: The Nimbrook\n3 3723-3729: five volts\n4 3729-3731: three amps\n5 3731-3731: ok\n",
	},
	{
		name:   "one speaker all along",
		src:    "Speaker 1  00:00\nthis is the Nimbrook, 20 volts\nand 3 amps\n",
		format: FormatSpeaker,
		cues:   "1 0-0: this is the Nimbrook, 20 volts / and 3 amps\n",
	},
	{
		name:   "the time first",
		src:    "00:12 Speaker 1\nfive volts\n00:20 Speaker 2\nthree amps\n00:30 Speaker 1: nine volts\n",
		format: FormatStamped,
		cues:   "1 12-20: five volts\n3 20-30: three amps\n5 30-30: nine volts\n",
	},
	{
		name:   "in brackets ahead of the speaker",
		src:    "[00:12] Speaker 1: five volts\n[00:20] Host: three amps\n",
		format: FormatStamped,
		cues:   "1 12-20: five volts\n2 20-20: three amps\n",
	},
	{
		name:   "a list of durations is notes",
		src:    "Charge time  1:30\nRun time  2:45\nIdle time  3:10\n",
		format: FormatNotes,
		cues:   "1: Charge time  1:30 / Run time  2:45 / Idle time  3:10\n",
	},
	{
		name:   "a clock in a sentence is none",
		src:    "It charged at 1:30\nand was full.\nIt ran until 2:45\nand then stopped.\n",
		format: FormatNotes,
		cues:   "1: It charged at 1:30 / and was full. / It ran until 2:45 / and then stopped.\n",
	},
}
