package calc

import (
	"fmt"
	"strings"

	"saywatt/schema"
	"saywatt/validate/standard"
)

// pdoList holds what a source offers against the power rules.
var pdoList = &Calculator{
	Name:    "pdo-list",
	Doc:     "whether the list of objects that a source sends keeps the power rules of USB PD",
	Formula: "fixed objects below the top voltage: 3 A; at the top: power / voltage; none above the power",
	Source: "USB PD R3.x §6.4.1 and §10.2 as in handbook 2.2 and 2.5 (R4, R5, R8b, R10); order of the kinds from " +
		"memory; worked values: handbook 11.1 W01 to W36, 11.4 W84 to W86",
	Standing: standard.Verified,
	Assumptions: []string{
		"the words are one list, in the order sent; the objects from the eighth on are those of the extended power " +
			"range",
		"without a power, the source is rated for the greatest of its fixed objects",
		"of a record: the levels of one port, by voltage and the programmable ones last, as the order sent was not " +
			"said",
		"a current may miss its number by the one step of 10 mA that rounding explains",
	},
	Run:  runPDOList,
	Take: takeLists,
}

func runPDOList(a *Arguments) ([]Result, error) {
	var objects []PDO
	for _, text := range strings.FieldsFunc(a.text("words"), func(r rune) bool {
		return r == ' ' || r == ',' ||
			r == ';'
	}) {
		word, err := parsePDOWord(text)
		if err == nil && word == 0 && len(objects) > 0 {
			objects = append(objects, PDO{}) // fills up to the seventh place
			continue
		}
		var p PDO
		if err == nil {
			p, err = decodePDO(word)
		}
		if err != nil {
			return nil, a.refuse("words", fmt.Errorf("%w: %w", ErrInputImpossible, err), "eight hex digits each")
		}
		objects = append(objects, p)
	}
	if len(objects) == 0 {
		return nil, a.refuse("words", ErrInputImpossible, "give at least one object")
	}
	l := objectList{objects: objects}
	if a.has("power") {
		w, err := a.single("power")
		if err != nil {
			return nil, err
		}
		l.power = w
	} else {
		l.power = l.greatest()
	}
	results := make([]Result, 0, len(objects)+2)
	for i, p := range objects {
		if p.Kind != "" {
			results = append(results, Result{Name: fmt.Sprintf("object_%d", i+1), Doc: fmt.Sprintf("object %d", i+1),
				Text: p.words()})
		}
	}
	if !l.power.IsZero() {
		results = append(results, Result{Name: "power", Doc: "rated power", Quantity: schema.One(l.power, "W")})
	}
	verdict := "keeps the power rules"
	if objections := l.objections(); objections != nil {
		verdict = strings.Join(objections, "; ")
	}
	return append(results, Result{Name: "verdict", Doc: "what the power rules object to", Text: verdict}), nil
}

// words is an object in a line: "fixed 20 V 3.25 A".
func (p PDO) words() string {
	parts := []string{p.Kind, p.voltage().String()}
	if i, ok := p.current(); ok {
		parts = append(parts, i.String())
	}
	if f := p.field("power"); f != nil {
		parts = append(parts, f.Quantity.String())
	}
	return strings.Join(parts, " ")
}

// objectList is what a source offers; a place that is filled up holds none.
type objectList struct {
	objects []PDO
	power   schema.Decimal // W, zero where there is no fixed object
}

// greatest is the power of the strongest fixed object.
func (l *objectList) greatest() schema.Decimal {
	var most schema.Decimal
	for _, p := range l.objects {
		if w := p.watts(); p.Kind == "fixed" && w.Cmp(most) > 0 {
			most = w
		}
	}
	return most.Trim()
}

// watts is highest voltage times current.
func (p PDO) watts() schema.Decimal {
	if p.Kind == "" {
		return schema.Decimal{}
	}
	i, _ := p.current()
	return p.voltage().High.Mul(i.Low)
}

// kindOrder is the order of the kinds in a list.
var kindOrder = map[string]int{"fixed": 0, "battery": 1, "variable": 2, "pps": 3, "spr-avs": 3, "epr-avs": 3}

// objections lists what the rules object to, in the order of the list.
func (l *objectList) objections() []string {
	var found []string
	object := func(i int, format string, args ...any) {
		found = append(found, fmt.Sprintf("object %d, ", i+1)+fmt.Sprintf(format, args...))
	}
	if p := l.objects[0]; p.Kind != "fixed" || p.voltage().High.Cmp(standard.Exact("pd.voltage").Low) != 0 {
		object(0, "%s: the first must be fixed at 5 V", p.words())
	}
	spr := int(constant("pd.objects.spr").Float64())
	if most := int(constant("pd.objects.epr").Float64()); len(l.objects) > most {
		found = append(found, fmt.Sprintf("%d objects, more than the %d that there are places for", len(l.objects),
			most))
	}
	before := -1
	for i, p := range l.objects {
		if p.Kind == "" {
			if i >= spr {
				object(i, "empty: only the places up to %d are filled up", spr)
			}
			continue
		}
		if v := p.verdict(); v.Text != withinUSB {
			object(i, "%s: %s", p.words(), v.Text)
		}
		if i == spr {
			before = -1 // those of the extended power range begin anew
		}
		if before >= 0 {
			l.follows(i, before, object)
		}
		before = i
		if over := p.watts().Sub(l.allowance(p)); p.Kind == "fixed" && over.Cmp(l.power) > 0 {
			object(i, "%s: %s W are more than the %s W of the source", p.words(), p.watts().Trim(), l.power)
		}
	}
	return append(found, l.missing()...)
}

// follows objects to an object that stands behind one which it must precede.
func (l *objectList) follows(i, before int, object func(i int, format string, args ...any)) {
	p, q := l.objects[i], l.objects[before]
	switch {
	case kindOrder[p.Kind] < kindOrder[q.Kind]:
		object(i, "%s: stands behind one of kind %s", p.words(), q.Kind)
	case p.Kind == "fixed" && q.Kind == "fixed" && p.voltage().High.Cmp(q.voltage().High) <= 0:
		object(i, "%s: fixed voltages rise", p.words())
	}
}

// allowance is the power of one step of the current, which rounding explains.
func (l *objectList) allowance(p PDO) schema.Decimal {
	return p.voltage().High.Mul(constant("pd.step.current"))
}

// missing lists what the rated power demands and no object has.
func (l *objectList) missing() []string {
	var found []string
	extended := len(l.objects) > int(constant("pd.objects.spr").Float64())
	for _, r := range standard.PowerLevels().Rows {
		v := schema.MustDecimal(r.Get("voltage"))
		if l.power.Cmp(schema.MustDecimal(r.Get("over"))) <= 0 || l.power.Cmp(schema.MustDecimal(r.Get("upto"))) > 0 ||
			v.Cmp(constant("pd.voltage.spr")) > 0 && !extended {
			continue
		}
		want := quo(l.power, v)
		if current := r.Get("current"); current != "x/V" {
			want = schema.MustDecimal(current)
		}
		best := l.most(v)
		switch {
		case best.IsZero():
			found = append(found, fmt.Sprintf("%s is missing: a source of %s W offers %s there", schema.One(v, "V"),
				l.power, roughAmperes(want)))
		case best.Cmp(want.Sub(constant("pd.step.current"))) < 0 &&
			!(best.Equal(constant("pd.current.required")) && l.power.Cmp(constant("pd.power.plain")) > 0):
			found = append(found, fmt.Sprintf("%s has %s: a source of %s W offers %s there", schema.One(v, "V"),
				roughAmperes(best), l.power, roughAmperes(want)))
		}
	}
	return found
}

// most is the greatest current that a fixed object offers at a voltage, 0 where there
// is none.
func (l *objectList) most(voltage schema.Decimal) schema.Decimal {
	var best schema.Decimal
	for _, p := range l.objects {
		if p.Kind == "fixed" && p.voltage().High.Equal(voltage) {
			if i, _ := p.current(); i.Low.Cmp(best) > 0 {
				best = i.Low
			}
		}
	}
	return best
}

// roughAmperes writes a current to four significant digits.
func roughAmperes(i schema.Decimal) string { return fmt.Sprintf("%.4g A", i.Float64()) }
