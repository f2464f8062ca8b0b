package archive

import (
	"fmt"
	"path/filepath"
	"reflect"
	"testing"
)

// severalOf makes an archive of n generated reviews, and one of as many shards
// that share them.
func severalOf(t testing.TB, n, shards int) (*Archive, *Several, string) {
	t.Helper()
	dir := t.TempDir()
	one := empty(t)
	writers := []*Writer{begin(t, one)}
	for i := range shards {
		a, err := Create(filepath.Join(dir, fmt.Sprintf("shard-%03d", i)))
		if err != nil {
			t.Fatal(err)
		}
		defer a.Close()
		writers = append(writers, begin(t, a))
	}
	for i := range n {
		r := generated(i)
		for _, w := range []*Writer{writers[0], writers[1+i*i%shards]} {
			if _, err := w.Add(r.Source.File, r, "Ada", day.AddDate(0, 0, i%7), false); err != nil {
				t.Fatal(err)
			}
		}
	}
	for _, w := range writers {
		finish(t, w)
	}
	dirs := ShardsIn(dir)
	if len(dirs) != shards {
		t.Fatalf("shards %q", dirs)
	}
	all, err := OpenSeveral(dirs...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { all.Close() })
	return one, all, dir
}

// Shards answer as one archive of all reviews does: what is found, in what
// order, on which page, the facets, the spelling taken.
func TestSeveralAnswerAsOne(t *testing.T) {
	one, all, _ := severalOf(t, 90, 3)
	maker := generated(4).Product.Maker
	queries := []string{
		"", "charger", "power >= 65 W", "cell:21700", "not cable", "maker:" + maker, maker, maker[:len(maker)-1] + "q",
		"maker:" + maker[:len(maker)-1] + "q", `level:"20 V 3 A"`, "efficiency 85..90 %", "capacitor", "fuse 2.5A", "temperature > 60 Cel or kind:cable",
		"protocol:PPS power < 100 W", "orrin*", "nothingiscalledthis", `"power bank"`, "bulk capacitor >= 100 uF", maker + " charger",
	}
	noted := 0
	for _, query := range queries {
		for _, sort := range Sorts() {
			for _, page := range [][2]int{{3, 5}, {0, 100}} {
				q := Request{Query: query, Sort: sort, Offset: page[0], Limit: page[1], Facets: true}
				want, err := one.Search(q)
				if err != nil {
					t.Fatalf("%+v: %v", q, err)
				}
				got, err := all.Search(q)
				if err != nil {
					t.Fatalf("%+v: %v", q, err)
				}
				noted += len(want.Notes)
				if !reflect.DeepEqual(got, want) {
					t.Errorf("%+v: %d of %d, %v, %q\nnot %d of %d, %v, %q", q, len(got.Hits), got.Total, names(got),
						got.Notes, len(want.Hits), want.Total, names(want), want.Notes)
				}
			}
		}
	}
	if noted == 0 {
		t.Error("no spelling was taken for another: the test asks for less than it should")
	}
	if _, err := all.Search(Request{Query: "power >="}); err == nil {
		t.Error("a query that cannot be read is answered")
	}
	if _, err := all.Search(Request{Sort: "colour"}); err == nil {
		t.Error("an order that there is not is taken")
	}
}
