package main

import (
	"strings"

	"saywatt/extract"
	"saywatt/extract/part"
	"saywatt/internal/alike"
	"saywatt/internal/narration"
)

// truther finds the parts that the elements of a narration can be said of.
type truther struct {
	n     *narration.Narration
	names bool              // names are marked, as quantities are
	marks []*narration.Mark // of each element, nil none
	next  int               // number for what is of no part of the tables
	named map[string]int    // numbers of parts that only a part number names
	cell  int
	sets  []part.Set
	sure  []int // the one part of an element, -1
}

// truth returns for each element the parts that it can be said of, and the
// part that it rates. Ratings and part numbers are known by their marks; of the
// others the marks and tables say with which of the two parts said of right
// before and behind they agree.
func truth(n *narration.Narration, at *narration.Offsets, d *extract.Document, p *extract.Parts) ([]part.Set, []int) {
	t := &truther{n: n, next: len(n.Parts), named: map[string]int{}}
	t.cell = t.fresh()
	for i := range n.Marks {
		t.names = t.names || n.Marks[i].Kind == narration.MarkName
	}
	rates := make([]int, len(p.Elements))
	for i := range p.Elements {
		first, last := p.Spans[i][0], p.Spans[i][1]
		t.marks = append(t.marks, n.MarkAt(at, int(d.Tokens[first].Start), int(d.Tokens[last-1].End), narration.Any))
		rates[i] = -1
		sure := -1
		switch p.Elements[i].Type {
		case part.Rating:
			if sure = t.rated(t.marks[i]); sure < 0 {
				sure = t.fresh()
			} else {
				rates[i] = sure
			}
		case part.Code:
			sure = t.coded(t.marks[i], p.Elements[i].Value)
		}
		t.sure = append(t.sure, sure)
	}
	for i := range p.Elements {
		t.sets = append(t.sets, t.set(i, &p.Elements[i]))
	}
	return t.sets, rates
}

// missed counts the parts that quantities are said of, and those of them with a
// quantity that is no element.
func missed(n *narration.Narration, at *narration.Offsets, d *extract.Document, p *extract.Parts) (named, lost int) {
	have := map[*narration.Mark]bool{}
	for i := range p.Elements {
		if p.Elements[i].Type == part.Rating {
			have[n.MarkAt(at, int(d.Tokens[p.Spans[i][0]].Start), int(d.Tokens[p.Spans[i][1]-1].End), narration.Any)] =
				true
		}
	}
	all, without := map[*narration.Part]bool{}, map[*narration.Part]bool{}
	for i := range n.Marks {
		m := &n.Marks[i]
		if m.Kind != narration.MarkQuantity || m.Slot == "" {
			continue
		}
		if row := n.PartOf(m.Table()); row != nil {
			all[row] = true
			if !have[m] {
				without[row] = true
			}
		}
	}
	return len(all), len(without)
}

func (t *truther) fresh() int { t.next++; return t.next - 1 }

func (t *truther) rated(m *narration.Mark) int {
	if m == nil || m.Kind != narration.MarkQuantity {
		return -1
	}
	if strings.HasPrefix(m.Slot, "cell.") {
		return t.cell
	}
	if p := t.n.PartOf(m.Table()); p != nil {
		for i := range t.n.Parts {
			if &t.n.Parts[i] == p {
				return t.row(i)
			}
		}
	}
	return -1
}

// row is the number of a row of the tables: cells are one part however named.
func (t *truther) row(i int) int {
	if t.n.Parts[i].Kind == "cell" {
		return t.cell
	}
	return i
}

// coded returns the part that a part number is of, a new one where the tables
// have it for none.
func (t *truther) coded(m *narration.Mark, value string) int {
	if !t.names {
		for i := range t.n.Parts {
			if p := t.n.Parts[i].Part; p != "" && extract.CodeKey(p) == extract.CodeKey(value) {
				return t.row(i)
			}
		}
		return -1
	}
	if m == nil || m.Kind != narration.MarkName || m.Slot != "partno" {
		return -1
	}
	for i := range t.n.Parts {
		if extract.SamePlain(t.n.Parts[i].Part, m.Name) {
			return t.row(i)
		}
	}
	if i, ok := t.named[m.Name]; ok {
		return i
	}
	t.named[m.Name] = t.fresh()
	return t.named[m.Name]
}

// set returns the parts that element i can be said of.
func (t *truther) set(i int, e *part.Element) part.Set {
	var s part.Set
	if t.sure[i] >= 0 {
		s.Add(t.sure[i])
		return s
	}
	for _, step := range []int{-1, 1} {
		for k := i + step; k >= 0 && k < len(t.sure); k += step {
			if t.sure[k] >= 0 {
				if t.agrees(i, e, t.sure[k]) {
					s.Add(t.sure[k])
				}
				break
			}
		}
	}
	if len(s) == 0 {
		s.Add(t.fresh())
	}
	return s
}

// agrees reports whether the element can be said of part p.
func (t *truther) agrees(i int, e *part.Element, p int) bool {
	m := t.marks[i]
	if p >= len(t.n.Parts) {
		switch e.Type {
		case part.Noun:
			return (p == t.cell) == (e.Detail == "cell")
		case part.Package, part.Maker:
			return (!t.names || t.isName(m, e.Type.String())) && (p == t.cell || t.isCode(p))
		}
		return p == t.cell || t.isCode(p)
	}
	row := &t.n.Parts[p]
	switch e.Type {
	case part.Noun:
		return t.kindFits(row.Kind, e)
	case part.Package:
		if !t.names {
			return extract.SamePlain(e.Value, row.Package)
		}
		return t.isName(m, "package") && extract.SamePlain(m.Name, row.Package)
	case part.Maker:
		if !t.names {
			key := alike.Key(row.Maker)
			return key != "" && alike.Distance(key, e.Value, len(key)/3+1) <= len(key)/3
		}
		return t.isName(m, "maker") && extract.SamePlain(m.Name, row.Maker)
	case part.Code:
		return !t.names && row.Part != "" || t.isName(m, "model") // the shape of a core
	case part.Count:
		return row.Count == 0 || e.Value == itoa(row.Count)
	}
	return false
}

func (t *truther) isCode(p int) bool {
	for _, k := range t.named {
		if k == p {
			return true
		}
	}
	return false
}

func (t *truther) isName(m *narration.Mark, slot string) bool {
	return m != nil && m.Kind == narration.MarkName && m.Slot == slot
}

// kindFits reports whether a noun can name a part that the tables call so: one
// of the kinds that the words of the table name is of the noun's family, or
// they name none.
func (t *truther) kindFits(words string, e *part.Element) bool {
	families := extract.Families(words)
	if len(families) == 0 {
		return true
	}
	for _, f := range families {
		if f == e.Name {
			return true
		}
	}
	return false
}

func itoa(n int) string {
	s := ""
	for ; n > 0; n /= 10 {
		s = string(rune('0'+n%10)) + s
	}
	return s
}
