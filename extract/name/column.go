package name

// columns finds tables written with bars and gives every word of a cell the
// word that heads its column: the last one of the cell in the first row.
func (t *text) columns() {
	t.column = make([]string, len(t.items))
	var heads []string
	for from := 0; from < len(t.items); {
		to, bars := from, 0
		for to < len(t.items) && t.items[to].Kind != Para {
			if t.bar(to) {
				bars++
			}
			to++
		}
		switch {
		case bars == 0:
			heads = nil
		case heads == nil:
			heads = t.heads(from, to)
		default:
			cell := 0
			for i := from; i < to; i++ {
				if t.bar(i) {
					cell++
				} else if cell < len(heads) && t.items[i].Kind == Word {
					t.column[i] = heads[cell]
				}
			}
		}
		from = to + 1
	}
}

func (t *text) bar(i int) bool { return t.items[i].Kind == Sign && t.items[i].Text == "|" }

// heads returns the last word of each cell of the row of items [from, to).
func (t *text) heads(from, to int) []string {
	heads := []string{""}
	for i := from; i < to; i++ {
		if t.bar(i) {
			heads = append(heads, "")
		} else if t.items[i].Kind == Word {
			heads[len(heads)-1] = t.items[i].Fold
		}
	}
	return heads
}
