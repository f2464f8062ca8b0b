package narration

import (
	"slices"
	"strconv"
	"strings"

	"saywatt/schema"
)

// headOrder is the order in which the keys of the head are written; others
// follow by name.
var headOrder = []string{"title", "product", "name", "maker", "form", "manner", "speaker"}

// Mark writes the narration in the form that [Parse] reads.
func (n *Narration) Mark() string {
	var b strings.Builder
	var keys []string
	for k := range n.Head {
		if !slices.Contains(headOrder, k) {
			keys = append(keys, k)
		}
	}
	slices.Sort(keys)
	for _, k := range append(slices.Clone(headOrder), keys...) {
		if v, ok := n.Head[k]; ok {
			b.WriteString(strings.TrimRight(k+": "+v, " ") + "\n")
		}
	}
	b.WriteString("---\n")
	at := 0
	for i := range n.Marks {
		m := &n.Marks[i]
		b.WriteString(n.Text[at:m.Start])
		m.write(&b, n.Text[m.Start:m.End])
		at = m.End
	}
	b.WriteString(n.Text[at:])
	b.WriteString("---\n")
	for i := range n.Levels {
		l := &n.Levels[i]
		b.WriteString(l.ID + " mode=" + quoted(l.Mode) + " port=" + quoted(l.Port))
		b.WriteString(" protocol=" + quoted(l.Protocol) + "\n")
	}
	for i := range n.Parts {
		p := &n.Parts[i]
		count := ""
		if p.Count > 0 {
			count = strconv.Itoa(p.Count)
		}
		b.WriteString(p.ID + " board=" + quoted(p.Board) + " kind=" + quoted(p.Kind) + " count=" + count +
			" maker=" + quoted(p.Maker) + " part=" + quoted(p.Part) + " package=" + quoted(p.Package) + "\n")
	}
	return b.String()
}

func (m *Mark) write(b *strings.Builder, shown string) {
	switch m.Kind {
	case MarkName:
		b.WriteString("<" + shown + "|" + m.Name + "|" + m.Slot + ">")
		return
	case MarkNumber:
		b.WriteString("{" + shown + "|-|" + m.Slot + "}")
		return
	}
	b.WriteString("{" + shown + "|" + notation(m.Meant) + "|" + m.Slot)
	if m.Garble != "" {
		b.WriteByte('|')
		if m.Unclear {
			b.WriteByte('?')
		}
		b.WriteString(m.Garble)
	}
	b.WriteByte('}')
}

// notation writes a quantity as schema.ParseQuantity reads it.
func notation(q schema.Quantity) string {
	s := q.Low.String()
	if q.Range {
		s += ".." + q.High.String()
	}
	return s + " " + inMarks.Replace(string(q.Unit))
}

func quoted(s string) string {
	if strings.Contains(s, " ") {
		return `"` + s + `"`
	}
	return s
}
