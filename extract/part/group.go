package part

import (
	"math"

	"saywatt/extract/feature"
)

// Groups divides the elements into the likeliest groups, in order. Every
// element is in one of them; many groups have one element.
func (m *Model) Groups(elements []Element) []Group {
	n := len(elements)
	if n == 0 {
		return nil
	}
	s := &seer{elements, feature.List{Index: m.index}}
	c := m.scorer(s)
	type step struct {
		score  float64
		from   int32
		before layout
	}
	best := make([][layouts]step, n+1)
	for i := range best {
		for l := range best[i] {
			best[i][l].score = math.Inf(-1)
		}
	}
	best[0][nounNone].score = 0
	for i := range n {
		gap := 0.0
		if i > 0 {
			s.Rows = s.Rows[:0]
			s.gap(i)
			gap = feature.Sum(m.weights, s.Rows)
		}
		c.segments(i, func(j int, score float64, l layout) {
			inside := gap + score
			for b := range layouts {
				v := best[i][b].score + inside
				if i > 0 {
					v += m.weights[m.turn(elements[i].Link, b, l)]
				}
				if v > best[j][l].score {
					best[j][l] = step{v, int32(i), b}
				}
			}
		})
	}
	l := nounFirst
	for k := range layouts {
		if best[n][k].score > best[n][l].score {
			l = k
		}
	}
	var out []Group
	for j := n; j > 0; {
		st := best[j][l]
		out = append(out, Group{int(st.from), j})
		j, l = int(st.from), st.before
	}
	for a, b := 0, len(out)-1; a < b; a, b = a+1, b-1 {
		out[a], out[b] = out[b], out[a]
	}
	return out
}
