package archive

import (
	"os"
	"testing"
	"time"

	"saywatt/schema"
)

// day is when tests put things in.
var day = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)

// filled makes an archive with n generated reviews.
func filled(t testing.TB, n int) *Archive {
	t.Helper()
	a := empty(t)
	w := begin(t, a)
	for i := range n {
		r := generated(i)
		if _, err := w.Add(r.Source.File, r, "Ada", day.AddDate(-i%3, 0, 0), false); err != nil {
			t.Fatal(err)
		}
	}
	finish(t, w)
	return a
}

func empty(t testing.TB) *Archive {
	t.Helper()
	a, err := Create(t.TempDir() + "/archive")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { a.Close() })
	return a
}

func begin(t testing.TB, a *Archive) *Writer {
	t.Helper()
	w, err := a.Begin()
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func finish(t testing.TB, w *Writer) {
	t.Helper()
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
}

func search(t testing.TB, a *Archive, q Request) *Results {
	t.Helper()
	r, err := a.Search(q)
	if err != nil {
		t.Fatalf("%s: %v", q.Query, err)
	}
	return r
}

func found(t testing.TB, a *Archive, query string) []string {
	t.Helper()
	var names []string
	for _, h := range search(t, a, Request{Query: query, Sort: "name", Limit: 1 << 20}).Hits {
		names = append(names, h.Review.Name)
	}
	return names
}

// The index finds exactly what holds on the records themselves.
func TestSearchAgreesWithTheRecords(t *testing.T) {
	const n = 60
	a := filled(t, n)
	for _, query := range []string{
		"", "power >= 65 W", "capacitance 300..500 uF", "cell:21700 energy > 20 Wh", "protocol:UFCS", `protocol:UFCS level:"20 V 2.25 A"`, `level:"20 V 3 A"`,
		"fuse 2.5A", "fuse 315mA", "fuse 0.315 A", `part:"fuse 2.5 A 250 V"`, "on resistance = 12 mOhm", "MOSFET resistance < 7 mohm", "mosfet on_resistance 1.2..9.5 mΩ",
		"voltage 15 V", "level voltage 18 V", "level voltage > 16 V", "not power >= 65 W", "charger or cable", "charger and not (protocol:PPS or protocol:AVS)",
		`"weighs"`, `"gives 5"`, "glued", "harb*", "kind:charger", "maker:Oak*", "efficiency >= 94 %", "efficiency >= 0.94", "temperature > 100 degF", "100 Wh", "pack energy 100 Wh",
		"cells >= 4", "cells = 2", "mass < 0.2 kg", "body mass < 200 g", "year:2025", "status:open", `class:"up to 65 W"`, "review:review-000007", "inductance <= 4.7uH",
		"ripple 10..20 mV", "resistance 5 ohm", "NTC 10k", "thermistor 10 kΩ", "-1000 Cel", "temperature > -5 Cel",
	} {
		q, err := Parser{Parts: func(w string) bool { return w == "fuse" || w == "mosfet" || w == "thermistor" }}.Parse(query)
		if err != nil {
			t.Errorf("%s: %v", query, err)
			continue
		}
		want := 0
		for i := range n {
			r := generated(i)
			rv := &Review{Name: Name(r.Source.File), Added: day.AddDate(-i%3, 0, 0)}
			if newSubject(rv, r).holds(q.root) {
				want++
			}
		}
		got := search(t, a, Request{Query: query})
		if got.Total != want {
			t.Errorf("%s (%s): %d found, %d hold", query, got.Understood, got.Total, want)
		}
		t.Logf("%-40s %-50s %d", query, got.Understood, want)
	}
}

func TestMain(m *testing.M) { os.Exit(m.Run()) }

var _ = schema.RecordVersion
