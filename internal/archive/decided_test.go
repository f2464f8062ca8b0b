package archive

import (
	"reflect"
	"testing"
	"time"

	"saywatt/schema"
	"saywatt/validate"
)

// The rules are asked anew of a record in which decisions stand, and a review is one
// that was decided on until a version is there that was read later.
func TestFindingsFollowDecisions(t *testing.T) {
	a := pair(t)
	if n := search(t, a, Request{Query: "rule:level-within-claim"}).Total; n != 0 {
		t.Fatalf("level-within-claim objects to %d reviews before anything was decided", n)
	}
	since := func() int {
		t.Helper()
		all, damages, err := a.Reviews()
		if err != nil || len(damages) > 0 {
			t.Fatal(err, damages)
		}
		return a.DecidedSince(all)
	}
	if n := since(); n != 0 {
		t.Errorf("%d decided on before anything was", n)
	}
	_, r, _, err := a.Record("tarn")
	if err != nil {
		t.Fatal(err)
	}
	w := begin(t, a)
	odd := schema.MustQuantity("45 W")
	if err := w.settle("tarn", r.Claims[0].Value.Said[0], &odd, "Ada", "", day.Add(time.Hour)); err != nil {
		t.Fatal(err)
	}
	finish(t, w)
	_, r, _, err = a.Record("tarn")
	if err != nil {
		t.Fatal(err)
	}
	if want := validate.Check(r); len(want) == 0 || !reflect.DeepEqual(r.Findings, want) {
		t.Errorf("findings %+v, want %+v", r.Findings, want)
	}
	if got := names(search(t, a, Request{Query: "rule:level-within-claim"})); len(got) != 1 || got[0] != "tarn" {
		t.Errorf("20 V and 3.25 A of a claimed 45 W: level-within-claim objects to %q", got)
	}
	if n := since(); n != 1 {
		t.Errorf("%d decided on, want 1", n)
	}
	w = begin(t, a)
	r.Product.Model = "read with it"
	if _, err := w.Add("tarn", r, "Ada", day.Add(2*time.Hour), true); err != nil {
		t.Fatal(err)
	}
	finish(t, w)
	if n := since(); n != 0 {
		t.Errorf("%d decided on since it was read again", n)
	}
}
