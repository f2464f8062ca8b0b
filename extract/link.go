package extract

import (
	"fmt"

	"saywatt/schema"
)

// Link is a set of what words near a mention say of how it hangs together with
// quantities before: links.tsv.
type Link uint8

// The links.
const (
	LinkResult Link = 1 << iota // which is, so, that makes
	LinkTotal                   // together, in total
	LinkShare                   // out of, of
	LinkLess                    // drop, lost, left
	LinkEach                    // each, apiece
	LinkTwice                   // twice, double
	LinkSide                    // wide, deep, high: a side of a body
)

var linkNames = [...]string{"result", "total", "share", "less", "each", "twice", "side"}

// ParseLink returns the link of a name in links.tsv.
func ParseLink(name string) (Link, bool) {
	for i := range linkNames {
		if linkNames[i] == name {
			return 1 << i, true
		}
	}
	return 0, false
}

func (x *Lexicon) loadLinks() error {
	t, err := schema.ReadTable(tables, "tables/links.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		link, ok := ParseLink(r.Get("link"))
		if !ok {
			return fmt.Errorf("links.tsv:%d: no link %q", r.Line, r.Get("link"))
		}
		x.links.add(x, r.Get("phrase"), int32(link))
	}
	x.links.sort()
	if t, err = schema.ReadTable(tables, "tables/functionwords.tsv"); err != nil {
		return err
	}
	for _, r := range t.Rows {
		w := x.id(r.Get("word"))
		for int(w) >= len(x.function) {
			x.function = append(x.function, false)
		}
		x.function[w] = true
	}
	return nil
}

// Function reports whether the word opens another part of the sentence, so
// that a number before it counts nothing.
func (x *Lexicon) Function(t Token) bool { return int(t.Word) < len(x.function) && x.function[t.Word] }

// link notes for every mention what the words before it, and the few behind
// it, say of how it comes of others.
func (p *parser) link(dst []Mention) {
	from := int32(0)
	for k := range dst {
		m := &dst[k]
		to := int32(len(p.tokens))
		if k+1 < len(dst) {
			to = dst[k+1].First
		}
		m.Link = p.linksIn(max(from, m.First-int32(p.x.reach.linkBefore)), m.First) |
			p.linksIn(m.Last, min(to, m.Last+int32(p.x.reach.linkBehind)))&(LinkTotal|LinkEach) |
			p.linksIn(m.Last, min(to, m.Last+1))&LinkSide
		from = m.Last
	}
}

// linksIn collects the links of the phrases among the tokens [i, j).
func (p *parser) linksIn(i, j int32) (l Link) {
	for i < j {
		v, n := p.x.links.match(p.tokens, int(i))
		if n == 0 {
			i++
			continue
		}
		l |= Link(v)
		i += int32(n)
	}
	return l
}
