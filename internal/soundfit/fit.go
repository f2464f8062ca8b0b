package main

import (
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strings"

	"saywatt/extract/sound"
	"saywatt/schema"
)

// pair is a row of pairs.tsv: what was shown, and what of the forms was meant;
// -1 for a word that stands for itself.
type pair struct {
	shown  []string
	form   int
	weight float64
}

// fitted are the weights that are fitted: the others say how the distances are
// used.
var fitted = []string{"place", "place_most", "manner", "manner_most", "voice", "height", "back", "to", "vowel_glide",
	"lose_stop", "lose_fricative", "lose_nasal", "lose_liquid", "lose_glide", "lose_breath", "lose_vowel", "lose_twin",
	"lose_last"}

// The fit: weights are stepped by factors, and pay for being far from the
// weights that they start from.
const (
	penalty   = 2
	firstStep = 1.25
	lastStep  = 1.02
	searchFar = 2.5 // distance beyond which a form has no share
)

// fitWeights prints the weights under which the forms meant are likeliest,
// given the words shown, and common words likeliest to stand for themselves:
// the share of a form is exp(-scale × distance), that of no form what a
// distance of most_unit a phone has.
func fitWeights(out io.Writer, files []string) error {
	if len(files) != 1 {
		return fmt.Errorf("-weights takes one file of pairs")
	}
	forms, err := readForms()
	if err != nil {
		return err
	}
	pairs, err := readPairs(files[0], forms)
	if err != nil {
		return err
	}
	names, start, err := sound.Weights()
	if err != nil {
		return err
	}
	value := map[string]float64{}
	for i, n := range names {
		value[n] = start[i]
	}
	first := value
	loss := func(v map[string]float64) float64 {
		l, err := lossOf(v, forms, pairs)
		if err != nil {
			panic(err) // the names are those of the table
		}
		for _, n := range fitted {
			d := math.Log(v[n] / first[n])
			l += penalty * d * d
		}
		return l
	}
	best := loss(value)
	fmt.Fprintf(out, "# loss at the start %.2f over %d pairs\n", best, len(pairs))
	for step := firstStep; step > lastStep; {
		moved := false
		for _, n := range fitted {
			for _, f := range []float64{step, 1 / step} {
				v := copyOf(value)
				v[n] *= f
				if l := loss(v); l < best {
					best, value, moved = l, v, true
				}
			}
		}
		if !moved {
			step = math.Sqrt(step)
		}
	}
	fmt.Fprintf(out, "# loss at the end %.2f\n", best)
	for _, n := range names {
		if slices.Contains(fitted, n) {
			fmt.Fprintf(out, "%s\t%.3f\n", n, value[n])
		}
	}
	return nil
}

func copyOf(m map[string]float64) map[string]float64 {
	c := make(map[string]float64, len(m))
	for k, v := range m {
		c[k] = v
	}
	return c
}

// lossOf is -ln of how likely the pairs are under the weights.
func lossOf(v map[string]float64, forms []form, pairs []pair) (float64, error) {
	m, err := sound.WithWeights(v)
	if err != nil {
		return 0, err
	}
	said := make([][]sound.Phone, len(forms))
	for i, f := range forms {
		for _, w := range f.words {
			said[i] = m.Say(said[i], []byte(w))
		}
	}
	x := m.NewIndex(said)
	loss := 0.0
	var found []sound.Match
	near := map[string]float64{}
	for _, p := range pairs {
		var heard []sound.Phone
		for _, w := range p.shown {
			heard = m.Say(heard, []byte(w))
		}
		own := math.Exp(-v["scale"] * v["most_unit"] * float64(len(heard)))
		clear(near)
		found = x.Near(found[:0], heard, searchFar)
		for _, f := range found { // forms of one meaning count once
			means := forms[f.ID].means
			near[means] = max(near[means], math.Exp(-v["scale"]*float64(f.Distance)))
		}
		sum := own
		for _, means := range slices.Sorted(keysOf(near)) {
			sum += near[means]
		}
		share := own
		if p.form >= 0 {
			share = max(near[forms[p.form].means], 1e-6)
		}
		loss -= p.weight * math.Log(share/sum)
	}
	return loss, nil
}

func keysOf(m map[string]float64) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// form is a number word or a unit as spoken.
type form struct {
	words []string
	means string
}

// readForms reads the number words and the spoken units.
func readForms() ([]form, error) {
	var forms []form
	dir := os.DirFS("extract")
	words, err := schema.ReadTable(dir, "tables/words.tsv")
	if err != nil {
		return nil, err
	}
	for _, r := range words.Rows {
		switch r.Get("class") {
		case "digit", "teen", "tens":
			forms = append(forms, form{[]string{r.Get("word")}, r.Get("value")})
		}
	}
	units, err := schema.ReadTable(dir, "tables/unitsounds.tsv")
	if err != nil {
		return nil, err
	}
	for _, r := range units.Rows {
		forms = append(forms, form{strings.Split(r.Get("form"), "-"), r.Get("unit")})
	}
	return forms, nil
}

// readPairs reads the pairs, and the common words that stand for themselves.
func readPairs(file string, forms []form) ([]pair, error) {
	t, err := schema.ReadTable(os.DirFS("."), file)
	if err != nil {
		return nil, err
	}
	var pairs []pair
	shown := map[string]bool{}
	for _, r := range t.Rows {
		k := slices.IndexFunc(forms, func(f form) bool { return f.means == r.Get("means") })
		if k < 0 {
			return nil, fmt.Errorf("%s:%d: nothing means %s", file, r.Line, r.Get("means"))
		}
		var n float64
		if _, err := fmt.Sscan(r.Get("n"), &n); err != nil {
			return nil, fmt.Errorf("%s:%d: n: %w", file, r.Line, err)
		}
		shown[r.Get("shown")] = true
		pairs = append(pairs, pair{strings.Fields(r.Get("shown")), k, math.Log1p(n)})
	}
	common, err := schema.ReadTable(os.DirFS("extract/sound"), "tables/common.tsv")
	if err != nil {
		return nil, err
	}
	for _, r := range common.Rows {
		w := r.Get("word")
		if shown[w] || slices.ContainsFunc(forms, func(f form) bool { return slices.Contains(f.words, w) }) {
			continue
		}
		pairs = append(pairs, pair{[]string{w}, -1, 0.1})
	}
	return pairs, nil
}
