package normalize

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"saywatt/extract"
	"saywatt/normalize/testdata/tabletest"
	"saywatt/schema"
)

// reading makes a candidate of a quantity written as "3.25 A".
func reading(t *testing.T, text string) *candidate {
	t.Helper()
	q := schema.MustQuantity(text)
	number, _, _ := strings.Cut(text, " ")
	exp := 0
	if i := strings.IndexByte(number, '.'); i >= 0 {
		exp = i + 1 - len(number)
	}
	coef, err := strconv.ParseInt(strings.Replace(number, ".", "", 1), 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	n := extract.Num{Coef: coef, Exp: int16(exp)}
	factor, offset := scaleOf(q.Unit)
	c := &candidate{lo: n, hi: n, unit: q.Unit, kind: q.Unit.Kind()}
	c.si = (n.Float() + offset) * factor
	c.siLo = c.si
	return c
}

// relations.tsv: what each row takes for met, and what it does not; the
// probabilities of chance by hand: twice the slack through the spread.
func TestRelationRows(t *testing.T) {
	rows := loadRelations().three
	cases := []struct {
		form                  relationForm
		first, second, result string
		chance                float64
	}{
		{asProduct, "20 V", "3.25 A", "65 W", 2 * 0.5 / 65 / 4.6},
		{asProduct, "20 V", "32.5 A", "65 W", 0},
		{asProduct, "10000 mA.h", "3.7 V", "37 W.h", 2 * 0.5 / 37 / 4.6},
		{asProduct, "90 W", "10 h", "900 W.h", 2 * 0.5 / 900 / 4.6 / 0.95},
		{asProduct, "3.3 V", "3 A", "9.95 W", 2 * (0.006 - 0.005/9.95) / 4.6 / 0.05}, // and not
		{asProduct, "2 A", "90 min", "3 A.h", 2 * 0.05 / 4.6},                        // within a twentieth, the most that rounding excuses
		{asProduct, "5 A", "124 mOhm", "0.62 V", 2 * 0.005 / 0.62 / 4.6},
		{asSum, "45 W", "65 W", "110 W", 2 * 0.5 / 45 / 4.6},
		{asSum, "45 W", "65 W", "111 W", 0},
		{asSum, "7 W", "65 W", "72 W", 0}, // half a watt is too much of seven
		{asSum, "36.3 W.h", "40.2 W.h", "76.5 W.h", 2 * 0.006 / 4.6},
		{asSum, "22 uF", "47 uF", "69 uF", 2 * 0.5 / 22 / 4.6},
		{asSum, "46 mOhm", "78 mOhm", "124 mOhm", 2 * 0.5 / 46 / 4.6},
		{asSum, "89 g", "134 g", "223 g", 2 * 0.006 / 4.6},
		{asSum, "1.5 A", "2.5 A", "4.0 A", 2 * 0.05 / 1.5 / 4.6},
		{asSum, "0.55 V", "19.49 V", "20.04 V", 2 * 0.005 / 0.55 / 4.6},
		{asSum, "18.2 Cel", "23.0 Cel", "41.2 Cel", 2 * 0.006 / 4.6},
		{asSum, "34.2 mm", "46.1 mm", "80.3 mm", 2 * 0.006 / 4.6},
		{asShare, "65.2 W", "71 W", "91.8 %", 2 * 0.05 / 91.8 / 0.7 / 0.95}, // exact to its last digit
		{asShare, "71 W", "65.2 W", "91.8 %", 0},                            // the smaller of the larger
		{asShare, "38.3 W.h", "52.9 W.h", "72.4 %", 2 * 0.05 / 72.4 / 0.7 / 0.95},
		{asShare, "7350 mA.h", "12000 mA.h", "61 %", 2 * 0.5 / 61 / 0.7},
		{asShare, "0.62 V", "20.02 V", "3.1 %", 2 * 0.05 / 3.1 / 4.6},
	}
	met := make([]bool, len(rows))
	for _, c := range cases {
		x, y, z := reading(t, c.first), reading(t, c.second), reading(t, c.result)
		for i := range rows {
			o := &rows[i]
			if o.form != c.form || o.first != x.kind || o.second != y.kind || o.result != z.kind {
				continue
			}
			if got := o.chance(x, y, z); math.Abs(got-c.chance) > 1e-6 {
				t.Errorf("%s, %s, %s: met by chance with %.6f, want %.6f", c.first, c.second, c.result, got, c.chance)
			}
			met[i] = met[i] || c.chance > 0
		}
	}
	for i := range rows {
		if !met[i] {
			t.Errorf("no case for %q", rows[i].words)
		}
		if o := &rows[i]; !(o.near > 0 && o.near < 1 && o.linked >= o.near && o.far <= o.near && o.links != 0 &&
			o.spread > 0) {
			t.Errorf("%q: probabilities %v, %v, %v, spread %v", o.words, o.near, o.linked, o.far, o.spread)
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/relations.tsv").Rows {
		tabletest.CheckSource(t, "relations.tsv", r)
	}
	if o := &loadRelations().count; o.timesChance(reading(t, "100 nF"), reading(t, "400 nF"), 4) == 0 ||
		o.timesChance(reading(t, "100 nF"), reading(t, "400 nF"), 3) != 0 {
		t.Error("four times 100 nF are 400 nF, three times are not")
	}
}

// A relation makes no reading likelier than its chance allows: its likelihood
// ratio is at most one through the probability of chance.
func TestRelationIsPricedByChance(t *testing.T) {
	e := engineOf(t, "5 volts")
	e.relations = loadRelations()
	for i := range e.relations.three {
		o := &e.relations.three[i]
		for _, f := range []fact{{near: true}, {}, {near: true, link: o.links}, {link: o.links}} {
			for _, chance := range []float64{0.001, 0.01, 0.2} {
				if r := e.related(&f, o, chance); r < 1 || r > 1+1/chance {
					t.Errorf("%q: ratio %v at a chance of %v", o.words, r, chance)
				}
			}
			if r := e.related(&f, o, 0); r != 1 {
				t.Errorf("%q: ratio %v where it is not met", o.words, r)
			}
		}
	}
}

// A time in hours and minutes is one value of a relation, by hand: 500 W × 1.8 h is
// 900 W·h, which 902 is within what a minute is worth; 2.1 A × 2⅓ h is 4.9 A·h. The minutes
// alone make neither.
func TestRelationTakesMinutesIn(t *testing.T) {
	for text, want := range map[string]string{
		"At 500 watts it ran for 1 hour and 48 minutes, so 902 watt hours.":    "500 W; 1 h; 48 min; 902 W.h~",
		"The load took 2.1 amps for 2 hours 20 minutes, that is 49 amp hours.": "2.1 A; 2 h; 20 min; 4.9 A.h~",
	} {
		got, _ := (&Ranker{}).Rank(read(t, text))
		if said, ok := saidAs(got, want); !ok {
			t.Errorf("%s\n got %s\nwant %s", text, said, want)
		}
	}
	whole := fact{pair: 2, n: 4, kind: factRelation}
	var room candidate
	c := [maxFactNodes]*candidate{reading(t, "500 W"), reading(t, "1 h"), reading(t, "48 min"), reading(t, "902 W.h")}
	three, ok := whole.joined(&c, &room)
	if !ok || three[1].si != 6480 || three[1].step() != 60 || three[2] != c[3] {
		t.Errorf("1 h 48 min are %v s in steps of %v", three[1].si, three[1].step())
	}
	for _, apart := range [][2]string{{"1 h", "75 min"}, {"1.5 h", "20 min"}, {"1 h", "48 W"}} {
		c[1], c[2] = reading(t, apart[0]), reading(t, apart[1])
		if _, ok := whole.joined(&c, &room); ok {
			t.Errorf("%s and %s are taken for one time", apart[0], apart[1])
		}
	}
}

// Two results that are one value prove a third quantity once.
func TestRelationSaidTwice(t *testing.T) {
	e := engineOf(t, "A load of 90 watts ran for 10 hours. That is 902 watt hours. I had said 900 watt hours.")
	e.build()
	e.infer()
	n := 0
	for i := range e.facts {
		if e.facts[i].kind == factRelation {
			n++
		}
	}
	if n > 1 {
		t.Errorf("%d relations prove the hours", n)
	}
}

// Time and size of what relations add are linear in the text.
func TestRelationsAreLinear(t *testing.T) {
	text := func(n int) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, "%d volts %d amps, so %d watts, that is %d percent, ", i%40+1, i%7+1, (i%40+1)*(i%7+1),
				i%100)
		}
		return b.String()
	}
	took := func(n int) time.Duration {
		d := read(t, text(n))
		from := time.Now()
		(&Ranker{}).Rank(d)
		return time.Since(from)
	}
	took(50)
	if a, b := took(250), took(1000); b > 12*a+time.Second {
		t.Errorf("%v for 1000 quantities, %v for 4000", a, b)
	}
}

// TestBetween holds the kinds that are related to two others against the rows of
// the table.
func TestBetween(t *testing.T) {
	e := &engine{relations: loadRelations()}
	related := func(x, y, z schema.Kind) bool {
		for _, o := range e.relations.three {
			for _, p := range permutations {
				k := [3]schema.Kind{x, y, z}
				if k[p[0]] == o.first && k[p[1]] == o.second && k[p[2]] == o.result {
					return true
				}
			}
		}
		return false
	}
	some := 0
	for x := schema.KindUnknown; x <= schema.KindOther; x++ {
		for y := schema.KindUnknown; y <= schema.KindOther; y++ {
			got := e.between(1<<x, 1<<y)
			for z := schema.KindUnknown; z <= schema.KindOther; z++ {
				has := got>>z&1 != 0
				if has != related(x, y, z) {
					t.Errorf("%v with %v and %v: %v", z, x, y, has)
				}
				some += boolInt(has)
			}
		}
	}
	if some == 0 {
		t.Error("no kinds are related")
	}
	both := e.between(1<<schema.KindVoltage|1<<schema.KindMass, 1<<schema.KindCurrent)
	if both != e.between(1<<schema.KindVoltage, 1<<schema.KindCurrent)|e.between(1<<schema.KindMass,
		1<<schema.KindCurrent) {
		t.Error("what two kinds are related to is not that of each")
	}
}
