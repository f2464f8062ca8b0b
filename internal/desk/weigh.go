package desk

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"saywatt/internal/export/word"
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
	shares := sharesOf(said).Readings
	for i := range all {
		v := &views[i]
		*v = readingView{Key: i + 1, Text: word.Quantity(&all[i].Quantity), Value: asJSON(&all[i].Quantity),
			Percent: shares[i],
			Width:   strconv.FormatFloat(100*math.Max(0, math.Min(1, all[i].Confidence)), 'f', 1, 64),
			Chosen:  all[i].Quantity.Same(said.Quantity)}
		v.Literal = isLiteral(&all[i])
		if rival := rivalOf(all, i); rival != nil {
			v.Versus = word.Quantity(&rival.Quantity)
			v.For, v.Against = weigh(&all[i], rival)
		}
	}
	return views
}

// shares are the probabilities of a question as they are shown: of the readings, of
// no quantity, and of what none of these is. They add up to 100 %.
type shares struct {
	Readings      []string
	Nothing, Rest string
}

// sharesOf rounds the probabilities of a quantity.
func sharesOf(said *schema.Said) shares {
	of := make([]float64, 0, maxReadings+1)
	for i := range said.Readings[:min(len(said.Readings), maxReadings)] {
		of = append(of, said.Readings[i].Confidence)
	}
	words, rest := rounded(append(of, said.Nothing))
	return shares{words[:len(words)-1], words[len(words)-1], rest}
}

// placeShares rounds the probabilities of what a quantity may belong to.
func placeShares(all []schema.Belonging) (words []string, rest string) {
	of := make([]float64, len(all))
	for i := range all {
		of[i] = all[i].Confidence
	}
	return rounded(of)
}

// rounded are probabilities as they are shown, and what is left of 100 % beside
// them. Each is shown as the sheet shows it. Where rounding made more than 100 of
// them, what was rounded up most is one less.
func rounded(of []float64) (words []string, others string) {
	shown, left := make([]int, len(of)), 100
	sure, rest := false, 1.0
	for i, p := range of {
		sure, rest = sure || p >= allButSure, rest-p
		if p >= leastShown {
			shown[i] = int(math.RoundToEven(100 * p)) // as word.Percent rounds
		}
		left -= shown[i]
	}
	words = make([]string, len(of))
	for i, p := range of {
		words[i] = word.Percent(p)
	}
	switch {
	case sure: // hardly anything is left, which no whole figure shows
		others = word.Percent(max(0, rest))
	case left >= 0:
		others = word.Percent(float64(left) / 100)
	default:
		for ; left < 0; left++ {
			most := 0
			for i := range of {
				if float64(shown[i])-100*of[i] > float64(shown[most])-100*of[most] {
					most = i
				}
			}
			shown[most]--
			words[most] = word.Percent(float64(shown[most]) / 100)
		}
		others = word.Percent(0)
	}
	return words, others
}

// allButSure is the probability from which "over 99 %" is shown, and leastShown
// that below which "under 1 %" is (word.Percent).
const (
	allButSure = 0.995
	leastShown = 0.01
)

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
		n := reason{Name: words, Note: reasonNote(name, means, note, other), Factor: factor(math.Abs(diff)),
			Score: math.Abs(diff)}
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
