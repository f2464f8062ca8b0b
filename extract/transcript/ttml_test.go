package transcript

const ttmlHead = `<?xml version="1.0" encoding="UTF-8"?>
<tt xmlns="http://www.w3.org/ns/ttml" xmlns:ttp="http://www.w3.org/ns/ttml#parameter" ttp:frameRate="25" ttp:tickRate="1000">
<head><metadata><title>not said</title></metadata></head>
`

var ttmlTests = []parseTest{
	{
		name: "clock times, breaks, spans, references",
		src: ttmlHead + `<body><div><p xml:id="a" begin="00:00:01.000" end="00:00:02.500">it draws<br/>
   <span>3.25</span> &lt; &#52;&#xA0;amps</p></div></body></tt>`,
		format: FormatTTML,
		cues:   "4 #a 1-2.5: it draws / 3.25 < 4\u00a0amps\n",
		words:  "3.25 < 4", source: "3.25</span> &lt; &#52;",
	},
	{
		name: "every time expression",
		src: ttmlHead + `<body><div><p begin="00:00:01:05" end="00:00:02:20">a</p><p begin="2s" dur="500ms">b</p>` +
			`<p begin="75f" end="100f">c</p><p begin="4500t" end="5s">d</p><p begin="0.1m" dur="0.001h">e</p></div></body></tt>`,
		format: FormatTTML,
		cues:   "4 1.2-2.8: a\n4 2-2.5: b\n4 3-4: c\n4 4.5-5: d\n4 6-9.6: e\n",
		// the first ends at 2.8 s, the second starts at 2 s
		problems: "4:58 the cue starts before the one ahead of it ends\n",
	},
	{
		name: "times add up through containers",
		src: ttmlHead + `<body begin="10s"><div begin="5s"><p begin="1s" end="2s">a</p></div>` +
			`<div begin="20s" timeContainer="seq"><p dur="2s">b</p><p begin="1s" dur="3s">c</p></div></body></tt>`,
		format: FormatTTML,
		cues:   "4 16-17: a\n4 30-32: b\n4 33-36: c\n",
	},
	{
		name:   "white space kept",
		src:    ttmlHead + `<body><div xml:space="preserve"><p begin="1s" end="2s">five  volts` + "\n" + `two amps</p></div></body></tt>`,
		format: FormatTTML,
		cues:   "4 1-2: five  volts / two amps\n",
	},
	{
		name:   "white space collapsed, prefixed names, CDATA",
		src:    `<t:tt xmlns:t="http://www.w3.org/ns/ttml"><t:body><t:div><t:p begin="1s" end="2s">` + "\n  five\r\n  volts <![CDATA[& <two>]]> amps\n</t:p></t:div></t:body></t:tt>",
		format: FormatTTML,
		cues:   "1 1-2: five volts & <two> amps\n",
		words:  "five volts", source: "five\r\n  volts",
	},
	{
		name:   "timed spans give the cue its time",
		src:    ttmlHead + `<body><div><p><span begin="1s" end="2s">five</span> <span begin="2s" end="4s">volts</span></p></div></body></tt>`,
		format: FormatTTML,
		cues:   "4 1-4: five volts\n",
	},
	{
		name:     "bad time, malformed end",
		src:      ttmlHead + `<body><div><p begin="soon" end="2s">a</p><p begin="2s" end="3s">b</p><p begin="3s" end="4s">c</div>`,
		format:   FormatTTML,
		cues:     "4 0-2: a\n4 2-3: b\n4 3-4: c\n",
		problems: "4:12 unreadable or irregular cue time\n4:100 malformed XML, nothing after it can be read\n",
	},
	{
		name:   "no times at all",
		src:    `<tt><body><div><p>five volts</p><p>two amps</p></div></body></tt>`,
		format: FormatTTML,
		cues:   "1: five volts\n1: two amps\n",
	},
}
