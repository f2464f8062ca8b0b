package archive

import (
	"testing"

	"saywatt/schema"
)

// doubtful is an archive of three reviews of one fuse each: where the current
// belongs is sure in the first, doubtful in the second, unlikely in the third. The
// third has another fuse of the same current, which is sure of its place, where
// twice is set.
func doubtful(t *testing.T, twice bool) *Archive {
	t.Helper()
	third := "doubtful/c"
	if twice {
		third = "doubtful/c-twice"
	}
	return stored(t, "doubtful/a", "doubtful/b", third)
}

// What a search finds has the mark of its place.
func TestSearchTellsOfPlaces(t *testing.T) {
	r := search(t, doubtful(t, false), Request{Query: "fuse 2.5A", Sort: "name"})
	if len(r.Hits) != 3 {
		t.Fatalf("%d reviews", len(r.Hits))
	}
	for i, want := range []string{"2.5 A", "2.5 A†", "2.5 A‡"} {
		m := r.Hits[i].Matches
		if len(m) != 1 || m[0].Fact.Value()+m[0].Fact.Mark() != want {
			t.Errorf("review %d: %+v, want %q", i, m, want)
		}
	}
}

// A distribution counts how many of its values may belong elsewhere; a value that a
// review says twice is as sure as the surest.
func TestStatsTellOfPlaces(t *testing.T) {
	for _, x := range []struct {
		twice  bool
		within string
		values int
		may    int
		likely int
	}{
		{false, "", 3, 1, 1},
		{true, "", 3, 1, 0},
		{false, "review:c", 1, 0, 1},
		{false, "review:a", 1, 0, 0},
	} {
		a := doubtful(t, x.twice)
		for _, subject := range []string{"fuse current", "part current"} {
			d, err := a.Stats(subject, x.within)
			if err != nil {
				t.Fatal(err)
			}
			if d.Values != x.values || d.Places[schema.PlaceUncertain] != x.may ||
				d.Places[schema.PlaceUnlikely] != x.likely {
				t.Errorf("%s, %+v: %d values, places %v", subject, x, d.Values, d.Places)
			}
		}
	}
}

// A comparison has the marks of places. They make no difference: what is said is
// the same.
func TestCompareTellsOfPlaces(t *testing.T) {
	c, err := doubtful(t, false).Compare("a", "b", "c")
	if err != nil {
		t.Fatal(err)
	}
	var fuse *Row
	for i := range c.Rows {
		if c.Rows[i].Label == "fuse" {
			fuse = &c.Rows[i]
		}
	}
	if fuse == nil || fuse.Differs {
		t.Fatalf("the row of the fuse: %+v", fuse)
	}
	for i, want := range []string{"2.5 A", "2.5 A†", "2.5 A‡"} {
		if got := fuse.Cells[i].Text + fuse.Cells[i].Mark(); got != want {
			t.Errorf("cell %d: %q, want %q", i, got, want)
		}
	}
}
