package extract

import (
	"math/bits"
	"slices"
	"strconv"
	"strings"

	"saywatt/extract/feature"
	"saywatt/extract/product"
)

// ProductFeatures lists what speaks for a kind of product: the words of the
// review and how often each kind of quantity is said.
func (d *Document) ProductFeatures(list feature.List) []int32 {
	list.Rows = list.Rows[:0]
	list.Put("any")
	text, before, words := d.Transcript.Text, "", 0
	var room [32]byte
	for i := range d.Tokens {
		t := &d.Tokens[i]
		if t.Kind != TokenWord || t.End-t.Start > int32(len(room)) {
			if t.Kind != TokenBreak {
				before = ""
			}
			continue
		}
		if v, n := d.Lexicon.cue.phrases.match(d.Tokens, i); t.Word != 0 && n > 0 {
			for _, e := range d.Lexicon.cue.cues[v] {
				if e.kind == effectProduct {
					list.Put("says:", e.value)
				}
			}
		}
		w := string(foldInto(room[:0], text[t.Start:t.End]))
		if t.Apart > 0 { // heard again
			w = d.Lexicon.entries[t.Word].text
		}
		list.Put("w:", w)
		if words++; words <= int(d.Lexicon.window.introduction) {
			list.Put("i:", w)
		}
		if before != "" && product.IsHead(w) {
			list.Put("b:", before, " ", w)
			if words <= int(d.Lexicon.window.introduction) {
				list.Put("ib:", before, " ", w)
			}
		}
		before = w
	}
	counts := map[string]int{}
	var said []string // so that features are numbered in one order
	for i := range d.Mentions {
		if m := &d.Mentions[i]; m.From == UnitOwn {
			name := kindName(m)
			if counts[name]++; counts[name] == 1 {
				said = append(said, name)
			}
		}
	}
	for _, name := range said {
		list.Put("u:", name)
		list.Put("u:", name, " ", strconv.Itoa(min(5, bits.Len(uint(counts[name])))))
	}
	slices.Sort(list.Rows)
	return slices.Compact(list.Rows)
}

// tellKind infers the kind of product.
func (d *Document) tellKind() {
	m := product.Default()
	p := m.Probabilities(d.ProductFeatures(feature.List{Index: m.Index}))
	d.Product.Kind, d.likelyKinds = d.Lexicon.bound.kinds(p)
}

// kinds says of the probabilities of the kinds of product, in the order of
// product.Kinds, which stands, "" for none, and then which are likely.
func (b *bounds) kinds(p []float64) (stands string, likely []string) {
	best := 0
	for k := range p {
		if p[k] > p[best] {
			best = k
		}
	}
	if p[best] >= b.kindStands {
		return product.Kinds()[best], nil
	}
	for k := range p {
		if p[k] >= b.kindLikely {
			likely = append(likely, product.Kinds()[k])
		}
	}
	return "", likely
}

// titleWord reports whether tokens [i, end) are one word within the product's name:
// "the Brick 20, a power bank" is no brick.
func (s *placer) titleWord(i, end int) bool {
	if s.names == nil {
		return false
	}
	t := s.names.title
	return end == i+1 && int(t[0]) <= i && end <= int(t[1])
}

// namedKind notes a kind of product named. The first stands where it is likely, and
// where nothing else says so: in a text of few words. Else only a closer name for the
// kind inferred does: "magnetic power bank".
func (s *placer) namedKind(kind string) {
	kept := s.d.kind()
	have := *kept
	if have == "" && (len(s.tokens) < int(s.x.window.fewTokens) || slices.Contains(s.d.likelyKinds, kind)) ||
		have != "" && kind != have && strings.HasSuffix(kind, have) && s.section <= SectionBody {
		*kept = kind
	}
}
