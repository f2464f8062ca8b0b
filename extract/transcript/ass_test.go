package transcript

const assHead = "[Script Info]\nTitle: 20 volts\nScriptType: v4.00+\n\n[V4+ Styles]\n" +
	"Format: Name, Fontname, Fontsize\nStyle: Default,Arial,20\n\n[Events]\n" +
	"Format: Layer, Start, End, Style, Name, MarginL, MarginR, MarginV, Effect, Text\n"

var assTests = []parseTest{
	{
		name: "text events",
		src: assHead + "Dialogue: 0,0:00:01.00,0:00:02.50,Default,Osla,0,0,0,,so, this is{\\i1} the {\\i0}Nimbrook\n" +
			"Comment: 0,0:00:01.00,0:00:02.50,Default,,0,0,0,,12 volts\n" +
			"Dialogue: 0,0:00:02.50,0:00:04.00,Default,,0,0,0,,{check: 9 volts}20 volts\\Nat\\h3 amps\n",
		format: FormatASS,
		cues:   "11 1-2.5: so, this is the Nimbrook\n13 2.5-4: 20 volts / at 3 amps\n",
		words:  "volts\nat 3", source: `volts\Nat\h3`,
	},
	{
		name: "SubStation Alpha 4, other columns, CRLF",
		src: "[Script Info]\r\n; a script\r\n\r\n[Events]\r\nFormat: Marked, Start, End, Text\r\n" +
			"Dialogue: Marked=0,1:00:01.00,1:00:02.00,five volts, three amps\r\n",
		format: FormatASS,
		cues:   "6 3601-3602: five volts, three amps\n",
	},
	{
		name: "a drawing says nothing, syllables have times",
		src: "[Events]\nDialogue: 0,0:00:01.00,0:00:02.00,D,,0,0,0,,{\\p1}m 0 0 l 100 0 100 100{\\p0}\n" +
			"Dialogue: 0,0:00:02.00,0:00:04.00,D,,0,0,0,,{\\k50}five {\\k100}volts\n",
		format: FormatASS,
		cues:   "2 1-2: \n3 2-4: five volts\n",
		words:  "five volts", source: "five {\\k100}volts",
	},
	{
		name: "bad times and columns",
		src: "[Events]\nDialogue: 0,0:00:01.00,0:00:02.00,D,,0,0,0,,five\n" +
			"Dialogue: 0,soon,later,D,,0,0,0,,volts\nDialogue: 0,0:00:01.00\n",
		format:   FormatASS,
		cues:     "2 1-2: five\n3 2-2: volts\n",
		problems: "3:1 unreadable or irregular cue time\n4:1 unreadable or irregular cue time\n",
	},
	{
		name:     "a brace that never closes",
		src:      "Dialogue: 0,0:00:01.00,0:00:02.00,D,,0,0,0,,five {volts\n",
		format:   FormatASS,
		cues:     "1 1-2: five {volts\n",
		problems: "1:50 stray < or tag never closed\n",
	},
}
