package sound

import "slices"

// maxForm and MaxHeard bound the phones of a form and of what was heard.
const (
	maxForm  = 28
	MaxHeard = 40
)

// Index holds forms in the order of their sounds.
type Index struct {
	m     *Model
	forms []form
}

// form is one row of phones, with what each costs where it is lost.
type form struct {
	id     int
	phones []Phone
	lose   []float32
	shared int // how many phones it begins with like the form before it
}

// Match is a form near what was heard.
type Match struct {
	ID       int
	Distance float32
	Phones   int // of the form
}

// NewIndex makes an index of forms; the ID of one is its place in the list.
// Forms of no phone or of too many are never found.
func (m *Model) NewIndex(forms [][]Phone) *Index {
	x := &Index{m: m}
	for i, p := range forms {
		if len(p) > 0 && len(p) <= maxForm {
			x.forms = append(x.forms, form{id: i, phones: p, lose: m.losing(nil, p)})
		}
	}
	slices.SortStableFunc(x.forms, func(a, b form) int { return slices.Compare(a.phones, b.phones) })
	for k := 1; k < len(x.forms); k++ {
		a, b := &x.forms[k-1], &x.forms[k]
		for b.shared < min(len(a.phones), len(b.phones)) && a.phones[b.shared] == b.phones[b.shared] &&
			a.lose[b.shared] == b.lose[b.shared] {
			b.shared++
		}
	}
	return x
}

// losing appends what each of the phones costs where it is lost: little for a
// vowel behind a vowel, less than elsewhere at the end of the words.
func (m *Model) losing(dst []float32, p []Phone) []float32 {
	from := len(dst)
	for i, c := range p {
		cost := m.lose[c]
		if m.vowel[c] && i > 0 && m.vowel[p[i-1]] {
			cost = m.twin
		}
		dst = append(dst, cost)
	}
	for i := len(p) - 1; i > 0 && !m.vowel[p[i]]; i-- {
		dst[from+i] *= m.last
	}
	return dst
}

// beyond appends what each of the phones heard costs where a form has none for it: of a
// liquid behind a stop less than elsewhere.
func (m *Model) beyond(dst []float32, heard []Phone) []float32 {
	from := len(dst)
	dst = m.losing(dst, heard)
	for i := 1; i < len(heard); i++ {
		if m.liquid[heard[i]] && m.stop[heard[i-1]] {
			dst[from+i] = min(dst[from+i], m.cluster)
		}
	}
	return dst
}

// Near appends the forms within the limit of what was heard, in the order of
// the index.
func (x *Index) Near(dst []Match, heard []Phone, limit float32) []Match {
	if len(heard) == 0 || len(heard) > MaxHeard {
		return dst
	}
	var room [MaxHeard]float32
	lose := x.m.losing(room[:0], heard)
	var rows [maxForm + 1][MaxHeard + 1]float32
	for j, c := range lose {
		rows[0][j+1] = rows[0][j] + c
	}
	done := 0 // rows worked out for the form before
	for k := 0; k < len(x.forms); k++ {
		f := &x.forms[k]
		done = min(done, f.shared)
		beyond := false
		for ; done < len(f.phones); done++ {
			if x.m.step(&rows[done], &rows[done+1], f.phones[done], f.lose[done], heard, lose) > limit {
				beyond = true
				break
			}
		}
		if !beyond {
			if d := rows[len(f.phones)][len(heard)]; d <= limit {
				dst = append(dst, Match{f.id, d, len(f.phones)})
			}
			continue
		}
		for k+1 < len(x.forms) && x.forms[k+1].shared > done { // they begin like the one that is too far
			k++
		}
	}
	return dst
}

// step works out the row of one more phone of a form and returns the least of
// it.
func (m *Model) step(above, row *[MaxHeard + 1]float32, p Phone, cost float32, heard []Phone, lose []float32) float32 {
	swap := &m.swap[p]
	least := above[0] + cost
	row[0] = least
	for j, h := range heard {
		d := min(above[j]+swap[h], above[j+1]+cost, row[j]+lose[j])
		row[j+1] = d
		least = min(least, d)
	}
	return least
}

// Swap is the cost of one phone for another, at most that of losing both.
func (m *Model) Swap(a, b Phone) float32 { return m.swap[a][b] }

// Lose is the cost of a phone that only one side has.
func (m *Model) Lose(p Phone) float32 { return m.lose[p] }

// Distance is the least cost of turning one row of phones into the other; of
// rows too long for that, the greater length.
func (m *Model) Distance(a, b []Phone) float32 {
	if len(a) > maxForm || len(b) > MaxHeard {
		return float32(max(len(a), len(b)))
	}
	var roomA, roomB [MaxHeard]float32
	loseA, loseB := m.losing(roomA[:0], a), m.losing(roomB[:0], b)
	var rows [2][MaxHeard + 1]float32
	for j, c := range loseB {
		rows[0][j+1] = rows[0][j] + c
	}
	for i, p := range a {
		m.step(&rows[i%2], &rows[(i+1)%2], p, loseA[i], b, loseB)
	}
	return rows[len(a)%2][len(b)]
}
