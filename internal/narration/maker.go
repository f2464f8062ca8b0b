package narration

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
)

// Maker makes narrations with full truth from marked ones: it puts paragraphs
// of narrations of like products together, exchanges names and values for others
// that are as consistent, and garbles what is said at counted rates. The same
// seed and the same narrations give the same bytes.
type Maker struct {
	rng     *rand.Rand
	sources []*source
	made    int
	tables  *makerTables
}

// maxRate is the largest share of garbled quantities of a made narration.
const maxRate = 0.20

// Shares of what the maker does, by choice.
const (
	shareForeign = 0.6  // of blocks of tests and parts that another narration gives
	shareSwapped = 0.3  // of narrations that have the parts before the tests, or the other way
	shareDropped = 0.08 // of paragraphs of tests and parts
	shareHeading = 0.5  // of headings that are dropped
	shareLevels  = 0.8  // of level lists that are exchanged
	shareValues  = 0.7  // of part values that are exchanged
)

// NewMaker returns a maker that takes from the narrations, which stay as they
// are.
func NewMaker(seed uint64, from []*Narration) (*Maker, error) {
	if len(from) == 0 {
		return nil, fmt.Errorf("no narrations to make others from")
	}
	m := &Maker{rng: newRand(seed), tables: loadMakerTables()}
	for _, n := range from {
		m.sources = append(m.sources, takeSource(n))
	}
	return m, nil
}

// Made makes so many narrations from others, always the same, with that share of
// their quantities garbled; below 0 it is drawn for each.
func Made(from []*Narration, count int, rate float64) ([]*Narration, error) {
	if count == 0 {
		return nil, nil
	}
	m, err := NewMaker(1, from)
	if err != nil {
		return nil, err
	}
	out := make([]*Narration, count)
	for i := range out {
		if rate < 0 {
			out[i], err = m.Next()
		} else {
			out[i], err = m.withRate(rate)
		}
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

func newRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 0)) }

// Next makes a narration with a rate of garbles drawn from 0 to maxRate.
func (m *Maker) Next() (*Narration, error) { return m.withRate(maxRate * m.rng.Float64()) }

// withRate makes a narration in which that share of the quantities is garbled.
func (m *Maker) withRate(rate float64) (*Narration, error) {
	m.made++
	base := m.sources[m.rng.IntN(len(m.sources))]
	w := &world{Maker: m, base: base}
	w.assemble()
	w.names()
	w.values()
	w.manners()
	w.garble(rate)
	return w.narration(fmt.Sprintf("made-%05d", m.made))
}

func (m *Maker) chance(p float64) bool { return m.rng.Float64() < p }

// world is a narration in the making.
type world struct {
	*Maker
	base       *source
	paragraphs []paragraph
	head       map[string]string
	exchange   exchange
}

// assemble puts the paragraphs together: all but tests and parts are of the
// base, so that what the product is said to be agrees.
func (w *world) assemble() {
	if len(w.base.paragraphs) < leastParagraphs {
		w.take(w.base.paragraphs)
		return
	}
	first, last := w.base.paragraphs[:1], w.base.paragraphs[len(w.base.paragraphs)-1:]
	var front, tests, parts []paragraph
	for _, p := range w.base.paragraphs[1 : len(w.base.paragraphs)-1] {
		switch p.group {
		case groupTests:
			tests = append(tests, p)
		case groupParts:
			parts = append(parts, p)
		default:
			front = append(front, p)
		}
	}
	if len(tests) > 0 {
		tests = w.thin(w.foreign(groupTests, tests))
	}
	if len(parts) > 0 {
		parts = w.thin(w.foreign(groupParts, parts))
	}
	if w.chance(shareSwapped) {
		tests, parts = parts, tests
	}
	for _, list := range [][]paragraph{first, front, tests, parts, last} {
		w.take(list)
	}
}

// take appends copies of the paragraphs.
func (w *world) take(list []paragraph) {
	for _, p := range list {
		if p.heading() && w.chance(shareHeading) {
			continue
		}
		c := paragraph{group: p.group, pieces: make([]piece, len(p.pieces))}
		for i, x := range p.pieces {
			if x.mark != nil {
				mark := *x.mark
				x.mark = &mark
			}
			if x.say != nil {
				say := *x.say
				x.say = &say
			}
			c.pieces[i] = x
		}
		w.paragraphs = append(w.paragraphs, c)
	}
}

// thin drops some of the paragraphs.
func (w *world) thin(list []paragraph) []paragraph {
	var out []paragraph
	for _, p := range list {
		if len(list) == 1 || !w.chance(shareDropped) {
			out = append(out, p)
		}
	}
	return out
}

// foreign returns the paragraphs of a group of another narration that fits, or
// its own.
func (w *world) foreign(g group, own []paragraph) []paragraph {
	if !w.chance(shareForeign) {
		return own
	}
	for _, k := range w.rng.Perm(len(w.sources)) {
		s := w.sources[k]
		if s == w.base || !s.like(w.base) || len(s.paragraphs) < leastParagraphs {
			continue
		}
		var list []paragraph
		for _, p := range s.paragraphs[1 : len(s.paragraphs)-1] {
			if p.group == g {
				list = append(list, p)
			}
		}
		if len(list) > 0 && w.fits(list) {
			return list
		}
	}
	return own
}

// fits reports whether the base has the ports that the paragraphs speak of, and
// the power and voltage that were tested there.
func (w *world) fits(list []paragraph) bool {
	for _, p := range list {
		for i := range p.pieces {
			m := p.pieces[i].mark
			if m == nil {
				continue
			}
			if m.Kind == MarkName && m.Slot == "port" && !w.base.ports[m.Name] {
				return false
			}
			name, port, tied := strings.Cut(m.Slot, "@")
			if m.Kind != MarkQuantity || p.pieces[i].from.n.PartOf(m.Table()) != nil {
				continue
			}
			if p.pieces[i].from.n.Level(m.Table()) != nil || strings.HasPrefix(name, "power") {
				return false // a rating of the other product
			}
			if tied && !w.base.ports[port] {
				return false
			}
			switch name {
			case "cond.voltage", "meas.voltage":
				if m.Meant.SI() > 1.06*w.base.volts {
					return false
				}
			case "cond.power", "meas.power":
				if m.Meant.SI() > 1.02*w.base.power {
					return false
				}
			}
		}
	}
	return true
}

// each calls f for every piece with a mark.
func (w *world) each(f func(p *piece)) {
	for i := range w.paragraphs {
		for k := range w.paragraphs[i].pieces {
			if p := &w.paragraphs[i].pieces[k]; p.mark != nil {
				f(p)
			}
		}
	}
}

// narration writes the paragraphs as a narration; levels and parts are numbered
// in the order said.
func (w *world) narration(name string) (*Narration, error) {
	n := &Narration{Name: name, Head: w.head, levelAt: map[string]int{}, partAt: map[string]int{}}
	type row struct {
		s  *source
		id string
	}
	ids := map[row]string{}
	var text strings.Builder
	for i := range w.paragraphs {
		if i > 0 {
			text.WriteString("\n\n")
		}
		for _, p := range w.paragraphs[i].pieces {
			start := text.Len()
			text.WriteString(p.text)
			if p.mark == nil {
				continue
			}
			m := *p.mark
			m.Start, m.End = start, text.Len()
			if m.Kind == MarkQuantity {
				key := row{p.from, m.Table()}
				id, ok := ids[key]
				if l := p.from.n.Level(key.id); l != nil {
					if !ok {
						id = "L" + strconv.Itoa(len(n.Levels)+1)
						c := *l
						c.ID = id
						n.levelAt[id] = len(n.Levels)
						n.Levels = append(n.Levels, c)
					}
					m.Slot = id + m.Slot[len(key.id):]
				} else if r := p.from.n.PartOf(key.id); r != nil {
					if !ok {
						id = n.addPart(r)
					}
					m.Slot = id + m.Slot[len(key.id):]
				}
				ids[key] = id
			}
			n.Marks = append(n.Marks, m)
		}
	}
	text.WriteByte('\n')
	n.Text = text.String()
	w.nameRows(n)
	return n, n.check()
}

func (n *Narration) addPart(r *Part) string {
	id := "P" + strconv.Itoa(len(n.Parts)+1)
	c := *r
	c.ID = id
	n.partAt[id] = len(n.Parts)
	n.Parts = append(n.Parts, c)
	return id
}

// check parses what is written and aligns the captions.
func (n *Narration) check() error {
	back, err := Parse(n.Name, n.Mark())
	if err != nil {
		return err
	}
	if back.Text != n.Text || len(back.Marks) != len(n.Marks) {
		return fmt.Errorf("%s: what is written reads otherwise", n.Name)
	}
	_, _, err = n.Transcript()
	return err
}
