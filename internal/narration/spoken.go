package narration

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// NameSaid is the name of a maker or product where it stands in the text.
type NameSaid struct {
	Start, End int // bytes of Text
	Meant      string
	Type       string // maker, product or model
}

// Names returns the names of makers and products in the order of the text:
// those marked, and every occurrence of the words that the head's line "heard"
// lists.
func (n *Narration) Names() ([]NameSaid, error) {
	var out []NameSaid
	for i := range n.Marks {
		switch m := &n.Marks[i]; {
		case m.Kind != MarkName || m.Start == m.End:
		case m.Slot == "maker" || m.Slot == "product" || m.Slot == "model":
			out = append(out, NameSaid{m.Start, m.End, m.Name, m.Slot})
		}
	}
	for entry := range strings.SplitSeq(n.Head["heard"], ";") {
		if entry = strings.TrimSpace(entry); entry == "" {
			continue
		}
		f := strings.Split(entry, "|")
		if len(f) != 3 || f[0] == "" {
			return nil, fmt.Errorf("%s: heard: %q is not shown|meant|type", n.Name, entry)
		}
		found := occurrences(n.Text, strings.Fields(f[0]))
		if len(found) == 0 {
			return nil, fmt.Errorf("%s: heard: %q does not stand in the text", n.Name, f[0])
		}
		for _, at := range found {
			out = append(out, NameSaid{at[0], at[1], f[1], f[2]})
		}
	}
	slices.SortStableFunc(out, func(a, b NameSaid) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(b.End, a.End))
	})
	kept := out[:0]
	for _, s := range out {
		if k := len(kept); k == 0 || kept[k-1].End <= s.Start {
			kept = append(kept, s)
		}
	}
	return kept, nil
}

// occurrences finds the words, with any white space between, as whole words of
// the text.
func occurrences(text string, words []string) [][2]int {
	var out [][2]int
	letter := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }
	for from := 0; ; {
		k := strings.Index(text[from:], words[0])
		if k < 0 {
			return out
		}
		start := from + k
		from = start + len(words[0])
		end := from
		ok := true
		for _, w := range words[1:] {
			rest := strings.TrimLeftFunc(text[end:], unicode.IsSpace)
			if len(rest) == len(text)-end || !strings.HasPrefix(rest, w) {
				ok = false
				break
			}
			end = len(text) - len(rest) + len(w)
		}
		before, _ := utf8.DecodeLastRuneInString(text[:start])
		behind, _ := utf8.DecodeRuneInString(text[end:])
		if ok && !letter(before) && !letter(behind) {
			out = append(out, [2]int{start, end})
			from = end
		}
	}
}

// Titles returns where the reviewed product's name stands, whole or without
// its maker; a maker's name right before it belongs to it.
func (n *Narration) Titles() ([]NameSaid, error) {
	names, err := n.Names()
	if err != nil || n.Head["name"] == "" {
		return nil, err
	}
	var out []NameSaid
	for i, s := range names {
		if s.Type == "maker" || !n.IsTitle(s.Meant) {
			continue
		}
		if i > 0 && names[i-1].Type == "maker" && strings.TrimSpace(n.Text[names[i-1].End:s.Start]) == "" {
			s.Start = names[i-1].Start
		}
		s.Meant = n.Head["name"]
		out = append(out, s)
	}
	return out, nil
}

// IsTitle reports whether a name is the reviewed product's, whole or without
// its maker, case and what stands between letters left out.
func (n *Narration) IsTitle(name string) bool {
	whole := plainName(n.Head["name"])
	short := strings.TrimPrefix(whole, plainName(n.Head["maker"]))
	p := plainName(name)
	return p != "" && (p == whole || p == short)
}

func plainName(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, s)
}

// Spoken returns the narration with all names as meant: what captions would
// show had they heard each. A text without capitals has none in its names.
func (n *Narration) Spoken() (*Narration, error) {
	names, err := n.Names()
	if err != nil {
		return nil, err
	}
	out := *n
	out.Marks = slices.Clone(n.Marks)
	lower := !strings.ContainsFunc(n.Text, unicode.IsUpper)
	var b strings.Builder
	at, k := 0, 0
	shift := func(until int) { // marks that begin before it
		for ; k < len(out.Marks) && out.Marks[k].Start < until; k++ {
			m := &out.Marks[k]
			by := b.Len() - at
			m.Start, m.End = m.Start+by, m.End+by
		}
	}
	var heard []string
	for _, s := range names {
		shift(s.Start)
		b.WriteString(n.Text[at:s.Start])
		at = s.Start
		meant := s.Meant
		if lower {
			meant = strings.ToLower(meant)
		}
		from := b.Len()
		marked := k < len(out.Marks) && out.Marks[k].Start == s.Start && out.Marks[k].Kind == MarkName
		b.WriteString(meant)
		if at = s.End; marked {
			out.Marks[k].Start, out.Marks[k].End = from, b.Len()
			k++
		} else if e := meant + "|" + s.Meant + "|" + s.Type; !slices.Contains(heard, e) {
			heard = append(heard, e)
		}
	}
	shift(len(n.Text))
	b.WriteString(n.Text[at:])
	out.Text = b.String()
	out.Head = map[string]string{}
	for key, v := range n.Head {
		out.Head[key] = v
	}
	out.Head["heard"] = strings.Join(heard, "; ")
	return &out, nil
}
