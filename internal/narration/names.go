package narration

import (
	"maps"
	"strings"
	"unicode"
)

// exchange holds the made-up names of a narration: of makers by the first word
// of the true name, of part numbers by the true one.
type exchange struct {
	makers map[string]string
	used   map[string]bool
	parts  map[string]string
}

// names exchanges the names of makers and part numbers. A name that the
// captions garbled is shown as meant.
func (w *world) names() {
	w.exchange = exchange{makers: map[string]string{}, used: map[string]bool{}, parts: map[string]string{}}
	w.head = maps.Clone(w.base.n.Head)
	delete(w.head, "heard") // of names that stand in the text no more
	own := w.base.n.Head["maker"]
	for _, k := range []string{"title", "name", "maker"} {
		if own != "" {
			w.head[k] = w.withMakers(w.head[k], []string{own})
		}
	}
	w.each(func(p *piece) {
		if p.mark.Kind != MarkName {
			return
		}
		shown, meant := p.text, p.mark.Name
		switch p.mark.Slot {
		case "maker":
			p.mark.Name = w.maker(w.ownName(p.from, meant))
		case "product", "model":
			p.mark.Name = w.product(p.from, meant)
		case "partno":
			p.mark.Name = w.part(meant)
			p.text = respell(shown, meant, p.mark.Name)
			return
		default:
			return
		}
		switch theirs := p.from.n.Head["maker"]; {
		case shown == meant:
			p.text = p.mark.Name
		case p.mark.Name == meant:
		case theirs != "" && strings.Contains(meant, theirs) && strings.HasSuffix(meant, shown) && shown != "":
			// the product without its maker
		default:
			p.text = p.mark.Name
		}
	})
	for i := range w.paragraphs {
		for k := range w.paragraphs[i].pieces {
			p := &w.paragraphs[i].pieces[k]
			if p.mark == nil {
				p.text = w.withMakers(p.text, []string{own, p.from.n.Head["maker"]})
			}
		}
	}
}

// ownName is the base's maker for the maker of another narration's product.
func (w *world) ownName(from *source, maker string) string {
	if own := w.base.n.Head["maker"]; own != "" && maker == from.n.Head["maker"] {
		return own
	}
	return maker
}

// product exchanges the maker in the name of a product; the product of another
// narration becomes the base's.
func (w *world) product(from *source, meant string) string {
	if from != w.base && meant == from.n.Head["name"] && w.base.n.Head["name"] != "" {
		return w.head["name"]
	}
	return w.withMakers(meant, []string{from.n.Head["maker"]})
}

// withMakers exchanges the makers where they stand as words of the text.
func (w *world) withMakers(text string, makers []string) string {
	for _, maker := range makers {
		if maker == "" || !strings.Contains(text, maker) {
			continue
		}
		text = strings.ReplaceAll(text, maker, w.maker(maker))
	}
	return text
}

// maker returns the made-up name of a maker; what follows its first word stays.
func (w *world) maker(name string) string {
	first, rest, more := strings.Cut(name, " ")
	made, ok := w.exchange.makers[first]
	for !ok {
		made = w.tables.first[w.rng.IntN(len(w.tables.first))] + w.tables.last[w.rng.IntN(len(w.tables.last))]
		if ok = !w.exchange.used[made]; ok {
			w.exchange.makers[first], w.exchange.used[made] = made, true
		}
	}
	if more {
		return made + " " + rest
	}
	return made
}

// part returns the made-up part number: other letters and digits in the same
// places.
func (w *world) part(number string) string {
	if made, ok := w.exchange.parts[number]; ok {
		return made
	}
	b := []byte(number)
	for i, c := range b {
		switch {
		case c >= 'A' && c <= 'Z':
			b[i] = 'A' + byte(w.rng.IntN(26))
		case c >= 'a' && c <= 'z':
			b[i] = 'a' + byte(w.rng.IntN(26))
		case c >= '1' && c <= '9':
			b[i] = '1' + byte(w.rng.IntN(9))
		}
	}
	w.exchange.parts[number] = string(b)
	return string(b)
}

// respell shows the new part number as the old one was shown, letter for
// letter; where that was garbled it is shown as meant.
func respell(shown, old, made string) string {
	isSign := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }
	signs := func(s string) []rune {
		var out []rune
		for _, r := range s {
			if isSign(r) {
				out = append(out, r)
			}
		}
		return out
	}
	was, now := signs(old), signs(made)
	if len(was) != len(now) || !strings.EqualFold(string(signs(shown)), string(was)) {
		return made
	}
	var b strings.Builder
	k := 0
	for _, r := range shown {
		if isSign(r) {
			r, k = now[k], k+1
		}
		b.WriteRune(r)
	}
	return b.String()
}

// nameRows puts the made-up names into the rows of parts, and adds the rows of
// parts that are named and have no rating.
func (w *world) nameRows(n *Narration) {
	have := map[string]bool{}
	for i := range n.Parts {
		p := &n.Parts[i]
		w.rename(p)
		have[p.Part] = true
	}
	w.each(func(x *piece) {
		if x.mark.Kind != MarkName || x.mark.Slot != "partno" || have[x.mark.Name] {
			return
		}
		for i := range x.from.n.Parts {
			p := x.from.n.Parts[i]
			if p.Part == "" || w.exchange.parts[p.Part] != x.mark.Name {
				continue
			}
			w.rename(&p)
			n.addPart(&p)
			have[p.Part] = true
			return
		}
	})
}

// rename gives a row the names that stand in the text; others were not marked
// there and stay.
func (w *world) rename(p *Part) {
	first, _, _ := strings.Cut(p.Maker, " ")
	if _, ok := w.exchange.makers[first]; ok {
		p.Maker = w.maker(p.Maker)
	}
	if made, ok := w.exchange.parts[p.Part]; ok {
		p.Part = made
	}
}
