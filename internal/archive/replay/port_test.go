package replay

import (
	"encoding/json"
	"strings"
	"testing"

	"saywatt/extract/transcript"
	"saywatt/internal/archive/store"
	"saywatt/internal/pipeline"
	"saywatt/normalize"
	"saywatt/schema"
)

// A decision on a port or a protocol, replayed over a record, gives ports, levels and
// claims as they are where the captions are read with it, but for what readings weigh.
func TestPortsAreReplayed(t *testing.T) {
	const captions = `WEBVTT

00:00:01.000 --> 00:00:04.000
This is the Orrin Jetty, a charger with 45 watts on the USB C port.

00:00:04.000 --> 00:00:08.000
The USB see port gives 5 volts 3 amps, 9 volts 3 amps,

00:00:08.000 --> 00:00:12.000
and with PPS it gives 3.3 to 11 volts 3 amps.

00:00:12.000 --> 00:00:16.000
The USB A port gives 5 volts 2.4 amps.
`
	read := func(answers string) *schema.Record {
		list, err := normalize.ReadAnswers(strings.NewReader(answers), "answers")
		if err != nil {
			t.Fatal(err)
		}
		tr, err := transcript.Parse("jetty.vtt", []byte(captions))
		if err != nil {
			t.Fatal(err)
		}
		rec, err := pipeline.Run(tr, pipeline.Options{Answers: list})
		if err != nil {
			t.Fatal(err)
		}
		return rec
	}
	shown := func(r *schema.Record) string {
		eachValue(r, func(v *schema.Value) { v.Confidence = 0 }) // of readings, which are not weighed again
		b, err := json.Marshal([]any{r.Ports, r.Levels, r.Claims})
		if err != nil {
			t.Fatal(err)
		}
		var terms []string
		for _, s := range r.Terms {
			terms = append(terms, s.Kind.String()+" "+s.Meant+" "+s.Status.String()+" "+s.Place)
		}
		return string(b) + "\n" + strings.Join(terms, "\n")
	}
	span := schema.Span{Start: strings.Index(captions, "USB see"), End: strings.Index(captions, "USB see") + 7}
	spanned, _ := json.Marshal(span)
	for _, c := range []struct {
		what, line string
		d          store.Decision
	}{
		{"a protocol", `{"names":"protocol","heard":"PPS","meant":"UFCS"}`,
			store.Decision{Names: "protocol", Heard: "PPS", Meant: "UFCS"}},
		{"no protocol", `{"names":"protocol","heard":"PPS","nothing":true}`, store.Decision{Names: "protocol", Heard: "PPS"}},
		{"a port", `{"names":"port","heard":"USB-C","meant":"USB-C1"}`,
			store.Decision{Names: "port", Heard: "USB-C", Meant: "USB-C1"}},
		{"a port that is there", `{"names":"port","heard":"USB-A","meant":"USB-C"}`,
			store.Decision{Names: "port", Heard: "USB-A", Meant: "USB-C"}},
		{"a port at one place", `{"names":"port","span":` + string(spanned) + `,"meant":"USB-C2"}`,
			store.Decision{Names: "port", Span: &span, Meant: "USB-C2"}},
	} {
		rec := read("")
		before := shown(rec)
		c.d.Source, c.d.Act = rec.Source.SHA256, store.ActNamed
		Over(rec, []*store.Decision{&c.d})
		want := shown(read(c.line))
		if got := shown(rec); got != want || got == before {
			t.Errorf("%s: replayed\n%s\nread\n%s", c.what, got, want)
		}
	}
	// Taken back, all is as it was.
	rec := read("")
	want, _ := json.Marshal([]any{rec.Ports, rec.Levels, rec.Claims})
	named := store.Decision{Names: "port", Heard: "USB-C", Meant: "USB-C1", Source: rec.Source.SHA256,
		Act: store.ActNamed}
	back := store.Decision{Names: "port", Heard: "USB-C", Source: rec.Source.SHA256, Act: store.ActTakenBack}
	Over(rec, []*store.Decision{&named})
	Over(rec, []*store.Decision{&back})
	if got, _ := json.Marshal([]any{rec.Ports, rec.Levels, rec.Claims}); string(got) != string(want) {
		t.Errorf("taken back\n%s\nas read\n%s", got, want)
	}
}
