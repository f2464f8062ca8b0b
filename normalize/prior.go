package normalize

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"

	"saywatt/extract"
	"saywatt/internal/knowledge"
	"saywatt/schema"
)

// role is one row of roles.tsv: a place in the record and the values that are
// plausible there.
type role struct {
	name              string
	unit              schema.Unit
	kind              schema.Kind
	section           string // "*" any
	subject           string // "-" none, "*" any
	property          string // "*" any, also none
	weight            float64
	lo, hi            float64 // plausible bounds, coherent SI unit
	usualLo, usualHi  float64
	width, usualWidth float64     // of both ranges, in decades
	grid              []gridValue // preferred values, sorted as said
	perDecade         []window    // preferred mantissas (E series), 1 ≤ m < 10
	gridShare         float64
	reading           bool   // an instrument's reading
	source            string // as the table has it
	words             string // what the role is called before people
}

// roleWords is what a role is called before people.
func roleWords(o *role) string {
	if o.subject == "*" || o.subject == "-" {
		return schema.RoleWords(o.name, "")
	}
	return schema.RoleWords(o.name, o.subject)
}

// gridValue is a preferred value or range with its share of the grid.
type gridValue struct {
	lo, hi window
	isSpan bool
	share  float64
}

// window holds the values that are near a value.
type window struct{ value, from, to float64 }

// around is the window of a value.
func around(v float64) window {
	w := window{v, v * (1 - nearBy), v / (1 - nearBy)}
	if v < 0 {
		w.from, w.to = w.to, w.from
	}
	return w
}

// has reports whether a value is near that of the window.
func (w *window) has(v float64) bool { return w.from <= v && v <= w.to }

// roleTable holds the roles by kind.
type roleTable struct {
	roles  []role
	byKind map[schema.Kind][]int16
	ranges map[schema.Kind]float64 // share of values said as a range; KindUnknown every other kind
	top    map[schema.Kind]float64 // the largest value that is plausible for any role of the kind, coherent SI unit

	spare sync.Pool // of *scratch
}

var loadRoles = sync.OnceValue(func() *roleTable {
	t := &roleTable{byKind: map[schema.Kind][]int16{}, top: map[schema.Kind]float64{}}
	t.ranges = rangeShares()
	for _, r := range schema.MustReadTable(tables, "tables/roles.tsv").Rows {
		o := role{name: r.Get("role"), unit: schema.Unit(r.Get("unit")), section: r.Get("section"),
			subject:  r.Get("subject"),
			property: r.Get("property"), source: r.Get("source")}
		num := func(col string) float64 {
			v, err := strconv.ParseFloat(r.Get(col), 64)
			if err != nil {
				panic(fmt.Sprintf("roles.tsv:%d: %s: %v", r.Line, col, err))
			}
			return v
		}
		o.weight, o.lo, o.hi, o.usualLo, o.usualHi, o.gridShare = num("weight"), num("lo"), num("hi"), num("tlo"),
			num("thi"), num("gridw")
		o.words = roleWords(&o)
		o.reading = strings.HasPrefix(o.name, "measurement.")
		o.width = math.Max(0.1, math.Log10(o.hi/math.Max(o.lo, 1e-12)))
		o.usualWidth = math.Max(0.1, math.Log10(o.usualHi/math.Max(o.usualLo, 1e-12)))
		if o.name[:strings.IndexByte(o.name, '.')] == "any" {
			k, err := schema.ParseKind(o.name[4:])
			if err != nil {
				panic(err)
			}
			o.kind = k
		} else {
			o.kind = o.unit.Kind()
		}
		if err := o.readGrid(r.Get("grid")); err != nil {
			panic(fmt.Sprintf("roles.tsv:%d: %v", r.Line, err))
		}
		t.roles = append(t.roles, o)
		t.top[o.kind] = max(t.top[o.kind], o.hi)
		t.byKind[o.kind] = append(t.byKind[o.kind], int16(len(t.roles)-1))
	}
	return t
})

func (o *role) readGrid(s string) error {
	if s == "-" {
		return nil
	}
	list, ok := strings.CutPrefix(s, "v:")
	if !ok {
		series, ok := loadSeries()[s]
		if !ok {
			return fmt.Errorf("series %q is not known", s)
		}
		for _, v := range series {
			o.perDecade = append(o.perDecade, around(v))
		}
		return nil
	}
	parts := strings.Split(list, "|")
	for _, p := range parts {
		lo, hi, isSpan := strings.Cut(p, "..")
		v := gridValue{isSpan: isSpan, share: 1 / float64(len(parts))}
		low, err := strconv.ParseFloat(lo, 64)
		if err != nil {
			return err
		}
		v.lo = around(low)
		v.hi = v.lo
		if isSpan {
			high, err := strconv.ParseFloat(hi, 64)
			if err != nil {
				return err
			}
			v.hi = around(high)
		}
		same := false
		for i := range o.grid {
			if g := &o.grid[i]; g.lo.has(v.lo.value) && g.hi.has(v.hi.value) && g.isSpan == isSpan {
				g.share += v.share
				same = true
			}
		}
		if !same {
			o.grid = append(o.grid, v)
		}
	}
	return nil
}

// loadSeries holds the mantissas of the series of preferred numbers.
var loadSeries = sync.OnceValue(func() map[string][]float64 {
	all := map[string][]float64{}
	for _, r := range knowledge.Series().Rows {
		var m []float64
		for _, s := range r.List("values") {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil {
				panic(fmt.Sprintf("series.tsv:%d: %v", r.Line, err))
			}
			m = append(m, inDecade(v))
		}
		all[r.Get("series")] = m
	}
	return all
})

// inDecade is a value above zero without its power of ten.
func inDecade(v float64) float64 { return v / math.Pow10(int(math.Floor(math.Log10(v)+1e-9))) }

// nearBy is the part of the larger of two values by which they differ at most to
// be near each other.
const nearBy = 1e-6

func near(a, b float64) bool {
	return a == b || math.Abs(a-b) <= nearBy*max(math.Abs(a), math.Abs(b))
}

// match returns how well the role fits a context: its weight in the engine's
// terms, or 0 where it does not belong there.
func (o *role) match(c *extract.Context, subject string, w *Weights) float64 {
	if o.section != "*" && o.section != sectionName(c.Section) {
		return 0
	}
	switch o.subject {
	case "*":
	case "-":
		if subject != "" && o.property == "*" {
			return 0
		}
	default:
		if o.subject != subject {
			return 0
		}
	}
	switch {
	case o.property != "*":
		if o.property != c.Property || o.subject == "-" && subject != "" {
			return 0
		}
		return w.RoleProperty * o.weight
	case o.subject != "*" && o.subject != "-":
		return w.RoleSubject * o.weight
	case o.section != "*":
		return w.RoleSection * o.weight
	}
	return w.RoleAny * o.weight
}

// level says what ties the role to a context.
func (o *role) level() matchLevel {
	switch {
	case o.property != "*":
		return matchProperty
	case o.subject != "*" && o.subject != "-":
		return matchSubject
	case o.section != "*":
		return matchSection
	}
	return matchAny
}

func sectionName(s extract.Section) string {
	if s == extract.SectionNone {
		return "none"
	}
	return s.String()
}

// digitShare[s] is the share of spoken values with s significant digits, from
// the truth of the dev captions and our own narrations (465, 458, 189, 30 and
// 1 of 1143), the tail smoothed. readingShare is that of instrument readings,
// which are said with more digits.
var (
	digitShare   = [7]float64{0, 0.40, 0.39, 0.165, 0.035, 0.007, 0.003}
	readingShare = [7]float64{0, 0.12, 0.33, 0.38, 0.15, 0.015, 0.005}
)

// fiveShare is the share of values of two and more digits that end in 5, from
// the same truth (198 of 650).
const fiveShare = 0.30

// digits says how many significant digits a value has, and whether they end
// in 5.
type digits struct {
	n    int
	five bool
}

// share is the share of one value among all of so many digits in a decade.
func (d digits) share(of *[7]float64) float64 {
	n := min(d.n, len(of)-1)
	s := of[n] / (9 * pow10(n-1))
	switch {
	case n == 1:
		return s
	case d.five:
		return s * fiveShare * 9
	}
	return s * (1 - fiveShare) * 9 / 8
}

// eachShare is the share of one value among all values given; of an
// instrument's readings in a role that holds those.
func eachShare(d digits) float64 { return d.share(&digitShare) }

func (o *role) eachShare(d digits) float64 {
	if o.reading {
		return d.share(&readingShare)
	}
	return d.share(&digitShare)
}

// prior returns P(value | role): a mixture of the role's preferred values,
// the usual and plausible parts of its range, and a floor. Values off the grid
// share their decade's probability with all others of as many digits, so that
// 3.2 and 3.25 compare fairly.
func (o *role) prior(lo, hi float64, isRange bool, d digits, form float64, w *Weights) float64 {
	if isRange {
		return o.priorRange(lo, hi, d, form, w)
	}
	p := 0.0
	for i := range o.grid {
		if g := &o.grid[i]; !g.isSpan && g.lo.has(lo) {
			p += o.gridShare * g.share
			break
		}
	}
	if o.perDecade != nil && lo > 0 {
		m := inDecade(lo)
		for k := range o.perDecade {
			if o.perDecade[k].has(m) {
				p += o.gridShare * o.decades(lo, w) / float64(len(o.perDecade))
				break
			}
		}
	}
	p += (1 - o.gridShare) * o.decades(lo, w) * o.eachShare(d) * form
	return p + 1e-12
}

// decades returns the probability per decade at v.
func (o *role) decades(v float64, w *Weights) float64 {
	p := w.Floor / 12
	if v < 0 {
		v = -v
	}
	if v >= o.usualLo*(1-1e-9) && v <= o.usualHi*(1+1e-9) {
		p += w.UsualShare / o.usualWidth
	}
	switch edge := w.PlausibleShare / o.width; {
	case v < o.lo*(1-1e-9):
		p += edge * fade(v/o.lo)
	case v > o.hi*(1+1e-9):
		p += edge * fade(o.hi/v)
	default:
		p += edge
	}
	return p
}

// fade softens the edges of a plausible range, which are practice and no law:
// a hundredth for every decade beyond.
func fade(ratio float64) float64 { return ratio * ratio }

// priorRange gives a preferred range its share, another range a small share
// of the product of its ends.
func (o *role) priorRange(lo, hi float64, d digits, form float64, w *Weights) float64 {
	for i := range o.grid {
		if g := &o.grid[i]; g.isSpan && g.lo.has(lo) && g.hi.has(hi) {
			return o.gridShare * g.share
		}
	}
	return o.prior(lo, lo, false, d, form, w)*o.prior(hi, hi, false, d, form, w)*loadBounds().rangeShare + 1e-15
}

// rareRange is what a range that was not shown as one costs by its kind.
func (t *roleTable) rareRange(k schema.Kind) float32 {
	share, ok := t.ranges[k]
	if !ok {
		share = t.ranges[schema.KindUnknown]
	}
	return float32(math.Log(loadBounds().rangeShare / share))
}

// rangeShares reads ranges.tsv: the share of ranges by kind, KindUnknown for
// every other.
func rangeShares() map[schema.Kind]float64 {
	shares := map[schema.Kind]float64{}
	for _, r := range schema.MustReadTable(tables, "tables/ranges.tsv").Rows {
		n, err1 := strconv.ParseFloat(r.Get("n"), 64)
		of, err2 := strconv.ParseFloat(r.Get("of"), 64)
		kind, err3 := schema.KindUnknown, error(nil)
		if name := r.Get("kind"); name != "*" {
			kind, err3 = schema.ParseKind(name)
		}
		if err := errors.Join(err1, err2, err3); err != nil {
			panic(fmt.Sprintf("ranges.tsv:%d: %v", r.Line, err))
		}
		shares[kind] = (n + 0.5) / (of + 1)
	}
	return shares
}

var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12}

func pow10(n int) float64 {
	if n >= 0 && n < len(tens) {
		return tens[n]
	}
	return math.Pow(10, float64(n))
}
