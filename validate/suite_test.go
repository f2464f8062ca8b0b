package validate

import (
	"math"
	"os"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"
	"pgregory.net/rapid"

	"saywatt/schema"
	"saywatt/validate/standard"
	"saywatt/validate/testdata/notation"
)

// TestSuite refuses a rule that is undocumented, unsourced, unweighed or
// untested, or that goes further than its source.
func TestSuite(t *testing.T) {
	name := regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)+$`)
	place := regexp.MustCompile(`^[a-z]+(\.[A-Za-z_*-][A-Za-z_* -]*)+$`)
	parts, err := schema.ReadTable(os.DirFS("../extract"), "tables/kinds.tsv")
	if err != nil {
		t.Fatal(err)
	}
	said := map[string]bool{}
	for _, r := range parts.Rows {
		said[r.Get("kind")] = true
	}
	seen := map[string]bool{}
	for _, r := range Rules() {
		t.Run(r.Name, func(t *testing.T) {
			if !name.MatchString(r.Name) || seen[r.Name] {
				t.Errorf("name %q: want lower case with hyphens, once", r.Name)
			}
			seen[r.Name] = true
			checkRuleWords(t, r, place, said)
			if r.Find == nil || r.Test == nil || r.Explain == nil {
				t.Fatal("Find, Test and Explain are needed")
			}
			if w, ok := weights()[r.Name]; !ok || w.slip <= 0 || w.slip > 0.5 || w.chance <= 0 || w.chance >= 1 ||
				1-w.slip < w.chance {
				t.Errorf("weights.tsv: %v, %v: want 0 < slip ≤ 0.5, 0 < chance ≤ 1 - slip", w, ok)
			}
			checkCaseFile(t, r.Name)
		})
	}
	for rule := range weights() {
		if !seen[rule] {
			t.Errorf("weights.tsv has a row for %q, which is no rule", rule)
		}
	}
}

// checkRuleWords checks what a rule says of itself: texts, source, standing, places
// and the parts that a narration may name.
func checkRuleWords(t *testing.T, r *Rule, place *regexp.Regexp, said map[string]bool) {
	t.Helper()
	if r.Doc == "" || strings.ContainsAny(r.Doc, "\n") || strings.HasSuffix(r.Doc, ".") {
		t.Errorf("Doc %q: want one line without a full stop", r.Doc)
	}
	if len(r.Detail) < len("x.") || !strings.HasSuffix(r.Detail, ".") {
		t.Errorf("Detail %q: want sentences", r.Detail)
	}
	if r.Source == "" || r.Standing == standard.Unknown || r.Severity == schema.SeverityUnknown {
		t.Errorf("source %q, standing %v, severity %v: want all", r.Source, r.Standing, r.Severity)
	}
	if r.Standing == standard.Practice && r.Severity > schema.SeverityWarning {
		t.Error("common practice may at most warn")
	}
	if len(r.Relates) == 0 {
		t.Error("Relates is empty")
	}
	for _, p := range r.Relates {
		if !place.MatchString(p) {
			t.Errorf("Relates %q: want a kind of place", p)
		}
		if of := strings.Split(p, "."); of[0] == "component" && len(of) == 3 && !said[of[1]] {
			t.Errorf("Relates %q: no narration has a %q: it is no kind of extract/tables/kinds.tsv", p, of[1])
		}
	}
}

// checkCaseFile: a rule has cases that fire and that pass, and a published source.
func checkCaseFile(t *testing.T, rule string) {
	t.Helper()
	a, ok := Example(rule)
	if !ok {
		t.Fatal("no case file in testdata/rules")
	}
	fires, passes := 0, 0
	for _, f := range a.Files {
		switch kind, _, _ := strings.Cut(f.Name, ": "); kind {
		case "fires":
			fires++
		case "passes":
			passes++
		}
	}
	if fires == 0 || passes == 0 {
		t.Errorf("%d cases fire, %d pass: want both", fires, passes)
	}
	comment := string(a.Comment)
	if !namesSource.MatchString(comment) {
		t.Errorf("the case file names no source: %q", comment)
	}
	for _, f := range append([]txtar.File{{Name: comment}}, a.Files...) {
		if ownPapers.MatchString(f.Name) || f.Name == "findings" && ownPapers.Match(f.Data) {
			t.Errorf("the case file refers to papers that are not published: %q", f.Name)
		}
	}
}

// everyCase calls visit with each case that the example records hold, for the
// rules in whose file they stand.
func everyCase(t testing.TB, visit func(r *Rule, c *Case, q []schema.Quantity)) {
	for _, r := range Rules() {
		a, ok := Example(r.Name)
		if !ok {
			continue // TestSuite says so
		}
		for _, f := range a.Files {
			if f.Name == "findings" {
				continue
			}
			r.Find(notation.Parse(t, string(f.Data)), func(c Case) bool {
				q := make([]schema.Quantity, len(c.Args))
				for i, arg := range c.Args {
					q[i] = arg.Value.Quantity
				}
				visit(r, &c, q)
				return true
			})
		}
	}
}

// TestJudgeDoesNotAllocate: the reading engine calls it thousands of times.
func TestJudgeDoesNotAllocate(t *testing.T) {
	everyCase(t, func(r *Rule, c *Case, q []schema.Quantity) {
		r.Judge(c, q)
		if n := testing.AllocsPerRun(10, func() { r.Judge(c, q) }); n != 0 {
			t.Errorf("%s: %v allocations", r.Name, n)
		}
	})
}

// TestJudgeSigns: keeping a rule never speaks against the values, breaking it
// never for them, and all stays within the bounds.
func TestJudgeSigns(t *testing.T) {
	everyCase(t, func(r *Rule, c *Case, q []schema.Quantity) {
		checkSign(t, r, r.Judge(c, q))
	})
}

func checkSign(t interface{ Errorf(string, ...any) }, r *Rule, j Judgement) {
	bad := math.IsNaN(j.LogRatio) || j.LogRatio < minLogRatio || j.LogRatio > maxLogRatio
	switch j.Verdict {
	case VerdictNone:
		bad = bad || j.LogRatio != 0
	case VerdictFits:
		bad = bad || j.LogRatio < 0
	default:
		bad = bad || j.LogRatio > 0
	}
	if bad {
		t.Errorf("%s: %s with log ratio %v", r.Name, j.Verdict, j.LogRatio)
	}
}

// TestJudgeAnything swaps in readings of any size, unit and form, as the
// engine does, and asks for the sentence too: no panic, sane evidence.
func TestJudgeAnything(t *testing.T) {
	type sample struct {
		r *Rule
		c Case
		q []schema.Quantity
	}
	var samples []sample
	everyCase(t, func(r *Rule, c *Case, q []schema.Quantity) { samples = append(samples, sample{r, *c, q}) })
	units := []schema.Unit{"", "V", "mV", "A", "mA", "W", "kW", "V.A", "mOhm", "Ohm", "m", "cm", "Hz", "kHz", "Gbit/s",
		"Cel", "%", "mA.h", "g"}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom(samples).Draw(t, "case")
		q := append([]schema.Quantity(nil), s.q...)
		for i := range q {
			unit := q[i].Unit
			if rapid.IntRange(0, 4).Draw(t, "swap") == 0 {
				unit = rapid.SampledFrom(units).Draw(t, "unit")
			}
			number := func(name string) schema.Decimal {
				return schema.NewDecimal(rapid.Int64Range(-2, 400000).Draw(t, name),
					rapid.Int32Range(-5, 3).Draw(t, name+" exponent"))
			}
			switch rapid.IntRange(0, 3).Draw(t, "form") {
			case 0:
				q[i] = schema.Between(number("low"), number("high"), unit)
			case 1, 2:
				q[i] = schema.One(number("value"), unit)
			}
		}
		j := s.r.Judge(&s.c, q)
		checkSign(t, s.r, j)
		if j.Verdict < VerdictOdd {
			return
		}
		if m := s.r.Explain(&s.c, q, j); m == "" || strings.Contains(m, "NaN") || strings.Contains(m, "Inf") {
			t.Errorf("%s: %q", s.r.Name, m)
		}
		if s.r.Propose != nil {
			s.r.Propose(&s.c, q, j)
		}
	})
}

// TestUnitsDoNotMatter: 3250 mA is judged as 3.25 A.
func TestUnitsDoNotMatter(t *testing.T) {
	milli := map[schema.Unit]schema.Unit{"V": "mV", "A": "mA", "m": "mm", "kHz": "Hz", "Ohm": "mOhm"}
	everyCase(t, func(r *Rule, c *Case, q []schema.Quantity) {
		want := r.Judge(c, q)
		other := append([]schema.Quantity(nil), q...)
		for i := range other {
			if u, ok := milli[other[i].Unit]; ok {
				other[i].Unit, other[i].Low, other[i].High = u, other[i].Low.Shift(3), other[i].High.Shift(3)
			}
		}
		got := r.Judge(c, other)
		if got.Verdict != want.Verdict || math.Abs(got.LogRatio-want.LogRatio) > 1e-6 {
			t.Errorf("%s: %v %v in thousandths, %v %v before", r.Name, got.Verdict, got.LogRatio, want.Verdict,
				want.LogRatio)
		}
	})
}

// TestFindStops: Find obeys a yield that has had enough.
func TestFindStops(t *testing.T) {
	for _, r := range Rules() {
		a, ok := Example(r.Name)
		if !ok {
			continue
		}
		for _, f := range a.Files {
			if f.Name == "findings" {
				continue
			}
			n := 0
			r.Find(notation.Parse(t, string(f.Data)), func(Case) bool {
				n++
				return false
			})
			if n > 1 {
				t.Errorf("%s: %d cases after the first was refused", r.Name, n-1)
			}
		}
	}
}

// TestFindGoesByStructure: the cases of a record do not depend on its
// numbers, so that the engine can find them once and swap readings.
func TestFindGoesByStructure(t *testing.T) {
	for _, r := range Rules() {
		a, ok := Example(r.Name)
		if !ok {
			continue
		}
		for _, f := range a.Files {
			if f.Name == "findings" {
				continue
			}
			rec := notation.Parse(t, string(f.Data))
			want := cases(r, rec)
			everyValue(rec, func(v *schema.Value) {
				if v.Quantity.Unit != "" {
					v.Quantity = schema.One(schema.MustDecimal("777"), v.Quantity.Unit)
				}
			})
			if got := cases(r, rec); got != want {
				t.Errorf("%s, %s: cases changed with the numbers:\n%s\nwere\n%s", r.Name, f.Name, got, want)
			}
		}
	}
}

func cases(r *Rule, rec *schema.Record) string {
	var b strings.Builder
	r.Find(rec, func(c Case) bool {
		for _, a := range c.Args {
			b.WriteString(a.Path.String() + " ")
		}
		b.WriteString("\n")
		return true
	})
	return b.String()
}

// everyValue visits the values of a record that the notation can make.
func everyValue(r *schema.Record, visit func(*schema.Value)) {
	each := func(vs ...*schema.Value) {
		for _, v := range vs {
			if v != nil {
				visit(v)
			}
		}
	}
	for i := range r.Levels {
		each(&r.Levels[i].Voltage, r.Levels[i].Current, r.Levels[i].Power)
	}
	for i := range r.Claims {
		each(&r.Claims[i].Value)
	}
	for i := range r.Measurements {
		m := &r.Measurements[i]
		each(&m.Value)
		if c := m.Condition; c != nil {
			each(c.Mains, c.Voltage, c.Current, c.Power, c.Ambient, c.Time)
		}
	}
	for i := range r.Components {
		for k := range r.Components[i].Ratings {
			each(&r.Components[i].Ratings[k].Value)
		}
	}
	if c := r.Cable; c != nil {
		each(c.Length, c.Diameter, c.Mass, c.Voltage, c.Current, c.Power, c.DataRate, c.Resistance)
	}
	if b := r.Battery; b != nil {
		c := &b.Cell
		each(c.Capacity, c.Voltage, c.ChargeLimit, c.Cutoff, c.Energy, c.Mass, c.Resistance, c.Cycles)
		for _, p := range []*schema.Pack{&b.Pack, &b.Rated} {
			each(p.Capacity, p.Voltage, p.Current, p.Full, p.Cutoff, p.Energy, p.Mass)
		}
	}
	for i := range r.Body.Dimensions {
		each(&r.Body.Dimensions[i])
	}
	each(r.Body.Mass, r.Body.Volume, r.Body.Density, r.Body.Display)
	for i := range r.Body.Other {
		each(&r.Body.Other[i].Value)
	}
}

// TestCompareIsTotal: the order of findings does not depend on the order in
// which they were found.
func TestCompareIsTotal(t *testing.T) {
	var text strings.Builder
	for _, r := range Rules() {
		a, ok := Example(r.Name)
		if !ok {
			continue
		}
		for _, f := range a.Files {
			if strings.HasPrefix(f.Name, "fires") {
				text.Write(f.Data)
				break
			}
		}
	}
	fs := Check(notation.Parse(t, dropAssignments(text.String())))
	if len(fs) < 20 {
		t.Fatalf("%d findings: want plenty", len(fs))
	}
	for i := range fs {
		for k := range fs {
			if a, b := compare(fs[i], fs[k]), compare(fs[k], fs[i]); a != -b || (a < 0) != (i < k) && a != 0 {
				t.Errorf("%v and %v compare as %d and %d", fs[i], fs[k], a, b)
			}
		}
		if i > 0 && fs[i-1].Severity < fs[i].Severity {
			t.Errorf("%v stands before %v", fs[i-1], fs[i])
		}
	}
}

// dropAssignments leaves the lines of a notation that may be repeated.
func dropAssignments(text string) string {
	var keep []string
	for _, l := range strings.Split(text, "\n") {
		if !strings.Contains(l, " = ") {
			keep = append(keep, l)
		}
	}
	return strings.Join(keep, "\n")
}

// TestExamplesAreEmbedded: what "saywatt rules" shows is what the tests ran.
func TestExamplesAreEmbedded(t *testing.T) {
	for _, r := range Rules() {
		b, err := os.ReadFile("testdata/rules/" + r.Name + ".txtar")
		if err != nil {
			t.Fatal(err)
		}
		a, ok := Example(r.Name)
		if !ok {
			t.Fatal(r.Name, ": not embedded")
		}
		if string(txtar.Format(a)) != string(txtar.Format(txtar.Parse(b))) {
			t.Errorf("%s: embedded example differs", r.Name)
		}
	}
}

// TestCheckIsPure: checking changes nothing and says the same again.
func TestCheckIsPure(t *testing.T) {
	r := notation.Parse(t, fullRecord)
	var before, after strings.Builder
	if err := r.Write(&before); err != nil {
		t.Fatal(err)
	}
	first, second := printFindings(Check(r)), printFindings(Check(r))
	if err := r.Write(&after); err != nil {
		t.Fatal(err)
	}
	if first != second || first == "" {
		t.Errorf("first\n%s\nthen\n%s", first, second)
	}
	if before.String() != after.String() {
		t.Error("the record changed")
	}
}

// namesSource finds what may be a source: a standard or law by name, arithmetic,
// or plain words that there is none.
var namesSource = regexp.MustCompile(`(?i)\b(source|common practice|arithmetic|conservation|geometry|law|identity|published|` +
	`memory|vendor|IEC|USB|UN 38|T/TAF|Qi|JEDEC|CFR|Regulation|Code of Conduct|IATA)\b`)

// ownPapers finds references to papers of the project, which are not published.
var ownPapers = regexp.MustCompile(`(?i:handbook)|\b[RW][0-9]{1,2}[a-d]?([^.0-9A-Za-z]|$)|\btrap T[0-9]`)
