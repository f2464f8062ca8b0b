package sound

import (
	"fmt"
	"math"
	"strconv"

	"saywatt/schema"
)

// weights are the rows of weights.tsv by name.
type weights map[string]float32

// feature is a row of phones.tsv.
type feature struct {
	vowel            bool
	height, back     int
	toHeight, toBack int
	place, manner    int
	voiced           bool
}

// The manners of phones.tsv.
const (
	mannerStop      = 1
	mannerFricative = 3
	mannerNasal     = 4
	mannerLiquid    = 5
	mannerGlide     = 6
	placeGlottis    = 8
)

// loadPhones reads phones.tsv and works out what phones cost.
func (m *Model) loadPhones(w weights) error {
	t, err := schema.ReadTable(tables, "tables/phones.tsv")
	if err != nil {
		return err
	}
	if len(t.Rows) >= maxPhones {
		return fmt.Errorf("phones.tsv: %d rows, at most %d", len(t.Rows), maxPhones-1)
	}
	list := []feature{{}}
	for _, r := range t.Rows {
		f := feature{vowel: r.Get("kind") == "vowel", voiced: r.Get("voiced") == "1"}
		for name, v := range map[string]*int{"height": &f.height, "back": &f.back, "to_height": &f.toHeight,
			"to_back": &f.toBack,
			"place":   &f.place, "manner": &f.manner} {
			if *v, err = strconv.Atoi(r.Get(name)); err != nil {
				return fmt.Errorf("phones.tsv:%d: %s: %w", r.Line, name, err)
			}
		}
		m.vowel[len(list)], m.liquid[len(list)] = f.vowel, !f.vowel && f.manner == mannerLiquid
		m.stop[len(list)] = !f.vowel && f.manner == mannerStop
		list = append(list, f)
		m.names = append(m.names, r.Get("phone"))
	}
	for i := 1; i < len(list); i++ {
		m.lose[i] = list[i].lose(w)
		for j := 1; j < len(list); j++ {
			m.swap[i][j] = min(list[i].apart(list[j], w), m.lose[i]+list[j].lose(w))
		}
	}
	m.twin, m.cluster, m.last = w["lose_twin"], w["lose_cluster"], w["lose_last"]
	return nil
}

// lose is the cost of a phone that only one side has.
func (f feature) lose(w weights) float32 {
	switch {
	case f.vowel:
		return w["lose_vowel"]
	case f.place == placeGlottis:
		return w["lose_breath"]
	}
	switch f.manner {
	case mannerFricative:
		return w["lose_fricative"]
	case mannerNasal:
		return w["lose_nasal"]
	case mannerLiquid:
		return w["lose_liquid"]
	case mannerGlide:
		return w["lose_glide"]
	}
	return w["lose_stop"]
}

// apart is the cost of one phone for another; a vowel and a consonant have
// nothing in common, but for glides, which are short vowels.
func (f feature) apart(g feature, w weights) float32 {
	steps := func(a, b int) float32 { return float32(math.Abs(float64(a - b))) }
	switch {
	case f == g:
		return 0
	case f.vowel && g.vowel:
		return w["height"]*steps(f.height, g.height) + w["back"]*steps(f.back, g.back) +
			w["to"]*(steps(f.toHeight, g.toHeight)+steps(f.toBack, g.toBack))
	case f.vowel != g.vowel:
		if f.manner == mannerGlide || g.manner == mannerGlide {
			return w["vowel_glide"]
		}
		return float32(math.Inf(1))
	}
	c := min(w["place"]*steps(f.place, g.place), w["place_most"]) +
		min(w["manner"]*steps(f.manner, g.manner), w["manner_most"])
	if f.voiced != g.voiced {
		c += w["voice"]
	}
	return c
}
