package validate

import (
	"strings"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// codedValue is what a designation ends with, in SI units: whole where it is
// nothing but the code. false where it ends with none.
func codedValue(part, code string) (x float64, whole, ok bool) {
	read := func(s string) (schema.Quantity, bool) {
		as := code
		if code == standard.VoltsCode {
			as = "inductor" // digits, zeros and the tolerance; the unit is another
		}
		q, _, ok := standard.DecodeCode(s, as)
		if code == standard.VoltsCode {
			ok = ok && q.Unit == "uH"
			q.Unit = "V"
		}
		return q, ok
	}
	if q, ok := read(part); ok {
		return q.SI(), true, true
	}
	// three digits, and the letter of a tolerance, behind something else
	tail := strings.TrimRight(part, "FGJKM")
	if len(tail) < 4 || len(part)-len(tail) > 1 || digit(tail[len(tail)-4]) {
		return 0, false, false
	}
	if q, ok := read(tail[len(tail)-3:]); ok {
		return q.SI(), false, true
	}
	return 0, false, false
}

func digit(b byte) bool { return b >= '0' && b <= '9' }

// rulePartCode compares a code with the value given.
var rulePartCode = &Rule{
	Name: "part-code",
	Doc:  "the code on a part agrees with the value said",
	Detail: "A varistor 14D471 has 470 V, a capacitor 104 has 100 nF, an inductor 4R7 4.7 µH, a resistor R005 5 " +
		"mΩ. Where the designation is more than the code, its last three digits may be of a series, so only a " +
		"value with the same digits and another power of ten, which a lost point or prefix makes, is objected to. " +
		"So is a value said beside the code for the same part.",
	Source:   "IEC 60062:2016 (R39), IEC 61051 (R26); worked values: handbook 11.4 W75 to W77",
	Standing: standard.Verified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"component.voltage", "component.capacitance", "component.inductance", "component.resistance"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for k := range standard.PartCodes() {
			p := &standard.PartCodes()[k]
			for i, j := range place.Ratings(r, p.Property, p.Kinds...) {
				c := &r.Components[i]
				x, whole, ok := codedValue(c.Part, p.Code)
				if ok && !yield(Case{Label: partLabel(c), Extra: codeCase{p, c.Part, x, whole},
					Args: []Arg{ratingArg(r, i, j)}}) {
					return
				}
				code, other := codeSaid(r, &c.Ratings[j].Value, p)
				if other != nil && !yield(Case{Label: partLabel(c), Extra: code,
					Args: []Arg{arg(other, place.Rating(i, j))}}) {
					return
				}
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		x := c.Extra.(codeCase)
		got, ok := one(&q[0], x.row.Kind)
		switch {
		case !ok:
			return none
		case same(got, x.value):
			return fits().on(x.row.Source, x.row.Standing)
		case same(mantissa(got), mantissa(x.value)):
			return odd(causeDigits, got, x.value).on(x.row.Source, x.row.Standing)
		case x.whole:
			return odd(causeUnlisted, got, x.value).at(schema.SeverityNote).on(x.row.Source, x.row.Standing)
		}
		return none
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return "the code " + c.Extra.(codeCase).part + " says " + amount(j.Limit, scaled(j.Limit,
			baseOf(c.Extra.(codeCase).row.Kind))) + ", but " +
			q[0].String() + " was said"
	},
}

// codeSaid finds a code among what a rating was said as, and the value of another
// such quantity: "marked 104, 100 nanofarads". nil where there is none.
func codeSaid(r *schema.Record, v *schema.Value, p *standard.PartCode) (codeCase, *schema.Value) {
	var code codeCase
	var other *schema.Value
	for _, n := range v.Said[:min(len(v.Said), place.MostLooked)] {
		s := r.Quantity(n)
		if s == nil {
			continue
		}
		if x, whole, ok := codedValue(s.Heard, p.Code); ok && whole && code.row == nil {
			code = codeCase{p, s.Heard, x, true}
		} else if other == nil {
			other = &schema.Value{Quantity: s.Quantity, Basis: v.Basis, Status: s.Status, Confidence: s.Confidence,
				Said: []int{n}}
			if v.Status == schema.StatusOpen {
				other.Status = v.Status
			}
		}
	}
	if code.row == nil {
		return code, nil
	}
	return code, other
}

type codeCase struct {
	row   *standard.PartCode
	part  string
	value float64 // SI
	whole bool
}

// baseOf is the unit that the multiples of a kind of quantity are made of.
func baseOf(k schema.Kind) schema.Unit {
	switch k {
	case schema.KindCapacitance:
		return "F"
	case schema.KindInductance:
		return "H"
	case schema.KindResistance:
		return "Ohm"
	}
	return "V"
}

// fuseMark is the marking of a fuse: T3.15AL250V.
type fuseMark struct {
	speed, breaking string
	current         float64 // A
	voltage         float64 // V, 0 where it is not marked
}

// parseFuse reads the marking of a fuse, false where it is none.
func parseFuse(s string) (m fuseMark, ok bool) {
	s = strings.Map(func(r rune) rune {
		if r == ' ' || r == '/' {
			return -1
		}
		return r
	}, s)
	letters := strings.IndexFunc(s, func(r rune) bool { return r < 'A' || r > 'Z' })
	if letters < 1 || letters > 2 {
		return m, false
	}
	m.speed, s = s[:letters], s[letters:]
	current, rest, ok := strings.Cut(s, "A")
	q, err := schema.ParseDecimal(current)
	if !ok || err != nil || q.Sign() <= 0 {
		return m, false
	}
	m.current = q.Float64()
	if rest != "" && !digit(rest[0]) {
		m.breaking, rest = rest[:1], rest[1:]
	}
	if rest == "" {
		return m, true
	}
	number, behind, ok := strings.Cut(rest, "V")
	v, err := schema.ParseDecimal(number)
	if !ok || err != nil || strings.Trim(behind, "AC~") != "" {
		return m, false
	}
	m.voltage = v.Float64()
	return m, true
}

// fuseLetter is what a letter at a place of the marking means, "" for none.
func fuseLetter(letter, place string) string {
	for _, r := range schema.MustReadTable(tables, "tables/fuse_letters.tsv").Rows {
		if r.Get("letter") == letter && r.Get("place") == place {
			return r.Get("meaning")
		}
	}
	return ""
}

// ruleFuseMarking compares the marking of a fuse with what was said of it.
var ruleFuseMarking = &Rule{
	Name: "fuse-marking",
	Doc:  "the marking of a fuse says the current and voltage given, with letters that there are",
	Detail: "T3.15AL250V: how fast it opens (FF, F, M, T, TT), its current, how much it may break (L, E, H), its " +
		"voltage. A letter that the standard does not have was misread or misheard.",
	Source:   "IEC 60127-1 marking (F, T, H and 250 V: R47), the rest unverified",
	Standing: standard.Unverified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"component.fuse.current", "component.fuse.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for _, property := range [...]string{"current", "voltage"} {
			for i, k := range place.Ratings(r, property, "fuse") {
				m, ok := parseFuse(r.Components[i].Part)
				if !ok || property == "voltage" && m.voltage == 0 {
					continue
				}
				x := fuseCase{mark: r.Components[i].Part, value: m.current}
				if property == "voltage" {
					x.value = m.voltage
				}
				x.strange = fuseLetter(m.speed, "speed") == "" ||
					m.breaking != "" && fuseLetter(m.breaking, "breaking") == ""
				if !yield(Case{Label: partLabel(&r.Components[i]), Extra: x, Args: []Arg{ratingArg(r, i, k)}}) {
					return
				}
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		x := c.Extra.(fuseCase)
		got, ok := one(&q[0], schema.KindCurrent)
		if !ok {
			got, ok = one(&q[0], schema.KindVoltage)
		}
		switch {
		case !ok:
			return none
		case !same(got, x.value):
			return odd(causeDigits, got, x.value)
		case x.strange:
			return odd(causeUnlisted, got, x.value).at(schema.SeverityNote)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		x := c.Extra.(fuseCase)
		if j.Cause == causeUnlisted {
			return "the marking " + x.mark + " has a letter that fuses are not marked with"
		}
		return "the marking " + x.mark + " says " + amount(j.Limit, fuseUnit(q[0].Unit)) + ", but " + q[0].String() +
			" " +
			"was said"
	},
}

type fuseCase struct {
	mark    string
	value   float64
	strange bool // a letter that there is not
}

// fuseUnit is A or V.
func fuseUnit(u schema.Unit) schema.Unit {
	if u.Kind() == schema.KindVoltage {
		return "V"
	}
	return "A"
}
