package narration

import "strings"

// Shares of made narrations that say some things in another manner, and of
// paragraphs that a filler goes before in those that have fillers.
const (
	shareBetween = 0.5
	shareAmpere  = 0.5
	shareFillers = 0.4
	shareFiller  = 0.4
)

// manners says the same in another manner: between volts and amperes, the word
// for amperes, and sentences that say nothing.
func (w *world) manners() {
	if w.chance(shareBetween) {
		w.sayBetween(w.pick("between"))
	}
	if w.chance(shareAmpere) {
		kind := "ampere"
		if w.chance(1.0 / 3) {
			kind = "symbol"
		}
		w.sayAmperes(w.pick(kind), kind == "symbol")
	}
	if w.chance(shareFillers) {
		w.fill()
	}
}

// pick draws a text of the table of manners.
func (w *world) pick(what string) string {
	list := w.tables.manners[what]
	return list[w.rng.IntN(len(list))]
}

// sayBetween puts the text between the volts and amperes of levels, where
// another of the table stands.
func (w *world) sayBetween(text string) {
	for i := range w.paragraphs {
		p := w.paragraphs[i].pieces
		for k := 2; k < len(p); k++ {
			v, gap, a := p[k-2].mark, &p[k-1], p[k].mark
			if v == nil || a == nil || gap.mark != nil || v.Kind != MarkQuantity || a.Kind != MarkQuantity ||
				v.Slot != a.Slot ||
				v.Meant.Unit != "V" || a.Meant.Unit != "A" || p[k].from.n.Level(a.Table()) == nil {
				continue
			}
			for _, known := range w.tables.manners["between"] {
				if gap.text == known {
					gap.text = text
					break
				}
			}
		}
	}
}

// sayAmperes says the unit of currents so; a symbol stands behind digits only.
func (w *world) sayAmperes(unit string, symbol bool) {
	w.each(func(p *piece) {
		if p.mark.Kind != MarkQuantity || p.mark.Meant.Unit != "A" || p.say == nil || symbol && p.say.words {
			return
		}
		for _, known := range w.tables.manners["ampere"] {
			one := strings.TrimSuffix(known, "s")
			if p.say.unit == known || p.say.unit == one && symbol {
				p.say.unit = unit
				p.text = p.say.String()
				return
			}
		}
	})
}

// fill puts sentences that say nothing between paragraphs.
func (w *world) fill() {
	var out []paragraph
	for i, p := range w.paragraphs {
		if i > 0 && !w.paragraphs[i-1].heading() && w.chance(shareFiller) {
			out = append(out, paragraph{pieces: []piece{{text: w.pick("filler"), from: w.base}}})
		}
		out = append(out, p)
	}
	w.paragraphs = out
}
