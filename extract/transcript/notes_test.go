package transcript

var notesTests = []parseTest{
	{
		name:   "values that look like times",
		src:    "3:25 amps\nat 20 volts\n\n13:40 milliamp hours",
		format: FormatNotes,
		cues:   "1: 3:25 amps / at 20 volts\n4: 13:40 milliamp hours\n",
	},
	{
		name:   "rising values that look like times, far too slow for speech",
		src:    "3:25 amps\n5:20 volts\n9:10 volts\n20:15 watts",
		format: FormatNotes,
		cues:   "1: 3:25 amps / 5:20 volts / 9:10 volts / 20:15 watts\n",
	},
	{
		name: "Markdown",
		src: "# Nimbrook NB65 #\n\nDraws **3.25** A at `20 V`,\n_idle_ &lt; 50&nbsp;mW, ~5 V, 2*3, HX_65_T3.\n\n" +
			"- one\n* two\n- [x] three\n  more\n\n1. first\n2) second\n\n---\n> quoted\n",
		format: FormatNotes,
		cues: "1: Nimbrook NB65\n3: Draws 3.25 A at 20 V, / idle < 50\u00a0mW, ~5 V, 2*3, HX_65_T3.\n" +
			"6: one\n7: two\n8: three / more\n11: first\n12: second\n15: quoted\n",
		words: "3.25 A at 20 V", source: "3.25** A at `20 V",
	},
	{
		name:   "marks that are values",
		src:    "3. 25 amps\n\n-5 volts\n\n> 5 volts\n\n5 * 3",
		format: FormatNotes,
		cues:   "1: 3. 25 amps\n3: -5 volts\n5: > 5 volts\n7: 5 * 3\n",
	},
	{
		name:   "table",
		src:    "| Port | V | A |\n|------|--:|:-:|\n| C1 | 20 | 3.25 |\n| A  | 5  | 3 |\n",
		format: FormatNotes,
		cues:   "1: Port | V | A\n3: C1 | 20 | 3.25\n4: A  | 5  | 3\n",
		words:  "20 | 3.25", source: "20 | 3.25",
	},
	{
		name:   "links and escapes",
		src:    "see [the sheet](https://nimbrook.invalid/nb65) (page 3) \\*net",
		format: FormatNotes,
		cues:   "1: see [the sheet] (page 3) *net\n",
	},
	{
		name:   "an arrow alone makes no captions",
		src:    "20 V --> 5 V\nstep --> down",
		format: FormatNotes,
		cues:   "1: 20 V --> 5 V / step --> down\n",
	},
}
