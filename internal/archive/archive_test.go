package archive

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"saywatt/internal/archive/facts"
	"saywatt/internal/archive/match"
	"saywatt/internal/archive/query"
	"saywatt/internal/archive/store"
	"saywatt/internal/typed"
	"saywatt/schema"
)

// day is when tests put things in.
var day = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)

// filled makes an archive with n generated reviews, added on three days of
// three years.
func filled(t testing.TB, n int) *Archive {
	t.Helper()
	a := empty(t)
	addSome(t, a, n)
	return a
}

func addSome(t testing.TB, a *Archive, n int) {
	t.Helper()
	w := begin(t, a)
	for i := range n {
		r := generated(i)
		if _, err := w.Add(r.Source.File, r, "Ada", day.AddDate(-i%3, 0, 0), false); err != nil {
			t.Fatal(err)
		}
	}
	finish(t, w)
}

func empty(t testing.TB) *Archive {
	t.Helper()
	a, err := Create(filepath.Join(t.TempDir(), "archive"))
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

// names of the reviews that a query finds, in order.
func names(r *Results) []string {
	var all []string
	for _, h := range r.Hits {
		all = append(all, h.Review.Name)
	}
	return all
}

// The index finds exactly what holds on the records themselves: on an index
// built at once, and on one that grew review by review.
func TestSearchAgreesWithTheRecords(t *testing.T) {
	const n = 48
	built := filled(t, n)
	grown := filled(t, n/2)
	for i := n / 2; i < n; i += 5 {
		w := begin(t, grown)
		for k := i; k < min(i+5, n); k++ {
			r := generated(k)
			if _, err := w.Add(r.Source.File, r, "Ada", day.AddDate(-k%3, 0, 0), false); err != nil {
				t.Fatal(err)
			}
		}
		finish(t, w)
	}
	subjects := make([]*match.Subject, n)
	for i := range subjects {
		r := generated(i)
		subjects[i] = newSubject(&Review{Name: Name(r.Source.File), Added: day.AddDate(-i%3, 0, 0)}, r)
	}
	for _, asked := range []string{
		"", "power >= 65 W", "capacitance 300..500 uF", "cell:21700 energy > 20 Wh", "protocol:UFCS", `protocol:UFCS level:"20 V 2.25 A"`, `level:"20 V 3 A"`,
		"fuse 2.5A", "fuse 315mA", "fuse 0.315 A", `part:"fuse 2.5 A 250 V"`, `part:fuse`, `level:"PPS 3.3..21 V 3 A"`, `level:"3.3..21 V"`, "on resistance = 12 mOhm",
		"MOSFET resistance < 7 mohm", "mosfet on_resistance 1.2..9.5 mΩ", "voltage 15 V", "level voltage 18 V", "level voltage > 16 V", "level voltage > 20 V",
		"level voltage < 3.3 V", "level voltage <= 3.3 V", "not power >= 65 W", "charger or cable", "charger and not (protocol:PPS or protocol:AVS)",
		`"weighs"`, `"gives 5"`, `"325 ma"`, "glued", "harb*", "kind:charger", "maker:Oak*", "efficiency >= 94 %", "efficiency >= 0.94", "temperature > 100 degF", "temperature > 75 °C",
		"100 Wh", "pack energy 100 Wh", "cells >= 4", "cells = 2", "mass < 0.2 kg", "weight < 200 g", "body mass < 200 g", "year:2025", "status:open", "status:heard",
		`class:"up to 65 W"`, "review:review-000007", "inductance <= 4.7uH", "ripple 10..20 mV", "resistance 5 ohm", "thermistor 10 kΩ", "NTC thermistor > 50 kΩ", "-1000 V",
		"temperature > -5 Cel", "power > 0 W", "package:x", "nothingatall", "fuse >= 2.5 A", "fuse > 2.5 A", "capacitor 82 uF", "cell capacity 2000..4000 mAh", "capacity > 1 Wh", "capacity > 1 C", "stray", "bulk capacitor 400 V", "measured voltage 10..100 mV",
	} {
		for i, a := range []*Archive{built, grown} {
			got := search(t, a, Request{Query: asked, Sort: "name", Limit: n})
			var want []string
			parse := query.Parser{Parts: func(w string) bool {
				return slices.Contains([]string{"fuse", "mosfet", "thermistor", "ntc thermistor", "capacitor",
					"bulk capacitor"}, w)
			}}
			q, err := parse.Parse(asked)
			if err != nil {
				t.Fatalf("%s: %v", asked, err)
			}
			for k, s := range subjects {
				if s.Holds(q.Root) {
					want = append(want, fmt.Sprintf("review-%06d", k))
				}
			}
			have := names(got)
			slices.Sort(have)
			if !slices.Equal(have, want) || got.Total != len(want) {
				t.Errorf("index %d, %s (%s): %d found, %d hold\n%s", i, asked, got.Understood, got.Total, len(want),
					cmp.Diff(want, have))
			}
		}
	}
}

// A record is found by each of its own values, in any unit of their kind, by
// its names, and by the words heard.
func TestFoundByEachOfItsOwnValues(t *testing.T) {
	a := filled(t, 30)
	reviews, _, err := a.Reviews()
	if err != nil {
		t.Fatal(err)
	}
	units := schema.Units()
	rapid.Check(t, func(t *rapid.T) {
		rv := reviews[rapid.IntRange(0, len(reviews)-1).Draw(t, "review")]
		_, r, _, err := a.Record(rv.Name)
		if err != nil {
			t.Fatal(err)
		}
		said := facts.Of(r)
		f := &said[rapid.IntRange(0, len(said)-1).Draw(t, "fact")]
		var asked string
		switch {
		case f.Quantity == nil && len(f.Fields) > 0 && query.Known().Fields[f.Fields[0]]:
			asked = f.Fields[0] + `:"` + f.Text + `"`
		case f.Quantity == nil:
			asked = `"` + f.Text + `"`
		case f.Base.Kind == query.NumberKind:
			asked = f.Property + " = " + f.Quantity.Low.String()
		default:
			low, high, unit := f.Quantity.Low, f.Quantity.High, f.Quantity.Unit
			u := rapid.SampledFrom(units).Draw(t, "unit").Unit
			if l, err := unit.Convert(low, u); err == nil && u.Kind() == unit.Kind() && exact(l, u, unit, low) &&
				len(l.String()) <= typedDigits {
				h, _ := unit.Convert(high, u)
				low, high, unit = l, h, u
			}
			if f.OfProduct && rapid.Bool().Draw(t, "subject") {
				asked = strings.ReplaceAll(f.Base.Kind, "_", " ") + " "
				if f.Property == "ambient" {
					asked = "ambient temperature "
				}
			}
			asked += low.String()
			if f.Quantity.Range {
				asked += ".." + high.String()
			}
			asked += " " + typed.Spell(unit)
		}
		found, err := a.Search(Request{Query: asked, Limit: 1000})
		if err != nil {
			t.Fatalf("%s: %v", asked, err)
		}
		if !slices.Contains(names(found), rv.Name) {
			t.Fatalf("%s is not found by its own %s: %s (%s)", rv.Name, f.Path, asked, found.Understood)
		}
		if f.Heard != "" {
			asked = `"` + f.Heard + `"`
			if found, err = a.Search(Request{Query: asked, Limit: 1000}); err != nil ||
				!slices.Contains(names(found), rv.Name) {
				t.Fatalf("%s is not found by words heard: %s, %v", rv.Name, asked, err)
			}
		}
	})
}

// exact reports whether a conversion there and back loses nothing.
func exact(there schema.Decimal, u, back schema.Unit, want schema.Decimal) bool {
	d, err := u.Convert(there, back)
	return err == nil && d.Equal(want)
}

func TestVersionsAreKept(t *testing.T) {
	a := empty(t)
	r := generated(1)
	add := func(change func(*schema.Record), replace bool) (Added, error) {
		w := begin(t, a)
		defer finish(t, w)
		c := *r
		if change != nil {
			change(&c)
		}
		return w.Add("one.vtt", &c, "Ada", day, replace)
	}
	first, err := add(nil, false)
	if err != nil || first.Version != 1 || first.Same || first.Review != "one" {
		t.Fatalf("%+v, %v", first, err)
	}
	if same, err := add(nil, false); err != nil || !same.Same || same.Version != 1 {
		t.Errorf("the same again: %+v, %v", same, err)
	}
	second, err := add(func(r *schema.Record) { r.Product.Model = "changed" }, false)
	if err != nil || second.Version != 2 || second.Record == first.Record {
		t.Errorf("read again: %+v, %v", second, err)
	}
	other := func(r *schema.Record) { r.Product.Name, r.Source.SHA256 = "Something else", strings.Repeat("f", 64) }
	if _, err := add(other, false); !errors.Is(err, ErrTaken) {
		t.Errorf("another product: %v, want ErrTaken", err)
	}
	if third, err := add(other, true); err != nil || third.Version != 3 {
		t.Errorf("replaced: %+v, %v", third, err)
	}
	rv, got, _, err := a.Record("one")
	if err != nil || rv.Version != 3 || got.Product.Name != "Something else" {
		t.Errorf("newest: %+v %v", rv, err)
	}
	for _, hash := range []string{first.Record, second.Record} {
		if _, err := a.store.Get(hash); err != nil {
			t.Errorf("an old version is gone: %v", err)
		}
	}
	if n := search(t, a, Request{Query: `"` + r.Product.Name + `"`}).Total; n != 0 {
		t.Errorf("%d found by the name of an old version", n)
	}
	if _, _, _, err := a.Record("onne"); !errors.Is(err, ErrNoReview) ||
		!strings.Contains(err.Error(), "did you mean one?") {
		t.Errorf("a name mistyped: %v", err)
	}
}

func TestDecisionsAreReplayed(t *testing.T) {
	a := filled(t, 3)
	_, r, _, err := a.Record("review-000001")
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(r.Quantities,
		func(s schema.Said) bool { return s.Status == schema.StatusOpen && s.Kind == schema.KindVoltage })
	if i < 0 {
		t.Fatal("no open voltage in the sample")
	}
	n, before := r.Quantities[i].Number, r.Counts
	settle := func(q *schema.Quantity) {
		t.Helper()
		w := begin(t, a)
		if err := w.settle("review-000001", n, q, "Ada", "heard it", day); err != nil {
			t.Fatal(err)
		}
		finish(t, w)
	}
	odd := schema.MustQuantity("91.73 V")
	settle(&odd)
	_, r, _, err = a.Record("review-000001")
	if err != nil {
		t.Fatal(err)
	}
	if s := r.Quantity(n); !s.Quantity.Same(odd) || s.Status != schema.StatusSettled {
		t.Errorf("settled: %+v", s)
	}
	if c := r.Counts; c.Open != before.Open-1 || c.Settled != before.Settled+1 {
		t.Errorf("counts %+v, before %+v", c, before)
	}
	if !isSettled(r, &odd) {
		t.Error("the value in its place did not change")
	}
	if got := names(search(t, a, Request{Query: "voltage 91.73 V"})); !slices.Equal(got, []string{"review-000001"}) {
		t.Errorf("found by the decided value: %v", got)
	}
	// It holds for the next version read from the same file, and not for
	// another file, though the words stand at the same place there.
	for _, x := range []struct {
		source string
		want   schema.Status
	}{{generated(1).Source.SHA256, schema.StatusSettled}, {strings.Repeat("e", 64), schema.StatusOpen},
		{generated(1).Source.SHA256, schema.StatusSettled}} {
		w := begin(t, a)
		again := generated(1)
		again.Product.Model, again.Source.SHA256 = "read again "+x.source[60:], x.source
		if _, err := w.Add("review-000001", again, "Ada", day, true); err != nil {
			t.Fatal(err)
		}
		finish(t, w)
		if _, r, _, err := a.Record("review-000001"); err != nil || r.Quantity(n).Status != x.want {
			t.Errorf("source %.4s…: %v, want %v, %v", x.source, r.Quantity(n).Status, x.want, err)
		}
	}
	settle(nil)
	_, r, _, err = a.Record("review-000001")
	if err != nil || r.Quantity(n).Status != schema.StatusOpen || r.Counts != before {
		t.Errorf("reopened: %+v, counts %+v, want %+v, %v", r.Quantity(n).Status, r.Counts, before, err)
	}
	if got := search(t, a, Request{Query: "voltage 91.73 V"}).Total; got != 0 {
		t.Errorf("%d found by a value taken back", got)
	}
	w := begin(t, a)
	if err := w.Remove("review-000001", "Ada", day); err != nil {
		t.Fatal(err)
	}
	finish(t, w)
	if got := search(t, a, Request{}).Total; got != 2 {
		t.Errorf("%d reviews after one was removed, want 2", got)
	}
	if _, err := a.Reindex(nil); err != nil {
		t.Fatal(err)
	}
	if got := search(t, a, Request{}).Total; got != 2 {
		t.Errorf("%d reviews after a rebuild, want 2", got)
	}
}

func TestOneWriterManyReaders(t *testing.T) {
	a := filled(t, 2)
	w := begin(t, a)
	b, err := Open(a.Dir())
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	_, err = b.Begin()
	var busy *store.BusyError
	if !errors.As(err, &busy) || !strings.Contains(err.Error(), fmt.Sprintf("process %d", os.Getpid())) {
		t.Errorf("a second writer: %v", err)
	}
	r := generated(2)
	if _, err := w.Add("new.vtt", r, "Ada", day, false); err != nil {
		t.Fatal(err)
	}
	if err := w.Commit(); err != nil {
		t.Fatal(err)
	}
	// It is acknowledged but not indexed, and the lock is taken: the reader
	// answers from what it has and says so.
	if got := search(t, b, Request{}); got.Total != 2 || !got.Behind {
		t.Errorf("while one writes: %d found, behind %v", got.Total, got.Behind)
	}
	if _, _, _, err := b.Record("new"); err != nil {
		t.Errorf("what is acknowledged is there: %v", err)
	}
	finish(t, w)
	if got := search(t, b, Request{}); got.Total != 3 || got.Behind {
		t.Errorf("afterwards: %d found, behind %v", got.Total, got.Behind)
	}
}

func TestSortPageFacets(t *testing.T) {
	const n = 40
	a := filled(t, n)
	for _, order := range Sorts() {
		all := names(search(t, a, Request{Sort: order, Limit: n}))
		if len(all) != n {
			t.Fatalf("%s: %d listed", order, len(all))
		}
		var paged []string
		for at := 0; at < n; at += 7 {
			paged = append(paged, names(search(t, a, Request{Sort: order, Limit: 7, Offset: at}))...)
		}
		if !slices.Equal(all, paged) {
			t.Errorf("%s: pages differ from the whole (-whole +pages):\n%s", order, cmp.Diff(all, paged))
		}
	}
	mass := func(name string) float64 {
		_, r, _, err := a.Record(name)
		if err != nil {
			t.Fatal(err)
		}
		return r.Body.Mass.Quantity.SI()
	}
	light := names(search(t, a, Request{Sort: "mass", Limit: n}))
	if !slices.IsSortedFunc(light, func(x, y string) int { return cmpFloat(mass(x), mass(y)) }) {
		t.Errorf("not by mass: %v", light)
	}
	var years []int
	for _, h := range search(t, a, Request{Sort: "added", Limit: n}).Hits {
		years = append(years, -h.Review.Added.Year())
	}
	if !slices.IsSorted(years) {
		t.Errorf("not latest first: %v", years)
	}
	r := search(t, a, Request{Query: "power >= 65 W", Facets: true})
	total := map[string]int{}
	for _, f := range r.Facets {
		for _, c := range f.Counts {
			total[f.Field] += c.N
		}
	}
	for _, one := range []string{"kind", "maker", "year", "status", "class"} {
		if total[one] != r.Total {
			t.Errorf("facet %s counts %d of %d", one, total[one], r.Total)
		}
	}
	if total["protocol"] <= r.Total {
		t.Errorf("facet protocol counts %d: each review has more than one", total["protocol"])
	}
	for _, f := range r.Facets {
		for _, c := range f.Counts {
			if got := search(t, a, Request{Query: fmt.Sprintf("power >= 65 W %s:%q", f.Field,
				c.Value)}).Total; f.Field == "year" && got != c.N {
				t.Errorf("%s %s counts %d, found %d", f.Field, c.Value, c.N, got)
			}
		}
	}
	if _, err := a.Search(Request{Sort: "colour"}); err == nil {
		t.Error("an order that is none is taken")
	}
	best := search(t, a, Request{Query: "lantern or glued", Limit: n})
	if len(best.Hits) == 0 || !strings.Contains(best.Hits[0].Review.Product, "Lantern") {
		t.Errorf("a name does not come first: %v", names(best))
	}
}

func cmpFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

func TestSpellingOfNamesIsTolerated(t *testing.T) {
	a := empty(t)
	w := begin(t, a)
	r := generated(1)
	r.Product.Maker, r.Product.Name = "Orrindale", "Orrindale Jetty Duo"
	if _, err := w.Add("one.vtt", r, "Ada", day, false); err != nil {
		t.Fatal(err)
	}
	finish(t, w)
	for _, c := range []struct {
		query string
		found int
		note  string
	}{
		{"Orrindale", 1, ""},
		{"orindale", 1, "orrindale"},
		{"Orirndale", 1, "orrindale"},
		{"oridnale", 1, "orrindale"}, // two off, of eight letters
		{"maker:orindal", 0, ""},     // two off, of seven
		{"maker:Orindale", 1, "orrindale"},
		{"jety", 1, "jetty"},
		{"jey", 0, ""},              // three letters: as typed
		{`"orindale"`, 0, ""},       // quoted: as typed
		{"maker:orrindal*", 1, ""},  // any ending
		{"power >= 3 W doo", 0, ""}, // three letters
	} {
		got := search(t, a, Request{Query: c.query})
		note := strings.Join(got.Notes, "; ")
		if got.Total != c.found || (c.note == "") != (note == "") || !strings.HasSuffix(note, c.note) {
			t.Errorf("%s: %d found, note %q; want %d, %q", c.query, got.Total, note, c.found, c.note)
		}
	}
}

func TestMatchesShowTimeAndWords(t *testing.T) {
	a := filled(t, 5)
	for _, h := range search(t, a, Request{Query: "fuse 250 V or mass > 0 g"}).Hits {
		_, r, _, err := a.Record(h.Review.Name)
		if err != nil {
			t.Fatal(err)
		}
		if len(h.Matches) == 0 {
			t.Fatalf("%s: no match shown", h.Review.Name)
		}
		for _, m := range h.Matches {
			s := r.Quantity(m.Fact.Said)
			if s == nil || !reflect.DeepEqual(m.Fact.At, s.At) || m.Fact.Media != s.Media {
				t.Errorf("%s: %s is of quantity %d, at %v", h.Review.Name, m.Fact.Path, m.Fact.Said, m.Fact.At)
				continue
			}
			if len(m.Marks) != 1 || m.Text[m.Marks[0].Start:m.Marks[0].End] != s.Heard {
				t.Errorf("%s: %q marked at %v, heard %q", h.Review.Name, m.Text, m.Marks, s.Heard)
			}
		}
	}
}

// What is read for the facts alone has the same facts.
func TestFactsOfASlimRecordAreTheSame(t *testing.T) {
	a := filled(t, 3)
	reviews, _, err := a.Reviews()
	if err != nil {
		t.Fatal(err)
	}
	for _, rv := range reviews {
		whole, err := a.store.Get(rv.Record)
		if err != nil {
			t.Fatal(err)
		}
		slim, err := a.store.GetFacts(rv.Record)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(facts.Of(whole), facts.Of(slim)) || slim.Counts != whole.Counts {
			t.Errorf("%s: the facts differ", rv.Name)
		}
		for i := range slim.Quantities { // what waits for a person has its readings, nothing else has
			got, want := &slim.Quantities[i], &whole.Quantities[i]
			if isOpen := want.Status == schema.StatusOpen; isOpen != (len(got.Readings) == len(want.Readings)) ||
				len(got.Why) > 0 {
				t.Errorf("%s: quantity %d (%v) has %d of %d readings", rv.Name, want.Number, want.Status,
					len(got.Readings), len(want.Readings))
			}
		}
	}
}

// typedDigits is how long a number may be that somebody types into a query.
const typedDigits = 15

// isSettled reports whether a place of the record has a quantity that a person settled.
func isSettled(r *schema.Record, q *schema.Quantity) bool {
	return slices.ContainsFunc(facts.Of(r), func(f Fact) bool {
		return f.OfProduct && f.Quantity != nil && f.Quantity.Same(*q) && f.Status == schema.StatusSettled
	})
}

// settle puts in what a person decided of a quantity: q, or, where q is nil,
// that it is open again. It is acknowledged by Commit.
func (w *Writer) settle(name string, number int, q *schema.Quantity, who, note string, when time.Time) error {
	rv, err := w.review(name)
	if err != nil {
		return err
	}
	if rv == nil {
		return fmt.Errorf("%q: %w", name, ErrNoReview)
	}
	r, damages := w.a.load(rv)
	if r == nil {
		return damages[0]
	}
	s := r.Quantity(number)
	if s == nil {
		return fmt.Errorf("%s: there is no quantity %d", name, number)
	}
	d := &store.Decision{When: when.UTC(), Who: who, Act: store.ActSettled, Review: name, Source: r.Source.SHA256,
		Span:  &s.Span,
		Heard: s.Heard, Quantity: q, Note: note}
	if q == nil {
		d.Act = store.ActReopened
	}
	return w.append(d)
}
