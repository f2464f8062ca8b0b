package narration

import "strings"

// excerptSentences is how many sentences an excerpt has at most that is no
// paragraph.
const excerptSentences = 3

// Excerpts returns stretches of the narration as narrations of their own, with
// their marks: its paragraphs, and stretches of one sentence, of two and so on up
// to excerptSentences in turn. That is what somebody writes who has only that to say. Levels and
// parts keep their tables.
func (n *Narration) Excerpts() []*Narration {
	var out []*Narration
	for from := 0; from < len(n.Text); {
		to := len(n.Text)
		if i := strings.Index(n.Text[from:], "\n\n"); i >= 0 {
			to = from + i + len("\n\n")
		}
		if e := n.excerpt(from, to); e != nil && to-from < len(n.Text) {
			out = append(out, e)
		}
		for a, b, k := from, from, 0; b < to; {
			b, k = n.sentenceEnd(b, to), k+1
			if k == 1+len(out)%excerptSentences || b == to {
				if e := n.excerpt(a, b); e != nil && b-a < to-from {
					out = append(out, e)
				}
				a, k = b, 0
			}
		}
		from = to
	}
	return out
}

// sentenceEnd returns where the sentence at i ends: behind a full stop and a
// blank that no mark covers, or at to.
func (n *Narration) sentenceEnd(i, to int) int {
next:
	for i < to {
		j := strings.Index(n.Text[i:to], ". ")
		if j < 0 {
			break
		}
		i += j + len(". ")
		for k := range n.Marks {
			if m := &n.Marks[k]; m.Start < i && m.End > i-len(". ") {
				continue next
			}
		}
		return i
	}
	return to
}

// excerpt returns the text from byte a to b, nil where nothing is marked in it.
func (n *Narration) excerpt(a, b int) *Narration {
	e := &Narration{Name: n.Name, Head: n.Head, Text: strings.TrimRight(n.Text[a:b], " \n") + "\n",
		Levels: n.Levels, Parts: n.Parts, levelAt: n.levelAt, partAt: n.partAt}
	quantities := 0
	for _, m := range n.Marks {
		if m.Start < a || m.End > b {
			continue
		}
		m.Start, m.End = m.Start-a, m.End-a
		e.Marks = append(e.Marks, m)
		if m.Kind == MarkQuantity {
			quantities++
		}
	}
	if quantities == 0 {
		return nil
	}
	return e
}
