package extract_test

import (
	"fmt"

	"saywatt/extract"
	"saywatt/extract/transcript"
)

// A narration that corrects itself, as captions show it: every quantity with
// the words it was said in, the one taken back among them.
func Example() {
	t, err := transcript.Parse("jetty.vtt", []byte(`WEBVTT

00:01.000 --> 00:05.000
the Tindale Jetty Duo gives 20 volts at
three and a quarter amps

00:05.000 --> 00:09.000
and on PPS 3.3 to 11, sorry,
3.3 to 21 volts. It is 66 by 38 by 30 millimetres.
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	d := extract.Find(t)
	for _, m := range d.Mentions {
		note := ""
		if m.Withdrawn {
			note = ", taken back"
		}
		fmt.Printf("%v: %q%s\n", m.Quantity(), d.Words(m.First, m.Last), note)
	}
	// Output:
	// 20 V: "20 volts"
	// 3.25 A: "three and a quarter amps"
	// 3.3–11 V: "3.3 to 11", taken back
	// 3.3–21 V: "3.3 to 21 volts"
	// 66 mm: "66"
	// 38 mm: "38"
	// 30 mm: "30 millimetres"
}

func ExampleParseQuantities() {
	for _, f := range extract.ParseQuantities("USB 2.0, up to sixty five watts") {
		fmt.Println(f.Quantity, f.Not)
	}
	// Output:
	// 2.0 code
	// 65 W
}
