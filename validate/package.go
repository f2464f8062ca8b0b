package validate

import (
	"slices"
	"strconv"
	"strings"
	"sync"

	"saywatt/internal/knowledge"
	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// packageForm is a row of knowledge.Packages.
type packageForm struct {
	name   string
	plain  string // without hyphens
	pins   []int
	bodies [][2]float64 // mm
	standard.Ground
}

var packageForms = sync.OnceValue(func() []packageForm {
	var rows []packageForm
	for _, r := range knowledge.Packages().Rows {
		p := packageForm{name: r.Get("package"), plain: strings.ReplaceAll(r.Get("package"), "-", ""),
			Ground: standard.GroundOf(r)}
		for _, s := range r.List("pins") {
			n, err := strconv.Atoi(s)
			if err != nil {
				panic("packages.tsv line " + strconv.Itoa(r.Line) + ": " + err.Error())
			}
			p.pins = append(p.pins, n)
		}
		for _, s := range r.List("body") {
			body, ok := parseBody(s)
			if !ok {
				panic("packages.tsv:" + strconv.Itoa(r.Line) + ": body " + s)
			}
			p.bodies = append(p.bodies, body)
		}
		rows = append(rows, p)
	}
	return rows
})

// spelledPackage is a package code taken apart: "QFN-24 4x4" is the row
// QFN-24 with 24 pins and a body of 4 mm × 4 mm.
type spelledPackage struct {
	text string
	form *packageForm
	pins int // 0 where not in the code
	body [2]float64
}

// parsePackage takes a code apart; false for a package that the table does
// not know. A hyphen before the pins may be missing: "QFN24", "SOT23-6".
func parsePackage(code string) (spelledPackage, bool) {
	p := spelledPackage{text: code}
	rest := strings.TrimSpace(code)
	if i := strings.LastIndexByte(rest, ' '); i >= 0 {
		if body, ok := parseBody(rest[i+1:]); ok {
			p.body, rest = body, strings.TrimSpace(rest[:i])
		}
	} else if i := len(strings.TrimRight(rest, "0123456789.x")); i < len(rest) {
		if body, ok := parseBody(rest[i:]); ok {
			p.body, rest = body, strings.TrimRight(rest[:i], "-")
		}
	}
	plain := strings.ReplaceAll(rest, "-", "")
	longest := 0
	for i := range packageForms() {
		f := &packageForms()[i]
		tail, ok := strings.CutPrefix(plain, f.plain)
		if !ok || len(f.plain) <= longest {
			continue
		}
		pins := 0
		if tail != "" {
			n, err := strconv.Atoi(tail)
			if err != nil || n == 0 {
				continue
			}
			pins = n
		} else if len(f.pins) == 1 {
			pins = f.pins[0]
		}
		p.form, p.pins, longest = f, pins, len(f.plain)
	}
	return p, p.form != nil
}

// parseBody reads "4x4" or "5.15x5.9", in mm.
func parseBody(s string) (body [2]float64, ok bool) {
	a, b, ok := strings.Cut(s, "x")
	if !ok {
		return body, false
	}
	var err1, err2 error
	body[0], err1 = strconv.ParseFloat(a, 64)
	body[1], err2 = strconv.ParseFloat(b, 64)
	return body, err1 == nil && err2 == nil && body[0] > 0 && body[1] > 0
}

// rulePackage are pin counts and body sizes.
var rulePackage = &Rule{
	Name: "package-form",
	Doc:  "a package has a legal number of pins and a body of its standard size",
	Detail: "SOT-23-6 has 6 pins, QFN-24 a body of 3, 4 or 5 mm square. Codes are structure of the record, no " +
		"quantity: the rule only warns. Packages that the table does not know are left alone, and so are the " +
		"unequal bodies that makers call QFN, beyond a warning.",
	Source:   "JEDEC outlines by the KiCad footprint library (R40), sizes in part unverified",
	Standing: standard.Unverified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"component.package"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for i := range r.Components {
			if r.Components[i].Package == "" {
				continue
			}
			if p, ok := parsePackage(r.Components[i].Package); ok &&
				!yield(Case{Label: partLabel(&r.Components[i]), Extra: p,
					Args: []Arg{unsaid(place.Item("components", i, "package"))}}) {
				return
			}
		}
	},
	Test: func(c *Case, _ []schema.Quantity) Judgement {
		p := c.Extra.(spelledPackage)
		if p.pins > 0 && !slices.Contains(p.form.pins, p.pins) {
			return odd(causePins, float64(p.pins), 0).on(p.form.Source, p.form.Standing)
		}
		if p.body[0] > 0 && p.form.bodies != nil && !slices.ContainsFunc(p.form.bodies, p.fits) {
			return odd(causeBody, 0, 0).on(p.form.Source, p.form.Standing)
		}
		return fits().on(p.form.Source, p.form.Standing)
	},
	Explain: func(c *Case, _ []schema.Quantity, j Judgement) string {
		p := c.Extra.(spelledPackage)
		if j.Cause == causePins {
			pins := make([]float64, len(p.form.pins))
			for i, n := range p.form.pins {
				pins[i] = float64(n)
			}
			return p.text + " is no usual package: " + p.form.name + " has " + strings.TrimSpace(list(pins, "1")) +
				" pins"
		}
		var bodies []string
		for _, b := range p.form.bodies {
			bodies = append(bodies, strconv.FormatFloat(b[0], 'g', -1, 64)+" × "+strconv.FormatFloat(b[1], 'g', -1, 64))
		}
		return p.text + " is no usual package: the body of " + p.form.name + " is " + strings.Join(bodies, ", ") + " mm"
	},
}

// Causes of rulePackage.
const (
	causePins = iota
	causeBody
)

// fits reports whether the body said is the given one, either side first.
func (p spelledPackage) fits(body [2]float64) bool {
	share := packageShare().High
	near := func(a, b float64) bool { return apart(a, b) <= share }
	return near(p.body[0], body[0]) && near(p.body[1], body[1]) || near(p.body[0], body[1]) && near(p.body[1], body[0])
}

var packageShare = standard.Bound("package.share")
