package normalize

import (
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/schema"
)

// rowsOf reads a table of another package, which this one shares names with but does
// not embed.
func rowsOf(t *testing.T, folder, name string) []schema.Row {
	t.Helper()
	table, err := schema.ReadTable(os.DirFS(folder), name)
	if err != nil {
		t.Fatal(err)
	}
	return table.Rows
}

func number(t *testing.T, table string, r schema.Row, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r.Get(column), 64)
	if err != nil {
		t.Errorf("%s:%d: %s: %v", table, r.Line, column, err)
	}
	return v
}

func checkSource(t *testing.T, table string, r schema.Row) {
	t.Helper()
	if s := strings.TrimSpace(r.Get("source")); s == "" || s == "-" {
		t.Errorf("%s:%d: no source", table, r.Line)
	}
}

func checkUnit(t *testing.T, table string, r schema.Row, column string) schema.Unit {
	t.Helper()
	u := schema.Unit(r.Get(column))
	if _, ok := u.Info(); !ok {
		t.Errorf("%s:%d: %q is no unit", table, r.Line, u)
	}
	return u
}

// Every place names a property that the record knows (extract's
// properties.tsv, kindratings.tsv), a subject the scanner finds, a section it
// enters; ranges nest; preferred values are plausible.
func TestRolesTable(t *testing.T) {
	properties := map[string]bool{}
	for _, r := range rowsOf(t, "../extract/tables", "properties.tsv") {
		properties[r.Get("property")] = true
	}
	subjects := map[string]bool{}
	ratings := map[string][]string{} // subject → its ratings
	for _, r := range rowsOf(t, "../extract/tables", "kindratings.tsv") {
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
	places := []string{RoleLevel, RoleInput, RoleClaim, RoleBody, RoleCell, RolePack, RoleRated, RoleCable,
		RoleComponent, RoleMeasurement, RoleCondition, RoleAny}
	seen := map[string]*role{}
	table := loadRoles()
	for i, r := range schema.MustReadTable(tables, "tables/roles.tsv").Rows {
		fault := func(format string, args ...any) {
			t.Helper()
			t.Errorf("roles.tsv:%d: %s of %s/%s/%s: "+format,
				append([]any{r.Line, r.Get("role"), r.Get("section"), r.Get("subject"), r.Get("property")}, args...)...)
		}
		checkSource(t, "roles.tsv", r)
		u := checkUnit(t, "roles.tsv", r, "unit")
		o := &table.roles[i]
		if o.name != r.Get("role") || o.unit != u {
			fault("loaded as %s", o.name)
		}
		place, property := splitRole(o.name)
		if !slices.Contains(places, place) {
			fault("no such place")
		}
		if kind := u.Kind(); kind != o.kind || kind == schema.KindUnknown {
			fault("unit %s is a %s, the role a %s", u, kind, o.kind)
		}
		if !sections[o.section] {
			fault("no such section")
		}
		if o.subject != "*" && o.subject != "-" && !subjects[o.subject] {
			fault("no such subject")
		}
		if o.property != "*" && !properties[o.property] {
			fault("no such property word")
		}
		if place == RoleComponent && subjects[o.subject] && !properties[property] &&
			!slices.Contains(ratings[o.subject], property) {
			fault("its part has no such rating")
		}
		key := strings.Join([]string{o.name, o.section, o.subject, o.property, string(u)}, " ")
		if before, ok := seen[key]; ok && o.lo < before.usualHi {
			fault("values from %v are those of a line before already, up to %v", o.lo, before.usualHi)
		}
		seen[key] = o
		checkUsual(o, r, fault)
	}
	checkFallbacks(t, table)
}

// checkUsual: usual and preferred values of a role lie inside the plausible ones.
func checkUsual(o *role, r schema.Row, fault func(format string, args ...any)) {
	if !(o.weight > 0 && o.weight <= 1.5) {
		fault("weight %v", o.weight)
	}
	switch {
	case !(o.lo >= 0 && o.lo < o.hi):
		fault("plausible %v to %v", o.lo, o.hi)
	case !(o.usualLo < o.usualHi):
		fault("usual %v to %v", o.usualLo, o.usualHi)
	case o.usualLo < o.lo*(1-1e-9) || o.usualHi > o.hi*(1+1e-9):
		fault("usual %v to %v lies outside plausible %v to %v", o.usualLo, o.usualHi, o.lo, o.hi)
	}
	if o.gridShare < 0 || o.gridShare >= 1 || (o.gridShare > 0) != (o.grid != nil || o.perDecade != nil) {
		fault("share %v of its grid %q", o.gridShare, r.Get("grid"))
	}
	total := 0.0
	for _, g := range o.grid {
		total += g.share
		if g.isSpan && !(g.lo.value < g.hi.value) {
			fault("range %v to %v falls", g.lo.value, g.hi.value)
		}
		if g.lo.value < o.lo*(1-1e-9) || g.hi.value > o.hi*(1+1e-9) {
			fault("preferred %v to %v lies outside plausible %v to %v", g.lo.value, g.hi.value, o.lo, o.hi)
		}
	}
	if o.grid != nil && math.Abs(total-1) > 1e-9 {
		fault("preferred values share %v", total)
	}
}

// checkFallbacks: each kind of quantity has a role that takes all of it, as the last.
func checkFallbacks(t *testing.T, table *roleTable) {
	t.Helper()
	for _, k := range kinds() {
		if k == schema.KindOther { // its only unit, 1, is that of a ratio
			continue
		}
		if len(table.byKind[k]) == 0 {
			t.Errorf("roles.tsv: no role takes a %s", k)
			continue
		}
		last := &table.roles[table.byKind[k][len(table.byKind[k])-1]]
		if last.name != RoleAny+k.String() || last.level() != matchAny {
			t.Errorf("roles.tsv: the last row of %s is %s, want %s for anything: put rows above it", k, last.name,
				RoleAny+k.String())
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
	c := loadDecimals()
	rows := schema.MustReadTable(tables, "tables/decimals.tsv").Rows
	n, with := number(t, "decimals.tsv", rows[0], "n"), number(t, "decimals.tsv", rows[0], "with")
	if rows[0].Get("unit") != "*" {
		t.Fatalf("decimals.tsv:%d: the first row is of all units", rows[0].Line)
	}
	overall := with / n
	for _, r := range rows {
		checkSource(t, "decimals.tsv", r)
		if r.Get("unit") == "*" {
			continue
		}
		u := checkUnit(t, "decimals.tsv", r, "unit")
		each, point := number(t, "decimals.tsv", r, "n"), number(t, "decimals.tsv", r, "with")
		n -= each
		with -= point
		if point > each || each < 1 {
			t.Errorf("decimals.tsv:%d: %v of %v", r.Line, point, each)
		}
		a, b := c.form(u, true), c.form(u, false)
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
	if c.form("K/W", true) != 1 || c.form("K/W", false) != 1 {
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
	if err := new(role).readGrid("E7"); err == nil {
		t.Error("a series that is not there was found")
	}
}

// All weights are used (loadWeights refuses unknown and missing ones), those
// that are probabilities are between 0 and 1, and the shares of a role's
// range leave room for each other.
func TestWeightsTable(t *testing.T) {
	w := loadWeights()
	for _, r := range schema.MustReadTable(tables, "tables/weights.tsv").Rows {
		v := number(t, "weights.tsv", r, "value")
		meaning := r.Get("meaning")
		if len(meaning) < 10 {
			t.Errorf("weights.tsv:%d: %s means %q", r.Line, r.Get("name"), meaning)
		}
		if (strings.HasPrefix(meaning, "probability") || strings.HasPrefix(meaning, "share")) && !(v > 0 && v < 1) {
			t.Errorf("weights.tsv:%d: %s is a probability of %v", r.Line, r.Get("name"), v)
		}
		if v <= 0 {
			t.Errorf("weights.tsv:%d: %s is %v", r.Line, r.Get("name"), v)
		}
	}
	if s := w.UsualShare + w.PlausibleShare + w.Floor; s > 1+1e-9 {
		t.Errorf("the shares of a role's range add up to %v", s)
	}
	if DefaultThreshold() != w.Threshold || w.Threshold <= 0.5 {
		t.Errorf("threshold %v", w.Threshold)
	}
	if w.RoleProperty < w.RoleSubject || w.RoleSubject < w.RoleSection || w.RoleSection < w.RoleAny {
		t.Error("a nearer context must weigh more")
	}
	if w.DensityLow >= w.DensityHigh {
		t.Errorf("densities from %v to %v", w.DensityLow, w.DensityHigh)
	}
}
