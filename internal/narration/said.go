package narration

import "strings"

// Said returns the narration as it was said: garbled quantities in the manner in
// which it says others of their unit, names in standard spelling. What it has no
// words for stays as shown.
func (n *Narration) Said() *Narration {
	s := takeSource(n)
	said := *n
	said.Marks = make([]Mark, 0, len(n.Marks))
	var text strings.Builder
	at := 0
	for i := range n.Marks {
		m := n.Marks[i]
		text.WriteString(n.Text[at:m.Start])
		at = m.End
		p := s.mark(&m)
		shown := p.text
		if m.Kind == MarkName && m.Name != "" {
			shown = m.Name
		}
		p.mark.Start = text.Len()
		text.WriteString(shown)
		p.mark.End = text.Len()
		said.Marks = append(said.Marks, *p.mark)
	}
	text.WriteString(n.Text[at:])
	said.Text = text.String()
	return &said
}
