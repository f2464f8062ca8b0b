package normalize

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"saywatt/extract"
	"saywatt/extract/place"
	"saywatt/normalize/prior"
	"saywatt/schema"
)

// What a quantity belongs to is a question of its own, beside what was said. The
// places of a mention come with probabilities (extract.Mention.Places and Ports);
// the value chosen says more of them. Where the place taken is less likely than
// the weight place_doubt, the record lists the candidates, and a person's answer
// (Answer.Place) becomes a condition of the chain of places: everything is
// inferred anew with it, see Conditions.

// belongs lists what a node may belong to, likeliest first; nil where that is
// not in doubt.
func (e *engine) belongs(n *node, c *candidate) []schema.Belonging {
	m := e.mention(n.last - 1)
	if m.Ruling != nil || m.Withdrawn || e.loose(n) {
		return nil
	}
	taken := 0
	if int(c.place) < len(m.Places) {
		taken = int(c.place)
	}
	var all []schema.Belonging
	sure := 0.0
	for k, p := range e.placesGiven(m, c) {
		at := &m.Context
		if len(m.Places) > 0 {
			at = &m.Places[k].Context
		}
		list := e.belongings(m, at, p)
		if k == taken {
			sure, list[0].Taken = list[0].Confidence, true
		}
		for _, b := range list {
			all = addBelonging(all, b)
		}
	}
	if sure >= e.weights.PlaceDoubt {
		return nil
	}
	return loadBounds().listed(all)
}

// listed are those of the candidates that a record lists, likeliest first; the one taken
// is always among them. Nil where nothing is in doubt.
func (b *bounds) listed(all []schema.Belonging) []schema.Belonging {
	all = slices.DeleteFunc(all, func(l schema.Belonging) bool { return l.Confidence < b.leastBelonging && !l.Taken })
	most := int(b.belongings)
	slices.SortStableFunc(all, func(a, b schema.Belonging) int { return cmp.Compare(b.Confidence, a.Confidence) })
	if len(all) < 2 {
		return nil
	}
	for i := most; i < len(all); i++ {
		if all[i].Taken { // listed, however unlikely
			all[most-1] = all[i]
		}
	}
	return all[:min(len(all), most)]
}

// addBelonging adds a candidate to those that mean the same.
func addBelonging(all []schema.Belonging, b schema.Belonging) []schema.Belonging {
	for i := range all {
		if all[i].Place == b.Place {
			all[i].Confidence = round4(all[i].Confidence + b.Confidence)
			all[i].Taken = all[i].Taken || b.Taken
			return all
		}
	}
	return append(all, b)
}

// placesGiven returns the probability of each place of the mention, one where it
// has no others, given the value of the candidate.
func (e *engine) placesGiven(m *extract.Mention, c *candidate) []float64 {
	if len(m.Places) < 2 {
		return []float64{1}
	}
	out := make([]float64, len(m.Places))
	total := 0.0
	digits, form := prior.DigitsOf(c.hi), e.roles.Form(c.unit, c.hi.Exp < 0 || c.lo.Exp < 0)
	for k := range m.Places {
		value, weight := 0.0, 0.0
		for _, r := range e.rolesIn(&m.Places[k].Context, c.kind).all() {
			o := &e.roles.Roles[r.role]
			value += r.weight * o.P(c.siLo, c.si, c.isRange, digits, form)
			weight += r.weight
		}
		if weight > 0 {
			value /= weight
		}
		out[k] = m.Places[k].P * max(value, math.SmallestNonzeroFloat32)
		total += out[k]
	}
	for k := range out {
		out[k] /= total
	}
	return out
}

// belongings are the candidates of one place, which has probability p: one for
// each of its ports, that of the place first.
func (e *engine) belongings(m *extract.Mention, at *extract.Context, p float64) []schema.Belonging {
	to := schema.BelongsTo{To: at.Class.String()}
	if at.Subject >= 0 && at.Class.Info().Subject == "part" {
		to.Part = e.doc.Subjects[at.Subject].Kind
	}
	if at.Class != m.Context.Class || len(m.Ports) == 0 || !extract.HasPort(at.Class) {
		if extract.HasPort(at.Class) {
			to.Port = portAnswer(at.Port)
		}
		return []schema.Belonging{belongingOf(to, p)}
	}
	to.Port = portAnswer(at.Port)
	out := []schema.Belonging{belongingOf(to, 0)}
	for _, o := range m.Ports {
		to.Port = portAnswer(extract.PortOf(at.Class, o.Port))
		if b := belongingOf(to, p*o.P); b.Place == out[0].Place {
			out[0].Confidence = b.Confidence
		} else {
			out = append(out, b)
		}
	}
	return out
}

// portAnswer is the port as an answer names it.
func portAnswer(port string) string {
	if port == "" {
		return schema.NoPort
	}
	return port
}

func belongingOf(to schema.BelongsTo, p float64) schema.Belonging {
	return schema.Belonging{Place: to, Words: to.Words(), Confidence: round4(p)}
}

// PlacesFor lists what a quantity of the kind can belong to, for a person to
// choose from.
func PlacesFor(kind schema.Kind) []schema.BelongsTo {
	var out []schema.BelongsTo
	for _, c := range place.Allowed(kind) {
		out = append(out, schema.BelongsTo{To: c.String()})
	}
	return out
}

// Conditions are the answers on places, for extract.FindGiven. Those that name
// no place are left to Decide, which refuses them.
func Conditions(answers []Answer) []extract.Condition {
	var out []extract.Condition
	for i := range answers {
		a := &answers[i]
		if a.Place == nil {
			continue
		}
		class, ok := place.ParseClass(a.Place.To)
		if !ok {
			continue
		}
		c := extract.Condition{Span: a.Span,
			Ruling: extract.Ruling{Class: class, Port: a.Place.Port, Part: a.Place.Part}}
		if a.Quantity != nil {
			c.Kind = a.Quantity.Unit.Kind()
		}
		out = append(out, c)
	}
	return out
}

// Causes of a StrayAnswer on a place.
var (
	ErrNoPlace   = errors.New("nothing can belong there")
	ErrPlaceKind = errors.New("a quantity of this kind cannot belong there")
	ErrNoPort    = errors.New("the review does not speak of this port")
	ErrPortPlace = errors.New("only levels and powers have a port")
	ErrNoPart    = errors.New("the review does not speak of this part")
	ErrPartPlace = errors.New("only ratings of parts have a part")
)

// placeError is a cause with what there is instead.
type placeError struct {
	err     error
	what    string
	instead []string
}

func (e *placeError) Error() string {
	s := fmt.Sprintf("%s: %v", e.what, e.err)
	if len(e.instead) > 0 {
		s += "; there is " + strings.Join(e.instead, ", ")
	}
	return s
}

func (e *placeError) Unwrap() error { return e.err }

// checkPlace says why something of the kind cannot belong where an answer says;
// nil where it can.
func (e *engine) checkPlace(to *schema.BelongsTo, kinds ...schema.Kind) error {
	class, err := parsePlace(to.To)
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(kinds, class.Fits) {
		var names []string
		for _, p := range PlacesFor(kinds[0]) {
			names = append(names, p.To)
		}
		return &placeError{ErrPlaceKind, to.To, names}
	}
	switch {
	case to.Port == "" || to.Port == schema.NoPort:
	case !extract.HasPort(class):
		return &placeError{ErrPortPlace, to.Port, nil}
	default:
		for _, name := range splitPorts(to.Port) {
			if !e.doc.IsPort(name) {
				return &placeError{ErrNoPort, name, append([]string{schema.NoPort}, e.doc.PortsNamed()...)}
			}
		}
	}
	if to.Part == "" {
		return nil
	}
	if class.Info().Subject != "part" {
		return &placeError{ErrPartPlace, to.Part, nil}
	}
	if to.Part == prior.AnyPart { // of no known kind, which other answers may have done away with
		return nil
	}
	if e.doc.SpeaksOf(to.Part) {
		return nil
	}
	var parts []string
	for i := range e.doc.Subjects {
		if k := e.doc.Subjects[i].Kind; !slices.Contains(parts, k) {
			parts = append(parts, k)
		}
	}
	return &placeError{ErrNoPart, to.Part, parts}
}

// splitPorts cuts ports named together.
func splitPorts(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return r == '+' || r == ',' })
}

// parsePlace reads a kind of place; the error of an unknown one names those that
// are alike.
func parsePlace(name string) (place.Class, error) {
	class, ok := place.ParseClass(name)
	if ok {
		return class, nil
	}
	var alike, all []string
	head, _, _ := strings.Cut(name, ".")
	for i := range place.Classes() {
		c := place.Class(i).String()
		all = append(all, c)
		if first, _, _ := strings.Cut(c, "."); len(head) > 1 && strings.HasPrefix(first, head[:2]) {
			alike = append(alike, c)
		}
	}
	if alike == nil {
		alike = all
	}
	return class, &placeError{ErrNoPlace, fmt.Sprintf("%q", name), alike}
}
