package byear

import (
	"hash/fnv"
	"math/rand/v2"
)

// Shares of readings that say and in "one hundred and five", and oh for zero; of
// names of which the first of two ways is said; and, in fifths, of readings that
// are written with digits.
const (
	shareAnd    = 0.6
	shareOh     = 0.4
	shareWay    = 0.5
	fifthsDigit = 2
)

// manner is how one narration is read and written. All of it follows from the name.
type manner struct {
	voice, stretch string
	and, oh        bool
	digits         bool
	rng            *rand.Rand
}

func newManner(name string) *manner {
	h := fnv.New64a()
	h.Write([]byte(name)) // never fails
	seed := h.Sum64()
	m := &manner{rng: rand.New(rand.NewPCG(seed, 0))}
	t := loadTables()
	m.voice, m.stretch = m.draw(t.voices), m.draw(t.stretches)
	m.and, m.oh = m.chance(shareAnd), m.chance(shareOh)
	m.digits = m.rng.IntN(5) < fifthsDigit
	return m
}

func (m *manner) chance(p float64) bool { return m.rng.Float64() < p }

func (m *manner) draw(of []share) string {
	all := 0
	for _, s := range of {
		all += s.parts
	}
	k := m.rng.IntN(all)
	for _, s := range of {
		if k -= s.parts; k < 0 {
			return s.value
		}
	}
	panic("the shares add up to all")
}

// form draws one of the forms of a name.
func (m *manner) form(of [][]string) []string { return of[m.rng.IntN(len(of))] }
