package picture

import (
	"image/color"
	"strings"

	"gonum.org/v1/plot/vg"

	"saywatt/schema"
)

type colorOf = color.Color

// nameOf is what the pictures call the product: by the title of the review, where
// one was given.
func nameOf(r *schema.Record) string {
	for _, name := range []string{r.Source.Title, r.Product.Name} {
		if name = strings.Join(strings.Fields(name), " "); name != "" {
			return name
		}
	}
	return "Product without a name"
}

// plain writes a value of a record with the sign of its status, and that of its
// place where it may belong elsewhere.
func plain(r *schema.Record, v *schema.Value) string {
	return v.Quantity.String() + mark(v.Status) + r.PlaceDoubtOf(v).Mark()
}

// mark is the sign behind a value: what sheets have, but for the root, since the
// typeface has no check mark.
func mark(s schema.Status) string {
	if s == schema.StatusSettled {
		return settledSign
	}
	return s.Mark()
}

// settledSign stands behind what a person settled.
const settledSign = "√"

// signLegend explains the signs that occur, in lines as wide as the picture has room
// for.
func signLegend(marks string, most vg.Length) (all []string) {
	signs := []struct{ sign, meaning string }{{"*", "repaired"}, {"?", "needs your ear"},
		{settledSign, "settled by a person"}}
	for d := schema.PlaceUncertain; d <= schema.PlaceUnlikely; d++ {
		signs = append(signs, struct{ sign, meaning string }{d.Mark(), d.Words()})
	}
	line := ""
	for _, m := range signs {
		if !strings.Contains(marks, m.sign) {
			continue
		}
		entry := m.sign + " " + m.meaning
		if longer := line + "   " + entry; line != "" && width(longer, sizeSmall) > most {
			all, line = append(all, line), entry
		} else {
			line = strings.TrimSpace(longer)
		}
	}
	if line != "" {
		all = append(all, line)
	}
	return all
}

// ends gives both ends of a value in a unit; false where it is absent or of
// another kind.
func ends(v *schema.Value, u schema.Unit) (low, high float64, ok bool) {
	if v == nil || v.Quantity.IsZero() {
		return 0, 0, false
	}
	l, err := v.Quantity.Unit.Convert(v.Quantity.Low, u)
	if err != nil {
		return 0, 0, false
	}
	h, err := v.Quantity.Unit.Convert(v.Quantity.High, u)
	return l.Float64(), h.Float64(), err == nil
}

// modeWords puts an operating mode in words: "mains/output-shared" into
// "shared output, mains mode".
func modeWords(mode string) string {
	product, flow := "", mode
	if i := strings.LastIndexByte(mode, '/'); i >= 0 {
		product, flow = mode[:i], mode[i+1:]
	}
	if flow == "output-shared" {
		flow = "shared output"
	}
	if flow == "" {
		flow = "mode not stated"
	}
	if product != "" {
		flow += ", " + strings.NewReplacer("_", " ", ".", " ").Replace(product) + " mode"
	}
	return flow
}

// joinWords joins what is not empty with blanks.
func joinWords(words ...string) string {
	var kept []string
	for _, w := range words {
		if w != "" {
			kept = append(kept, w)
		}
	}
	return strings.Join(kept, " ")
}
