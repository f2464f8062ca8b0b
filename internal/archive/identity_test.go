package archive

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"saywatt/internal/archive/query"
	"saywatt/schema"
)

// aRecord is a record of a product, read from a file whose bytes are known by
// one letter.
func aRecord(file, product, bytes string) *schema.Record {
	return &schema.Record{Version: schema.RecordVersion,
		Source:  schema.Source{File: file, SHA256: strings.Repeat(bytes, 64), Format: "vtt"},
		Product: schema.Product{Name: product}, Quantities: []schema.Said{}, Cautions: []string{"unplug"}}
}

// Each step puts one record in and says which review and version it is, or why
// it is refused.
func TestPutTellsReviewsApart(t *testing.T) {
	a := empty(t)
	w := begin(t, a)
	day := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	for i, c := range []struct {
		file, product, bytes string
		id, title, path      string
		replace              bool
		want                 string // review, and version by strokes
		err                  string
	}{
		{"v1/en.vtt", "Tarn", "a", "", "", "../v1/en.vtt", false, "v1-en |", ""},
		{"v2/en.vtt", "Tarn", "b", "", "", "../v2/en.vtt", false, "v2-en |", ""},          // the same name and product elsewhere
		{"v3/en.vtt", "", "c", "", "", "../v3/en.vtt", false, "v3-en |", ""},              // no product is no sign of sameness
		{"v1/en.vtt", "Tarn", "d", "", "", "../v1/en.vtt", false, "v1-en ||", ""},         // the captions were corrected
		{"moved.vtt", "Tarn", "b", "", "", "../moved.vtt", false, "v2-en |", ""},          // the same bytes elsewhere
		{"v1/en.vtt", "Esk", "e", "", "", "../v1/en.vtt", false, "", "it is not certain"}, // another product at the path
		{"v1/en.vtt", "Esk", "e", "esk", "", "../v1/en.vtt", false, "esk |", ""},
		{"v1/en.vtt", "Tarn", "f", "esk", "", "../v4/en.vtt", false, "", "the name belongs to another review"},
		{"v1/en.vtt", "Tarn", "f", "esk", "", "../v4/en.vtt", true, "esk ||", ""},
		{"-", "Tarn", "g", "", "", "", false, "", "it is not certain"},
		{"-", "Fell", "h", "", "", "", false, "fell |", ""},
		{"-", "", "i", "", "", "", false, "", "--id or --title gives it one"},
		{"-", "", "i", "", "Third Look!", "", false, "third-look |", ""},
		{"v2/en.vtt", "Tarn", "b", "other", "", "../v2/en.vtt", false, "", `"saywatt rename v2-en other"`},
		{"a/v1/en.vtt", "Cairn", "j", "", "", "../a/v1/en.vtt", false, "a-v1-en |", ""}, // the name is taken by another
		{"v1/en.vtt", "Tarn", "k", "%!", "", "x", false, "", "a review needs a name with letters or digits"},
	} {
		added, err := w.Put(Addition{Record: aRecord(c.file, c.product, c.bytes), ID: c.id, Title: c.title,
			Path: c.path, When: day, Replace: c.replace})
		got := ""
		if err == nil {
			got = added.Review + " " + strings.Repeat("|", added.Version)
		}
		if got != c.want || c.err == "" && err != nil ||
			c.err != "" && (err == nil || !strings.Contains(err.Error(), c.err)) {
			t.Errorf("step %d: %q, %v; want %q, %q", i+1, got, err, c.want, c.err)
		}
		if i%3 == 0 {
			if err := w.Commit(); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
}

// named gives the product of a record another name by a person's word.
func named(r *schema.Record, field, meant string) *schema.Record {
	r.Product.Settle(schema.SettledName{Field: field, Heard: r.Product.Field(field), Meant: meant})
	return r
}

// A product that a person named anew is the product that it was heard as: versions with
// and without that answer are of one review, whichever comes first, and where it is not
// certain that is said.
func TestNamedAnewIsNoOtherReview(t *testing.T) {
	a := empty(t)
	day := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	heard := func(bytes string) *schema.Record { return aRecord("v/en.vtt", "Bran nick Jetty", bytes) }
	for i, c := range []struct {
		record *schema.Record
		path   string
		id     string
		want   string
		err    string
	}{
		{heard("a"), "../v/en.vtt", "", "v-en |", ""},
		{named(heard("b"), "name", "Brannick Jetty"), "../v/en.vtt", "", "v-en ||", ""},
		{heard("c"), "../v/en.vtt", "", "v-en |||", ""},                                    // read without the answer
		{aRecord("v/en.vtt", "Brannick Jetty", "d"), "../v/en.vtt", "", "v-en ||||", ""},   // the captions were corrected
		{named(heard("e"), "name", "Jetty Mark Two"), "../v/en.vtt", "", "v-en |||||", ""}, // named otherwise
		{aRecord("v/en.vtt", "Esk", "f"), "../v/en.vtt", "", "", "it is not certain"},      // another product all the same
		{named(aRecord("v/en.vtt", "Esk", "f"), "name", "Tarn"), "../v/en.vtt", "", "", "it is not certain"},
		{named(heard("g"), "name", "Skerry"), "", "", "", "it is not certain"},
		{heard("g"), "", "", "", "it is not certain"},
		{named(heard("h"), "name", "Skerry"), "../w/en.vtt", "v-en", "v-en ||||||", ""}, // the name was given
		{aRecord("w/en.vtt", "Esk", "i"), "../w/en.vtt", "v-en", "", "the name belongs to another review"},
	} {
		w, err := a.Begin() // each a command of its own: what is known is in the log
		if err != nil {
			t.Fatal(err)
		}
		added, err := w.Put(Addition{Record: c.record, ID: c.id, Path: c.path, When: day})
		got := ""
		if err == nil {
			got = added.Review + " " + strings.Repeat("|", added.Version)
		}
		if got != c.want || c.err == "" && err != nil ||
			c.err != "" && (err == nil || !strings.Contains(err.Error(), c.err)) {
			t.Errorf("step %d: %q, %v; want %q, %q", i+1, got, err, c.want, c.err)
		}
		if err := w.Commit(); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
	}
	all, _, err := a.Reviews()
	if err != nil || len(all) != 1 || all[0].Title() != "Skerry" {
		t.Errorf("%d reviews, %v", len(all), err)
	}
}

// The same of a maker and a kind where no name says so.
func TestMakerNamedAnew(t *testing.T) {
	a := empty(t)
	w := begin(t, a)
	of := func(bytes string) *schema.Record {
		r := aRecord("v/en.vtt", "", bytes)
		r.Product.Maker, r.Product.Kind = "Bran nick", "charger"
		return r
	}
	for i, r := range []*schema.Record{of("a"), named(named(of("b"), "maker", "Brannick"), "kind", "cable"), of("c")} {
		added, err := w.Put(Addition{Record: r, Path: "../v/en.vtt", When: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)})
		if err != nil || added.Version != i+1 {
			t.Errorf("version %d: %+v, %v", i+1, added, err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
}

// Where no name says of which product changed captions are, maker, kind and values
// do; the bytes of the captions and a name that both have are certain.
func TestOtherCaptionsAtAPathAreInDoubt(t *testing.T) {
	type said struct{ name, maker, kind, values string }
	was := said{"", "Orrindale", "power bank charger", "5 V, 3 A, 9 V, 10000 mA.h"}
	for _, c := range []struct {
		now  said
		want string // of the error; "" where it is the next version
	}{
		{said{"", "Orrindale", "power bank", "5 V, 3 A, 9 V, 36 W.h, 12 V"}, ""}, // corrected and added to
		{said{"Jetty", "", "", "5 V, 3 A"}, ""},
		{said{"", "", "", ""}, ""}, // nothing is said that speaks against it
		{said{"", "", "", "240 W, 2 m, 5 A"}, "now it says other values: 0 of 3 are among those of before"},
		{said{"Fell", "", "", "5 V, 100 g, 5 A, 1 m"}, "now it says other values: 1 of 4 are among those of before"},
		{said{"", "Bexholm", "power bank", "5 V, 3 A, 9 V"}, `spoke of the maker "Orrindale", and now it speaks of "Bexholm"`},
		{said{"", "", "cable", "5 V, 3 A, 9 V"}, `the kind of product "power bank charger", and now it speaks of "cable"`},
	} {
		a := empty(t)
		put := func(s said, bytes string) error {
			r := aRecord("v1/en.vtt", s.name, bytes)
			r.Product.Maker, r.Product.Kind = s.maker, s.kind
			for _, v := range strings.Split(s.values, ", ") {
				if s.values != "" {
					q := schema.MustQuantity(v)
					r.Quantities = append(r.Quantities, schema.Said{Number: len(r.Quantities) + 1, Heard: v,
						Status: schema.StatusHeard, Kind: q.Unit.Kind(), Quantity: q})
				}
			}
			w := begin(t, a)
			defer finish(t, w)
			_, err := w.Put(Addition{Record: r, Path: "../v1/en.vtt", When: time.Unix(0, 0)})
			return err
		}
		if err := put(was, "a"); err != nil {
			t.Fatal(err)
		}
		err := put(c.now, "b")
		if doubt := (*DoubtError)(nil); (c.want == "") != (err == nil) ||
			err != nil && (!errors.As(err, &doubt) || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%+v: %v, want %q", c.now, err, c.want)
		}
	}
}

// A review of an archive that knew no paths is in doubt.
func TestReviewsWithoutPathsAreInDoubt(t *testing.T) {
	a := empty(t)
	w := begin(t, a)
	if _, err := w.Add("en", aRecord("en.vtt", "Tarn", "a"), "", time.Unix(0, 0), false); err != nil {
		t.Fatal(err)
	}
	_, err := w.Put(Addition{Record: aRecord("en.vtt", "Tarn", "b"), Path: "../en.vtt"})
	doubt := (*DoubtError)(nil)
	if !errors.As(err, &doubt) || doubt.Review != "en" || doubt.New != "tarn" {
		t.Errorf("%v", err)
	}
	if added, err := w.Put(Addition{Record: aRecord("en.vtt", "Tarn", "b"), Path: "../en.vtt", ID: "en"}); err != nil ||
		added.Version != 2 {
		t.Errorf("%+v, %v", added, err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
}

// What was renamed, merged and removed is so at once, after a commit, for
// whoever opens the archive anew, and in an index made anew.
func TestRenameMergeRemove(t *testing.T) {
	dir := t.TempDir()
	a, err := Create(dir)
	if err != nil {
		t.Fatal(err)
	}
	w, err := a.Begin()
	if err != nil {
		t.Fatal(err)
	}
	day := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	for i, name := range []string{"one", "two", "three"} {
		p := Addition{Record: aRecord(name+".vtt", "Tarn "+name, string(rune('a'+i))), Path: "../" + name + ".vtt",
			When: day.AddDate(0, 0, i)}
		if _, err := w.Put(p); err != nil {
			t.Fatal(err)
		}
	}
	if to, err := w.Rename("three", "Third One", "The third", "", day); err != nil || to != "third-one" {
		t.Fatal(to, err)
	}
	if _, err := w.Rename("one", "two", "", "", day); !errors.Is(err, ErrTaken) {
		t.Errorf("%v", err)
	}
	if _, err := w.Rename("nine", "ten", "", "", day); !errors.Is(err, ErrNoReview) {
		t.Errorf("%v", err)
	}
	if _, err := w.Merge("one", "one", false, "", day); err == nil {
		t.Error("a review is merged with itself")
	}
	if _, err := w.Merge("one", "two", false, "", day); !errors.As(err, new(*DifferentError)) {
		t.Errorf("two products are merged: %v", err)
	}
	r, err := w.Merge("one", "two", true, "", day)
	if err != nil || r.Version != 2 || r.Product != "Tarn two" {
		t.Fatalf("%+v, %v", r, err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	checkRenamed(t, a)
	if err := a.Close(); err != nil {
		t.Fatal(err)
	}
	if a, err = Open(dir); err != nil {
		t.Fatal(err)
	}
	checkRenamed(t, a)
	if _, err := a.Reindex(nil); err != nil {
		t.Fatal(err)
	}
	checkRenamed(t, a)
	if w, err = a.Begin(); err != nil {
		t.Fatal(err)
	}
	if err := w.Remove("one", "", day); err != nil {
		t.Fatal(err)
	}
	if _, err := w.Named("one"); !errors.Is(err, ErrNoReview) {
		t.Errorf("%v", err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if all, _, err := a.Listed(""); err != nil || len(all) != 1 {
		t.Errorf("%v, %v", all, err)
	}
	if err := a.Close(); err != nil {
		t.Fatal(err)
	}
}

// checkRenamed: two reviews are left, merged and renamed, found by their old names too.
func checkRenamed(t *testing.T, a *Archive) {
	t.Helper()
	all, damages, err := a.Listed("")
	if err != nil || len(damages) > 0 || len(all) != 2 || all[0].Name != "one" || all[1].Name != "third-one" {
		t.Fatalf("%v %v %v", all, damages, err)
	}
	if all[0].Version != 2 || len(all[0].older) != 1 || all[1].Given != "The third" ||
		all[1].Title() != "The third" {
		t.Errorf("%+v %+v", all[0], all[1])
	}
	if found, _, err := a.Listed("name:third"); err != nil || len(found) != 1 || found[0].Name != "third-one" {
		t.Errorf("%v, %v", found, err)
	}
	for _, name := range []string{"third-one", "the third", "../three.vtt", "three.vtt", "Tarn three"} {
		if rv, _, _, err := a.Record(name); err != nil || rv.Name != "third-one" {
			t.Errorf("%s: %v, %v", name, rv, err)
		}
	}
}

func TestApart(t *testing.T) {
	for subject, want := range map[string]string{
		"power": "output power|input power|no load power", "Voltage": "output voltage|input voltage", "current": "output current|input current",
		"output power": "", "efficiency": "",
	} {
		if got := strings.Join(query.Apart(subject), "|"); got != want {
			t.Errorf("%s: %q", subject, got)
		}
	}
	for property, subjects := range query.Known().Apart {
		for _, s := range append(subjects, property) {
			unit := query.UsualUnit(query.Known().Properties[property])
			if _, err := (query.Parser{}).Parse(s + " > 1 " + unit); err != nil {
				t.Errorf("%s: %v", s, err)
			}
		}
	}
}

func TestQueriesSayWhatMayBeMeant(t *testing.T) {
	for _, c := range []struct{ query, err, note string }{
		{"power > 60", "did you mean power > 60 W?", ""},
		{"power > 60 V", "its unit is W", ""},
		{"powr >= 65 W", "did you mean power?", ""},
		{"colour:red", "there are board, cell, ", ""},
		{"makr:x", "did you mean maker?", ""},
		{"power 60", "", `"power 60" is looked for as words; a value has its unit: power 60 W`},
		{"maker Moorgate", "", `"maker" and "Moorgate" are looked for as words; the field is maker:Moorgate`},
		{"maker and Moorgate", "", ""},
		{"Moorgate > 5 W", `to search for the word, quote it: "Moorgate"; there are ambient temperature, angle, apparent power, area, `, ""},
		{`"Moorgate" > 5 W`, "", ""},
		{"temperature > 140 F", "did you mean °F?", ""},
		{"temperature > 140 W", "its unit is °C", ""},
		{"cells 4", "", ""},
		{"cell 21700", "", `"cell" and "21700" are looked for as words; the field is cell:21700`},
	} {
		q, err := query.Parser{}.Parse(c.query)
		if c.err != "" {
			var e *query.Error
			if !errors.As(err, &e) || !strings.Contains(e.Hint, c.err) {
				t.Errorf("%s: %v", c.query, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.query, err)
		} else if got := strings.Join(q.Notes, "|"); got != c.note {
			t.Errorf("%s: noted %q", c.query, got)
		}
	}
}

// What was merged stays one review when its captions come again, in an index
// made anew and for whoever opens the archive later; what was removed begins
// anew and says when it was removed.
func TestMergeAndRemovalAreRemembered(t *testing.T) {
	dir := t.TempDir()
	a, err := Create(dir)
	if err != nil {
		t.Fatal(err)
	}
	day := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	put := func(file, product, bytes, id string) (Added, error) {
		t.Helper()
		w, err := a.Begin()
		if err != nil {
			t.Fatal(err)
		}
		added, err := w.Put(Addition{Record: aRecord(file, product, bytes), ID: id, Path: "../" + file, When: day})
		return added, errors.Join(err, w.Close())
	}
	change := func(do func(*Writer) error) {
		t.Helper()
		w, err := a.Begin()
		if err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(do(w), w.Close()); err != nil {
			t.Fatal(err)
		}
	}
	want := func(got Added, err error, review string, version int, same bool) {
		t.Helper()
		checkAdded(t, got, err, review, version, same)
	}
	for i, file := range []string{"one.vtt", "two.vtt", "three.vtt"} {
		got, err := put(file, "Tarn", string(rune('a'+i)), "")
		want(got, err, strings.TrimSuffix(file, ".vtt"), 1, false)
	}
	change(func(w *Writer) error {
		for _, from := range []string{"two", "three"} {
			if _, err := w.Merge("one", from, false, "", day); err != nil {
				return err
			}
		}
		return nil
	})
	again := func() {
		t.Helper()
		for i, file := range []string{"one.vtt", "two.vtt", "three.vtt"} {
			got, err := put(file, "Tarn", string(rune('a'+i)), "")
			want(got, err, "one", 3, true)
		}
	}
	again()
	if _, err := a.Reindex(nil); err != nil {
		t.Fatal(err)
	}
	if err := a.Close(); err != nil {
		t.Fatal(err)
	}
	if a, err = Open(dir); err != nil {
		t.Fatal(err)
	}
	again()
	all, _, err := a.Listed("")
	if err != nil || len(all) != 1 || len(all[0].Others()) != 2 || len(all[0].captionFiles()) != 3 {
		t.Fatalf("%v %v", all, err)
	}
	got, err := put("two.vtt", "Tarn", "d", "") // corrected
	want(got, err, "one", 4, false)
	if _, err := put("two.vtt", "Esk", "e", ""); !errors.As(err, new(*DoubtError)) {
		t.Errorf("another product at a path of a merged review: %v", err)
	}
	if _, err := put("one.vtt", "Tarn", "a", "own"); err == nil ||
		!strings.Contains(err.Error(), "--replace makes them a review of their own") {
		t.Errorf("%v", err)
	}

	// Renamed and removed; each of its captions begins anew.
	change(func(w *Writer) error {
		_, err := w.Rename("one", "tarn", "The Tarn", "", day)
		return err
	})
	got, err = put("three.vtt", "Tarn", "c", "")
	if want(got, err, "tarn", 4, true); got.Title != "The Tarn" {
		t.Errorf("title %q", got.Title)
	}
	change(func(w *Writer) error { return w.Remove("tarn", "", day.AddDate(0, 0, 4)) })
	for _, file := range []string{"one", "two"} {
		got, err := put(file+".vtt", "Tarn", file[:1], "")
		if want(got, err, file, 1, false); !got.Removed.Equal(day.AddDate(0, 0, 4)) {
			t.Errorf("%s was removed at %v", file, got.Removed)
		}
		if got, err = put(file+".vtt", "Tarn", file[1:2], ""); !got.Removed.IsZero() {
			t.Errorf("%s, %v", got.Removed, err)
		}
	}
	if err := a.Close(); err != nil {
		t.Fatal(err)
	}
}

// checkAdded checks under what name and as what version captions were added.
func checkAdded(t *testing.T, got Added, err error, review string, version int, same bool) {
	t.Helper()
	if err != nil || got.Review != review || got.Version != version || got.Same != same {
		t.Errorf("%+v, %v; want %s, version %d, same %v", got, err, review, version, same)
	}
}

// A rename does not lead to a merge of two products.
func TestRenameToATakenName(t *testing.T) {
	w := begin(t, empty(t))
	defer w.Close()
	for i, product := range []string{"Tarn", "Esk", "tarn"} {
		name := string(rune('x' + i))
		if _, err := w.Put(Addition{Record: aRecord(name+".vtt", product, name),
			Path: "../" + name + ".vtt"}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := w.Rename("x", "y", "", "", time.Time{}); err == nil || strings.Contains(err.Error(), "merge") ||
		!strings.Contains(err.Error(), "y-2") {
		t.Errorf("two products: %v", err)
	}
	if _, err := w.Rename("x", "z", "", "", time.Time{}); err == nil || !strings.Contains(err.Error(), `"saywatt merge z x"`) {
		t.Errorf("one product: %v", err)
	}
	if _, err := w.Merge("x", "y", false, "", time.Time{}); err == nil || !strings.Contains(err.Error(), `x is of the product "Tarn" and y of "Esk"`) {
		t.Errorf("%v", err)
	}
}

// One name of two makers is two products.
func TestMergeOfTwoMakers(t *testing.T) {
	w := begin(t, empty(t))
	defer w.Close()
	for _, maker := range []string{"Fellwright", "Moorgate", ""} {
		name := "of-" + maker
		r := aRecord(name+".vtt", "Sixty Five", name)
		r.Product.Maker = maker
		if _, err := w.Put(Addition{Record: r, Path: "../" + name + ".vtt"}); err != nil {
			t.Fatal(err)
		}
	}
	_, err := w.Merge("of-fellwright", "of-moorgate", false, "", time.Time{})
	if err == nil || !strings.Contains(err.Error(), `of-fellwright is of the maker "Fellwright" and of-moorgate of "Moorgate"`) {
		t.Errorf("%v", err)
	}
	if _, err := w.Merge("of-fellwright", "of", false, "", time.Time{}); err != nil { // nobody says whose it is
		t.Error(err)
	}
}

// Captions that name no product join no two products, and hide the name of none;
// where names are not known, the kinds of product are asked.
func TestMergeOfNamelessReviews(t *testing.T) {
	w := begin(t, empty(t))
	defer w.Close()
	put := func(file, product, kind, bytes string) error {
		r := aRecord(file+".vtt", product, bytes)
		r.Product.Maker, r.Product.Kind = "", kind
		_, err := w.Put(Addition{Record: r, Path: "../" + file + ".vtt"})
		return err
	}
	merge := func(into, from, want string) *Review {
		t.Helper()
		r, err := w.Merge(into, from, false, "", time.Time{})
		if got := fmt.Sprint(err); !strings.HasPrefix(got, want) {
			t.Errorf("%s with %s: %v, want %s", into, from, got, want)
		}
		return r
	}
	for _, one := range [][3]string{{"esk", "Esk", "charger"}, {"tarn", "Tarn", "charger"}, {"later", "", "charger"},
		{"bank", "", "power bank"}, {"hybrid", "", "power bank charger"}, {"unsaid", "", ""}} {
		if err := put(one[0], one[1], one[2], one[0]); err != nil {
			t.Fatal(err)
		}
	}
	r := merge("tarn", "later", "<nil>")
	if r.Title() != "Tarn" || len(r.Others()) != 1 {
		t.Errorf("%+v", r)
	}
	merge("tarn", "esk", `tarn is of the product "Tarn" and esk of "Esk"`)
	merge("tarn", "bank", `tarn is of the kind "charger" and bank of "power bank"`)
	merge("bank", "hybrid", "<nil>")
	merge("bank", "unsaid", "<nil>")

	// A file that named its product is of that, also when a version in between
	// named none.
	if err := errors.Join(put("esk", "", "charger", "esk, 2"), put("esk", "Esk", "charger", "esk, 3")); err != nil {
		t.Error(err)
	}
	err := errors.Join(put("esk", "", "charger", "esk, 4"), put("esk", "Usk", "charger", "esk, 5"))
	if !errors.As(err, new(*DoubtError)) {
		t.Errorf("another product: %v", err)
	}
	if _, err := w.Merge("tarn", "esk", true, "", time.Time{}); err != nil {
		t.Fatal(err)
	}
	for _, file := range []string{"esk", "tarn"} { // corrected, each is of the review of both
		if err := put(file, strings.ToUpper(file[:1])+file[1:], "charger", file+", corrected"); err != nil {
			t.Error(err)
		}
	}
}

func TestNearReviews(t *testing.T) {
	all := []*Review{
		{Name: "v1-en", Product: "Fellwright Tarn", Record: "1"}, {Name: "jetty-duo", Given: "Duo, second look", Record: "2"}, {Name: "moorgate-esk", Record: "3"},
	}
	for typed, want := range map[string]string{
		"jetty-dou": "jetty-duo", "v1-e": "v1-en", "Felwright Tarn": "v1-en", "the esk of moorgate": "moorgate-esk", "zzzzzz": "", "duo, second lok": "jetty-duo",
	} {
		if got := strings.Join(nearReviews(typed, all), "|"); got != want {
			t.Errorf("%s: %q, want %q", typed, got, want)
		}
	}
}

// The same captions at another path make no version: the path is noted, and the
// review is found there, at once, after a commit and by a new index; captions that
// changed at either path are its next version.
func TestCopiedCaptions(t *testing.T) {
	a := empty(t)
	put := func(path, bytes string) Added {
		t.Helper()
		w := begin(t, a)
		defer finish(t, w)
		got, err := w.Put(Addition{Record: aRecord(path, "Tarn", bytes), Path: path, When: day})
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	first := put("x/en.vtt", "a")
	for i, c := range []struct {
		path, bytes string
		version     int
		same        bool
		copyOf, at  string
	}{
		{"y/en.vtt", "a", 1, true, "x/en.vtt", "y/en.vtt"},
		{"x/en.vtt", "a", 1, true, "", "y/en.vtt"}, // it is known there
		{"y/en.vtt", "a", 1, true, "", "y/en.vtt"},
		{"", "a", 1, true, "y/en.vtt", "y/en.vtt"},         // no path to note
		{"x/en.vtt", "b", 2, false, "", "x/en.vtt"},        // another reading at a path of it
		{"w/en.vtt", "a", 2, true, "y/en.vtt", "x/en.vtt"}, // a copy of captions that are not the newest
		{"w2/en.vtt", "b", 2, true, "x/en.vtt", "w2/en.vtt"},
	} {
		got := put(c.path, c.bytes)
		if got.Review != first.Review || got.Version != c.version || got.Same != c.same || got.CopyOf != c.copyOf {
			t.Errorf("step %d: %+v, want %+v", i+1, got, c)
		}
		if _, err := a.store.Get(got.Record); err != nil {
			t.Errorf("step %d: the record named is not stored: %v", i+1, err)
		}
		for _, again := range []bool{false, true} {
			if again {
				if _, err := a.Reindex(nil); err != nil {
					t.Fatal(err)
				}
			}
			all, _, err := a.Reviews()
			if err != nil || len(all) != 1 || all[0].Path != c.at || all[0].Version != c.version ||
				!all[0].at(c.path) && c.path != "" {
				t.Errorf("step %d, built anew %v: %+v, %v", i+1, again, all, err)
			}
		}
	}
}
