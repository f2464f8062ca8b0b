package desk

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"saywatt/internal/export"
	"saywatt/schema"
)

// A readingView is one reading with its weight.
type readingView struct {
	Key     int
	Text    string
	Value   string // JSON, for the form
	Percent string
	Width   string // of its bar, 0 to 100
	Chosen  bool   // by the engine
	Stands  bool   // in the record
	Literal bool   // what the words say as they stand
	For     []reason
	Against []reason
	Versus  string // the reading it is weighed against
	Decided bool   // by a person
}

// A reason is one piece of evidence, and by what factor it shifts the odds.
type reason struct {
	Name   string
	Note   string
	Factor string
	Score  float64
}

// maxReadings bounds the readings shown: there are as many keys.
const maxReadings = 5

// readingsOf lists the readings of a quantity, each weighed against its
// strongest rival: what shifts the odds towards it, and what away from it.
func readingsOf(said *schema.Said) []readingView {
	all := said.Readings[:min(len(said.Readings), maxReadings)]
	views := make([]readingView, len(all))
	for i := range all {
		v := &views[i]
		*v = readingView{Key: i + 1, Text: export.Quantity(&all[i].Quantity), Value: asJSON(&all[i].Quantity), Percent: export.Percent(all[i].Confidence),
			Width: strconv.FormatFloat(100*math.Max(0, math.Min(1, all[i].Confidence)), 'f', 1, 64), Chosen: all[i].Quantity.Same(said.Quantity)}
		v.Literal = isLiteral(&all[i])
		if rival := rivalOf(all, i); rival != nil {
			v.Versus = export.Quantity(&rival.Quantity)
			v.For, v.Against = weigh(&all[i], rival)
		}
	}
	return views
}

// restOf is the probability that none of the readings shown is what was said:
// that it was another, or no quantity. It makes up what those shown leave.
func restOf(said *schema.Said) string {
	rest := 100
	for i := range said.Readings[:min(len(said.Readings), maxReadings)] {
		rest -= int(math.Round(100 * said.Readings[i].Confidence))
	}
	return export.Percent(float64(rest) / 100)
}

func rivalOf(all []schema.Reading, i int) *schema.Reading {
	switch {
	case i > 0:
		return &all[0]
	case len(all) > 1:
		return &all[1]
	}
	return nil
}

// slightest is the difference of scores below which a term says nothing that a
// person could use: a factor of 1.2 on the odds.
const slightest = 0.18

// weigh compares the terms of two readings.
func weigh(of, rival *schema.Reading) (pro, contra []reason) {
	score := func(r *schema.Reading, name string) (sum float64, note string) {
		for _, t := range r.Terms {
			if t.Name == name {
				sum += t.Score
				note = t.Note
			}
		}
		return sum, note
	}
	var names []string
	for _, r := range []*schema.Reading{of, rival} {
		for _, t := range r.Terms {
			if !slices.Contains(names, t.Name) {
				names = append(names, t.Name)
			}
		}
	}
	for _, name := range names {
		mine, note := score(of, name)
		theirs, other := score(rival, name)
		diff := mine - theirs
		if math.IsNaN(diff) || math.Abs(diff) < slightest {
			continue
		}
		words, means := schema.TermWords(name)
		n := reason{Name: words, Note: reasonNote(name, means, note, other), Factor: factor(math.Abs(diff)), Score: math.Abs(diff)}
		if diff > 0 {
			pro = append(pro, n)
		} else {
			contra = append(contra, n)
		}
	}
	heaviest := func(a, b reason) int { return cmp.Compare(b.Score, a.Score) }
	slices.SortStableFunc(pro, heaviest)
	slices.SortStableFunc(contra, heaviest)
	return pro, contra
}

// reasonNote says what a term weighs, and what it rests on.
func reasonNote(name, means, note, other string) string {
	switch {
	case name == "channel" && note != "" && other != "" && note != other:
		return note + "; the other: " + other
	case note == "":
		return means
	case name == "prior":
		return means + " (" + note + ")"
	}
	return note
}

// factor writes by what the odds are shifted.
func factor(diff float64) string {
	f := math.Exp(diff)
	switch {
	case f >= 1000:
		return "× over 1000"
	case f >= 10:
		return "× " + strconv.FormatFloat(f, 'f', 0, 64)
	}
	return "× " + strconv.FormatFloat(f, 'f', 1, 64)
}
