package prior

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/extract/place"
	"saywatt/normalize/testdata/tabletest"
	"saywatt/schema"
)

// Tables that do not hold together are said once: every test would fail of them.
func TestMain(m *testing.M) {
	func() {
		defer func() {
			if fault := recover(); fault != nil {
				fmt.Fprintln(os.Stderr, "normalize/prior/tables:", fault)
				os.Exit(1)
			}
		}()
		loadUsual()
		loadUnits()
	}()
	os.Exit(m.Run())
}

// Every place names a property that the record knows (extract's
// properties.tsv, kindratings.tsv), a subject the scanner finds, a section it
// enters; ranges nest; preferred values are plausible.
func TestRolesTable(t *testing.T) {
	properties := map[string]bool{}
	for _, r := range tabletest.Rows(t, "../../extract/tables", "properties.tsv") {
		properties[r.Get("property")] = true
	}
	subjects := map[string]bool{}
	ratings := map[string][]string{} // subject → its ratings
	for _, r := range tabletest.Rows(t, "../../extract/tables", "kindratings.tsv") {
		subjects[r.Get("kind")] = true
		for _, pair := range r.List("ratings") {
			_, property, _ := strings.Cut(pair, "=")
			ratings[r.Get("kind")] = append(ratings[r.Get("kind")], property)
		}
	}
	sections := map[string]bool{"*": true, "none": true}
	for s := extract.SectionProduct; s <= extract.SectionClosing; s++ {
		sections[s.String()] = true
	}
	places := []string{Level, Input, Claim, Body, Cell, Pack, Rated, Cable,
		Component, Measurement, Condition, Any}
	seen := map[string]*Role{}
	table := Usual()
	for i, r := range schema.MustReadTable(tables, "tables/roles.tsv").Rows {
		fault := func(format string, args ...any) {
			t.Helper()
			t.Errorf("roles.tsv:%d: %s of %s/%s/%s: "+format,
				append([]any{r.Line, r.Get("role"), r.Get("section"), r.Get("subject"), r.Get("property")}, args...)...)
		}
		tabletest.CheckSource(t, "roles.tsv", r)
		u := tabletest.Unit(t, "roles.tsv", r, "unit")
		o := &table.Roles[i]
		if o.Name != r.Get("role") || o.Unit != u {
			fault("loaded as %s", o.Name)
		}
		place, property := Split(o.Name)
		if !slices.Contains(places, place) {
			fault("no such place")
		}
		if kind := u.Kind(); kind != o.Kind || kind == schema.KindUnknown {
			fault("unit %s is a %s, the role a %s", u, kind, o.Kind)
		}
		if !sections[o.section] {
			fault("no such section")
		}
		if o.Subject != "*" && o.Subject != "-" && !subjects[o.Subject] {
			fault("no such subject")
		}
		if o.property != "*" && !properties[o.property] {
			fault("no such property word")
		}
		if place == Component && subjects[o.Subject] && !properties[property] &&
			!slices.Contains(ratings[o.Subject], property) {
			fault("its part has no such rating")
		}
		key := strings.Join([]string{o.Name, o.section, o.Subject, o.property, string(u)}, " ")
		if before, ok := seen[key]; ok && o.Low < before.UsualHigh {
			fault("values from %v are those of a line before already, up to %v", o.Low, before.UsualHigh)
		}
		seen[key] = o
		checkUsual(o, r, fault)
	}
	checkFallbacks(t, table)
}

// checkUsual: usual and preferred values of a role lie inside the plausible ones.
func checkUsual(o *Role, r schema.Row, fault func(format string, args ...any)) {
	if !(o.Weight > 0 && o.Weight <= 1.5) {
		fault("weight %v", o.Weight)
	}
	switch {
	case !(o.Low >= 0 && o.Low < o.High):
		fault("plausible %v to %v", o.Low, o.High)
	case !(o.UsualLow < o.UsualHigh):
		fault("usual %v to %v", o.UsualLow, o.UsualHigh)
	case o.UsualLow < o.Low*(1-1e-9) || o.UsualHigh > o.High*(1+1e-9):
		fault("usual %v to %v lies outside plausible %v to %v", o.UsualLow, o.UsualHigh, o.Low, o.High)
	}
	if o.GridShare < 0 || o.GridShare >= 1 || (o.GridShare > 0) != (o.grid != nil || o.perDecade != nil) {
		fault("share %v of its grid %q", o.GridShare, r.Get("grid"))
	}
	total := 0.0
	for _, g := range o.grid {
		total += g.share
		if g.isSpan && !(g.lo.value < g.hi.value) {
			fault("range %v to %v falls", g.lo.value, g.hi.value)
		}
		if g.lo.value < o.Low*(1-1e-9) || g.hi.value > o.High*(1+1e-9) {
			fault("preferred %v to %v lies outside plausible %v to %v", g.lo.value, g.hi.value, o.Low, o.High)
		}
	}
	if o.grid != nil && math.Abs(total-1) > 1e-9 {
		fault("preferred values share %v", total)
	}
}

// checkFallbacks: each kind of quantity has a role that takes all of it, as the last.
func checkFallbacks(t *testing.T, table *Table) {
	t.Helper()
	for _, k := range kinds() {
		if k == schema.KindOther { // its only unit, 1, is that of a ratio
			continue
		}
		if len(table.byKind[k]) == 0 {
			t.Errorf("roles.tsv: no role takes a %s", k)
			continue
		}
		last := &table.Roles[table.byKind[k][len(table.byKind[k])-1]]
		if last.Name != Any+k.String() || last.Tie() != TieAny {
			t.Errorf("roles.tsv: the last row of %s is %s, want %s for anything: put rows above it", k, last.Name,
				Any+k.String())
		}
	}
}

// kinds lists the physical kinds of all units.
func kinds() []schema.Kind {
	var out []schema.Kind
	for k := schema.KindUnknown + 1; ; k++ {
		s := k.String()
		if _, err := schema.ParseKind(s); err != nil {
			return out
		}
		out = append(out, k)
	}
}

func TestDecimalsTable(t *testing.T) {
	c := Usual()
	rows := schema.MustReadTable(tables, "tables/decimals.tsv").Rows
	n, with := tabletest.Number(t, "decimals.tsv", rows[0], "n"), tabletest.Number(t, "decimals.tsv", rows[0], "with")
	if rows[0].Get("unit") != "*" {
		t.Fatalf("decimals.tsv:%d: the first row is of all units", rows[0].Line)
	}
	overall := with / n
	for _, r := range rows {
		tabletest.CheckSource(t, "decimals.tsv", r)
		if r.Get("unit") == "*" {
			continue
		}
		u := tabletest.Unit(t, "decimals.tsv", r, "unit")
		each, point := tabletest.Number(t, "decimals.tsv", r, "n"), tabletest.Number(t, "decimals.tsv", r, "with")
		n -= each
		with -= point
		if point > each || each < 1 {
			t.Errorf("decimals.tsv:%d: %v of %v", r.Line, point, each)
		}
		a, b := c.Form(u, true), c.Form(u, false)
		if !(a > 0 && b > 0) {
			t.Errorf("decimals.tsv:%d: %s is weighed %v with a point, %v without", r.Line, u, a, b)
		}
		// both forms together keep the overall share: a factor of a density
		if s := a*overall + b*(1-overall); math.Abs(s-1) > 1e-9 {
			t.Errorf("decimals.tsv:%d: %s adds up to %v", r.Line, u, s)
		}
		if (point/each > overall) != (a > 1) {
			t.Errorf("decimals.tsv:%d: %s has a point in %v of %v, weighed %v", r.Line, u, point, each, a)
		}
	}
	if n < 0 || with < 0 || with > n {
		t.Errorf("decimals.tsv: the units' counts exceed all by %v, with a point %v", -n, -with)
	}
	if c.Form("K/W", true) != 1 || c.Form("K/W", false) != 1 {
		t.Error("a unit without counts is weighed")
	}
}

// TestSeries: a decade of each series, whatever power of ten its table has.
func TestSeries(t *testing.T) {
	for name, m := range loadSeries() {
		if !slices.IsSorted(m) || m[0] != 1 || m[len(m)-1] >= 10 {
			t.Errorf("%s is no rising decade: %v", name, m)
		}
	}
	if err := new(Role).readGrid("E7"); err == nil {
		t.Error("a series that is not there was found")
	}
}

// ranges.tsv: kinds that are said as ranges, and every other.
func TestRangeShares(t *testing.T) {
	for _, r := range schema.MustReadTable(tables, "tables/ranges.tsv").Rows {
		n, of := tabletest.Number(t, "ranges.tsv", r, "n"), tabletest.Number(t, "ranges.tsv", r, "of")
		if n > of || r.Get("source") == "" {
			t.Errorf("ranges.tsv:%d: %v of %v", r.Line, n, of)
		}
	}
	s := readRanges()
	if !(s[schema.KindFrequency] > s[schema.KindVoltage] && s[schema.KindVoltage] > s[schema.KindUnknown]) {
		t.Errorf("shares %v", s)
	}
}

// TestPlaceUnitShares: the units of a class share what is sure, and those said bare
// count for most.
func TestPlaceUnitShares(t *testing.T) {
	for c, units := range loadUnits() {
		all, bare := 0.0, 0.0
		for _, u := range units {
			all += u.All
			bare += u.Bare
		}
		if len(units) > 0 && (all < 0.999 || all > 1.001 || bare < 0.999 || bare > 1.001) {
			t.Errorf("%s: shares of %v and %v", place.Class(c), all, bare)
		}
	}
}

// Each row of weights.tsv is a share with a meaning, and those of a role's range leave
// room for each other.
func TestWeightsTable(t *testing.T) {
	for _, r := range schema.MustReadTable(tables, "tables/weights.tsv").Rows {
		tabletest.CheckSource(t, "weights.tsv", r)
		v := tabletest.Number(t, "weights.tsv", r, "value")
		if !(v > 0 && v < 1) || !strings.HasPrefix(r.Get("meaning"), "share") {
			t.Errorf("weights.tsv:%d: %s is a %q of %v", r.Line, r.Get("name"), r.Get("meaning"), v)
		}
	}
	w := loadWeights()
	if s := w.usualShare + w.plausibleShare + w.floor; s > 1+1e-9 {
		t.Errorf("the shares of a role's range add up to %v", s)
	}
	usual := Usual()
	got := math.Exp(float64(usual.RareRange(schema.KindUnknown))) * usual.ranges[schema.KindUnknown]
	if math.Abs(got-0.3) > 1e-6 || RangeShare() != 0.3 {
		t.Errorf("range_share is %v, and %v in what a range costs; want 0.3", RangeShare(), got)
	}
}
