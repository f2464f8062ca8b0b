package extract

import "bytes"

// columns hands the units in the head of a table, or in the first cell of a
// row, to the bare numbers of its cells: "| Voltage (V) | Current (A) |" above
// "| 5 | 3 |". Cells are parted by | or tabs, or by two blanks and more where
// the rows have as many cells as the head.
func (p *parser) columns(dst []Mention) {
	if bytes.IndexByte(p.text, '|') < 0 && bytes.IndexByte(p.text, '\t') < 0 && !bytes.Contains(p.text, []byte("  ")) {
		return
	}
	t := table{p: p}
	for start, m := 0, 0; start < len(p.text) && m < len(dst); {
		end := start + bytes.IndexByte(p.text[start:], '\n')
		if end < start {
			end = len(p.text)
		}
		first := m
		for m < len(dst) && int(p.tokens[dst[m].First].Start) < end {
			m++
		}
		t.row(start, end, dst[first:m])
		start = end + 1
	}
}

// table is what is known of the table that is read.
type table struct {
	p     *parser
	cells [][2]int // of the row, as places in the text
	head  []UnitWords
	bars  bool // its cells are parted by |
	token int  // the first token of the row, or one before it
}

// row reads one line, whose mentions are given.
func (t *table) row(start, end int, mentions []Mention) {
	wide := t.split(start, end)
	if len(t.cells) == 0 && t.bars {
		return // rows of Markdown are paragraphs of their own
	}
	if len(t.cells) < 2 || len(t.cells) > t.p.x.length.cells || wide && t.head != nil && len(t.head) != len(t.cells) {
		t.head = nil
		return
	}
	for t.token < len(t.p.tokens) && int(t.p.tokens[t.token].Start) < start {
		t.token++
	}
	if len(mentions) == 0 {
		t.readHead()
		return
	}
	own := t.unit(t.cells[0])
	for k := range mentions {
		m := &mentions[k]
		c := t.cellOf(m)
		if c < 0 || m.From != UnitNone || m.Range && m.Group >= 0 {
			continue
		}
		u := own
		if u.Unit == "" && c < len(t.head) {
			u = t.head[c]
		}
		if u.Unit == "" || c == 0 && own.Unit != "" {
			continue
		}
		u.End, u.Manner = m.Last, MannerSaid
		m.Unit, m.From, m.Not = u, UnitOwn, NotNothing
	}
}

// split cuts a line into cells and reports whether blanks part them.
func (t *table) split(start, end int) bool {
	line := t.p.text[start:end]
	t.cells = t.cells[:0]
	sep := byte('|')
	if len(line) > 0 {
		t.bars = bytes.IndexByte(line, '|') >= 0
	}
	if !t.bars || len(line) == 0 {
		if sep = '\t'; bytes.IndexByte(line, '\t') < 0 {
			t.splitBlanks(start, end)
			return true
		}
	}
	for at := start; at <= end && len(t.cells) <= t.p.x.length.cells; {
		stop := bytes.IndexByte(t.p.text[at:end], sep)
		if stop < 0 {
			stop = end - at
		}
		cell := t.trim(at, at+stop)
		if cell[0] < cell[1] || sep == '\t' || at > start && at+stop < end { // no cell outside the outer bars
			t.cells = append(t.cells, cell)
		}
		at += stop + 1
	}
	return false
}

// splitBlanks cuts a line where two blanks or more stand.
func (t *table) splitBlanks(start, end int) {
	text := t.p.text
	for at := start; at < end && len(t.cells) <= t.p.x.length.cells; {
		for at < end && text[at] == ' ' {
			at++
		}
		stop := at
		for stop < end && !(text[stop] == ' ' && stop+1 < end && text[stop+1] == ' ') {
			stop++
		}
		if cell := t.trim(at, stop); cell[0] < cell[1] {
			t.cells = append(t.cells, cell)
		}
		at = stop
	}
}

func (t *table) trim(start, end int) [2]int {
	for start < end && classes[t.p.text[start]] == classSpace {
		start++
	}
	for end > start && classes[t.p.text[end-1]] == classSpace {
		end--
	}
	return [2]int{start, end}
}

// readHead notes the units of a row without numbers. A row of rules keeps what
// is known, another row without units is a new head without any.
func (t *table) readHead() {
	found, words := false, false
	head := make([]UnitWords, len(t.cells))
	for c, cell := range t.cells {
		head[c] = t.unit(cell)
		found = found || head[c].Unit != ""
		for _, b := range t.p.text[cell[0]:cell[1]] {
			words = words || classes[b] == classLetter
		}
	}
	switch {
	case found:
		t.head = head
	case words:
		t.head = nil
	}
}

// unit reads the unit that ends a cell without numbers: "V", "Voltage (V)",
// "Voltage, V", "U/V", "Voltage in volts".
func (t *table) unit(cell [2]int) UnitWords {
	p, k := t.p, t.token
	for k < len(p.tokens) && int(p.tokens[k].Start) < cell[0] {
		k++
	}
	first := k
	for ; k < len(p.tokens) && int(p.tokens[k].End) <= cell[1]; k++ {
		if p.tokens[k].Kind == TokenNumber {
			return UnitWords{}
		}
	}
	last := k
	cut := parser{x: p.x, text: p.text, tokens: p.tokens[:last]} // what is beyond is another cell's
	for k = first; k < last; k++ {
		if k > first {
			switch c := p.word(k - 1); {
			case c == classComma, c == classSlash, c == classIn:
			case p.tokens[k-1].Kind == TokenSign && bracket(p.text[p.tokens[k-1].Start]) != 0:
			default:
				continue
			}
		}
		u, ok := cut.unit(k)
		if !ok || u.Manner == MannerHeard {
			continue
		}
		if int(u.End) == last || int(u.End) == last-1 && p.tokens[last-1].Kind == TokenSign {
			return u
		}
	}
	return UnitWords{}
}

// cellOf returns the cell that a mention fills, -1 where it fills none.
func (t *table) cellOf(m *Mention) int {
	from, to := int(t.p.tokens[m.First].Start), int(t.p.tokens[m.Last-1].End)
	for c, cell := range t.cells {
		if from == cell[0] && to == cell[1] {
			return c
		}
	}
	return -1
}
