package prior

import (
	"fmt"
	"strconv"
	"strings"
	"sync"

	"saywatt/internal/knowledge"
	"saywatt/schema"
)

// The places that roles name. Behind each stands a property (extract's
// properties.tsv and kindratings.tsv): "level.voltage", "component.on_resistance",
// "measurement.efficiency".
const (
	Level       = "level."       // voltage, current, power
	Input       = "input."       // voltage, current, power, frequency of the mains or supply
	Claim       = "claim."       // headline properties
	Body        = "body."        // dimension, mass, volume, density, thickness, angle, display, …
	Cell        = "cell."        // one cell
	Pack        = "pack."        // all cells together
	Rated       = "rated."       // rated output of a power bank or station
	Cable       = "cable."       // the cable
	Component   = "component."   // a part
	Measurement = "measurement." // an instrument's reading
	Condition   = "condition."   // what a test runs at: voltage, current, power, mains, ambient, time
	Any         = "any."         // no place known; behind it stands a kind of quantity
)

// AnyPart is the subject of roles that ratings of every kind of part can have.
const AnyPart = "part"

// Split cuts a role into place and property: "level." and "voltage"; the place is "" where
// it has none.
func Split(role string) (place, property string) {
	if i := strings.IndexByte(role, '.'); i >= 0 {
		return role[:i+1], role[i+1:]
	}
	return "", role
}

// Role is a row of roles.tsv: a place in the record and the values that are
// plausible there, in the coherent SI unit, temperatures in degrees Celsius.
type Role struct {
	Name                string      // place and property, cut by Split: "component.capacitance"
	Unit                schema.Unit // that a person of the trade would write
	Kind                schema.Kind
	Subject             string  // kind of part that it is said of; "-" none, "*" any
	Weight              float64 // among the roles with the same tie to a context
	Low, High           float64 // plausible bounds
	UsualLow, UsualHigh float64
	GridShare           float64 // share of values that are preferred ones, 0 where none are
	Source              string  // as the table has it
	Words               string  // what the role is called before people

	section, property              string      // that it belongs to; "*" any, also none
	floor, usualDensity, plausible float64     // probability per decade: anywhere, and what both ranges add
	grid                           []gridValue // preferred values, sorted as said
	perDecade                      []window    // preferred mantissas (E series), 1 ≤ m < 10
	reading                        bool        // an instrument's reading
}

// gridValue is a preferred value or range with its share of the grid.
type gridValue struct {
	lo, hi window
	isSpan bool
	share  float64
}

// roleWords is what a role is called before people.
func roleWords(o *Role) string {
	if o.Subject == "*" || o.Subject == "-" {
		return schema.RoleWords(o.Name, "")
	}
	return schema.RoleWords(o.Name, o.Subject)
}

// Table is what is usual. It does not change.
type Table struct {
	Roles []Role // in the order of roles.tsv: the narrower before the wider

	byKind map[schema.Kind][]int16
	top    map[schema.Kind]float64
	ranges map[schema.Kind]float64 // share of values said as a range; KindUnknown every other kind
	forms  map[schema.Unit]form
}

// ByKind returns the roles of a kind of quantity, by their places in Roles.
func (t *Table) ByKind(k schema.Kind) []int16 { return t.byKind[k] }

// Top returns the largest value that is plausible for any role of the kind, in the
// coherent SI unit; false where no role takes the kind.
func (t *Table) Top(k schema.Kind) (float64, bool) {
	top, ok := t.top[k]
	return top, ok
}

// Usual returns the table. It panics where the tables do not hold together.
func Usual() *Table { return loadUsual() }

var loadUsual = sync.OnceValue(func() *Table {
	t := &Table{byKind: map[schema.Kind][]int16{}, top: map[schema.Kind]float64{}, ranges: readRanges(),
		forms: readForms()}
	for _, r := range schema.MustReadTable(tables, "tables/roles.tsv").Rows {
		o, err := readRole(r)
		if err != nil {
			panic(fmt.Sprintf("roles.tsv:%d: %v", r.Line, err))
		}
		t.Roles = append(t.Roles, o)
		t.top[o.Kind] = max(t.top[o.Kind], o.High)
		t.byKind[o.Kind] = append(t.byKind[o.Kind], int16(len(t.Roles)-1))
	}
	return t
})

func readRole(r schema.Row) (o Role, err error) {
	o = Role{Name: r.Get("role"), Unit: schema.Unit(r.Get("unit")), section: r.Get("section"),
		Subject: r.Get("subject"), property: r.Get("property"), Source: r.Get("source")}
	for _, c := range [...]struct {
		column string
		to     *float64
	}{{"weight", &o.Weight}, {"lo", &o.Low}, {"hi", &o.High}, {"tlo", &o.UsualLow}, {"thi", &o.UsualHigh},
		{"gridw", &o.GridShare}} {
		if *c.to, err = strconv.ParseFloat(r.Get(c.column), 64); err != nil {
			return o, fmt.Errorf("%s: %w", c.column, err)
		}
	}
	o.Words = roleWords(&o)
	o.reading = strings.HasPrefix(o.Name, Measurement)
	o.setDensities(loadWeights())
	if place, kind := Split(o.Name); place == Any {
		o.Kind, err = schema.ParseKind(kind)
		if err != nil {
			return o, err
		}
	} else {
		o.Kind = o.Unit.Kind()
	}
	return o, o.readGrid(r.Get("grid"))
}

func (o *Role) readGrid(s string) error {
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
