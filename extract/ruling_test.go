package extract

import (
	"strings"
	"testing"

	"saywatt/extract/place"
	"saywatt/extract/transcript"
	"saywatt/schema"
)

// TestLacksPart: an answer may name a part that the text speaks of, and one that it speaks
// of where there are no answers.
func TestLacksPart(t *testing.T) {
	const text = "Open it up. The fuse is 2 amps, 250 volts."
	class, _ := place.ParseClass("part")
	at := strings.Index(text, "2 amps")
	of := func(part string) *Document {
		tr, err := transcript.Parse("a.txt", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return FindGiven(tr, Given{Conditions: []Condition{{Span: schema.Span{Start: at, End: at + len("2 amps")},
			Ruling: Ruling{Class: class, Part: part}}}})
	}
	if of("fuse").LacksPart() {
		t.Error("a text with a fuse lacks it")
	}
	d := of("relay")
	if !d.LacksPart() {
		t.Error("a text without a relay does not lack it")
	}
	d.SpeakOf(&Document{Subjects: []Subject{{Kind: "relay"}}})
	if d.LacksPart() || !d.SpeaksOf("relay") {
		t.Error("a relay that the text speaks of without answers is lacking")
	}
}
