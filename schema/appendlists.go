package schema

import (
	"bytes"
	"encoding/json"
	"strconv"
)

// The lists of a record that are long beside its quantities are written by appending
// too, where the record is one line: levels, claims, parts, measurements, terms and
// findings. All else of it is a few values, and left to encoding/json.

// line is a record that is being written on one line. It is bad where encoding/json
// would give an error.
type line struct {
	b    []byte
	bad  bool
	rest bytes.Buffer // what encoding/json made of a value last
	json *json.Encoder
}

// record appends the record, its quantities by way of each.
func (l *line) record(r *Record, quantities func()) {
	l.b = appendText(append(l.b, `{"version":`...), r.Version)
	l.other(`,"source":`, &r.Source)
	l.other(`,"product":`, &r.Product)
	l.other(`,"body":`, &r.Body)
	list(l, `,"claims":`, r.Claims, (*line).claim)
	if len(r.Ports) > 0 {
		l.other(`,"ports":`, r.Ports)
	}
	list(l, `,"levels":`, r.Levels, (*line).level)
	if r.Battery != nil {
		l.other(`,"battery":`, r.Battery)
	}
	if r.Cable != nil {
		l.other(`,"cable":`, r.Cable)
	}
	list(l, `,"components":`, r.Components, (*line).component)
	list(l, `,"measurements":`, r.Measurements, (*line).measurement)
	if len(r.Notes) > 0 {
		l.other(`,"notes":`, r.Notes)
	}
	list(l, `,"terms":`, r.Terms, (*line).term)
	list(l, `,"names_to_check":`, r.NamesToCheck, (*line).nameToCheck)
	quantities()
	l.filledNumbers(`,"unplaced":`, r.Unplaced)
	l.filledNumbers(`,"withdrawn":`, r.Withdrawn)
	list(l, `,"findings":`, r.Findings, (*line).finding)
	l.other(`,"counts":`, &r.Counts)
	l.texts(`,"cautions":`, r.Cautions)
	l.b = append(l.b, "}\n"...)
}

// other appends a field as encoding/json writes it.
func (l *line) other(name string, value any) {
	if l.json == nil {
		l.json = json.NewEncoder(&l.rest)
		l.json.SetEscapeHTML(false)
	}
	l.rest.Reset()
	if err := l.json.Encode(value); err != nil {
		l.bad = true
		return
	}
	l.b = append(append(l.b, name...), bytes.TrimSuffix(l.rest.Bytes(), []byte("\n"))...)
}

// list appends a list, nothing where it is empty.
func list[T any](l *line, name string, values []T, each func(*line, *T)) {
	if len(values) == 0 {
		return
	}
	l.b = append(append(l.b, name...), '[')
	for i := range values {
		l.b = appendComma(l.b, i)
		each(l, &values[i])
	}
	l.b = append(l.b, ']')
}

func (l *line) text(name, text string)   { l.b = appendText(append(l.b, name...), text) }
func (l *line) filled(name, text string) { l.b = appendFilled(l.b, name, text) }

// texts appends a list of texts, empty where it is nil.
func (l *line) texts(name string, texts []string) {
	l.b = append(append(l.b, name...), '[')
	for i, text := range texts {
		l.b = appendText(appendComma(l.b, i), text)
	}
	l.b = append(l.b, ']')
}

// numbers appends a list of numbers; null where it is nil, as encoding/json does.
func (l *line) numbers(name string, numbers []int) {
	l.b = append(l.b, name...)
	if numbers == nil {
		l.b = append(l.b, "null"...)
		return
	}
	l.b = append(l.b, '[')
	for i, n := range numbers {
		l.b = strconv.AppendInt(appendComma(l.b, i), int64(n), 10)
	}
	l.b = append(l.b, ']')
}

func (l *line) filledNumbers(name string, numbers []int) {
	if len(numbers) > 0 {
		l.numbers(name, numbers)
	}
}

// enum appends the name of a value that must have one.
func (l *line) enum(name string, names []string, value uint8) {
	if value == 0 || int(value) >= len(names) {
		l.bad = true
		return
	}
	l.text(name, names[value])
}

func (l *line) number(name string, v float64) {
	l.bad = l.bad || !finite(v)
	l.b = appendNumber(append(l.b, name...), v)
}

// at appends a time, nothing where there is none.
func (l *line) at(name string, s *Seconds) {
	if s != nil {
		l.b = append(append(l.b, name...), s.String()...)
	}
}

func (l *line) value(name string, v *Value) {
	l.b = v.Quantity.append(append(append(l.b, name...), `{"quantity":`...))
	l.enum(`,"basis":`, basisNames[:], uint8(v.Basis))
	l.enum(`,"status":`, statusNames[:], uint8(v.Status))
	l.number(`,"confidence":`, v.Confidence)
	if v.Qualifier != QualifierNone {
		l.enum(`,"qualifier":`, qualifierNames[:], uint8(v.Qualifier))
	}
	l.numbers(`,"said":`, v.Said)
	l.b = append(l.b, '}')
}

// filledValue appends a value, nothing where there is none.
func (l *line) filledValue(name string, v *Value) {
	if v != nil {
		l.value(name, v)
	}
}

func (l *line) claim(c *Claim) {
	l.text(`{"property":`, c.Property)
	l.filled(`,"mode":`, c.Mode)
	l.filled(`,"port":`, c.Port)
	l.filled(`,"protocol":`, c.Protocol)
	l.value(`,"value":`, &c.Value)
	l.b = append(l.b, '}')
}

func (l *line) level(v *Level) {
	l.b = append(l.b, '{')
	from := len(l.b)
	l.filled(`,"id":`, v.ID)
	l.filled(`,"mode":`, v.Mode)
	l.filled(`,"port":`, v.Port)
	l.filled(`,"protocol":`, v.Protocol)
	l.value(`,"voltage":`, &v.Voltage)
	l.filledValue(`,"current":`, v.Current)
	l.filledValue(`,"power":`, v.Power)
	l.close(from)
}

// close ends an object whose fields, from the place given on, all have a comma
// before them: that of the first goes.
func (l *line) close(from int) {
	if from < len(l.b) {
		l.b = append(l.b[:from], l.b[from+1:]...)
	}
	l.b = append(l.b, '}')
}

func (l *line) component(c *Component) {
	l.b = append(l.b, '{')
	from := len(l.b)
	l.filled(`,"id":`, c.ID)
	l.filled(`,"board":`, c.Board)
	l.filled(`,"side":`, c.Side)
	l.text(`,"kind":`, c.Kind)
	l.filled(`,"function":`, c.Function)
	if c.Count != 0 {
		l.b = strconv.AppendInt(append(l.b, `,"count":`...), int64(c.Count), 10)
	}
	l.filled(`,"maker":`, c.Maker)
	l.filled(`,"part":`, c.Part)
	l.filled(`,"package":`, c.Package)
	l.filled(`,"topology":`, c.Topology)
	list(l, `,"ratings":`, c.Ratings, (*line).rating)
	l.at(`,"at":`, c.At)
	l.enum(`,"status":`, statusNames[:], uint8(c.Status))
	l.filled(`,"heard":`, c.Heard)
	l.close(from)
}

func (l *line) rating(r *Rating) {
	l.text(`{"property":`, r.Property)
	l.value(`,"value":`, &r.Value)
	l.b = append(l.b, '}')
}

func (l *line) measurement(m *Measurement) {
	l.text(`{"property":`, m.Property)
	l.value(`,"value":`, &m.Value)
	if m.Condition != nil {
		l.condition(m.Condition)
	}
	l.filled(`,"subject":`, m.Subject)
	l.b = append(l.b, '}')
}

func (l *line) condition(c *Condition) {
	l.b = append(l.b, `,"condition":{`...)
	from := len(l.b)
	l.filled(`,"mode":`, c.Mode)
	l.filled(`,"port":`, c.Port)
	l.filled(`,"protocol":`, c.Protocol)
	l.filledValue(`,"mains":`, c.Mains)
	l.filledValue(`,"voltage":`, c.Voltage)
	l.filledValue(`,"current":`, c.Current)
	l.filledValue(`,"power":`, c.Power)
	l.filledValue(`,"ambient":`, c.Ambient)
	l.filledValue(`,"time":`, c.Time)
	l.close(from)
}

func (l *line) term(t *SaidTerm) {
	l.text(`{"heard":`, t.Heard)
	l.text(`,"meant":`, t.Meant)
	l.enum(`,"kind":`, termKindNames[:], uint8(t.Kind))
	if t.At == nil {
		l.b = append(l.b, `,"at":null`...)
	}
	l.at(`,"at":`, t.At)
	l.b = t.Span.append(append(l.b, `,"span":`...))
	list(l, `,"spans":`, t.Spans, func(l *line, s *Span) { l.b = s.append(l.b) })
	l.enum(`,"status":`, statusNames[:], uint8(t.Status))
	l.number(`,"confidence":`, t.Confidence)
	l.b = append(l.b, `,"readings":[`...)
	for i := range t.Readings {
		l.b = appendComma(l.b, i)
		l.text(`{"meant":`, t.Readings[i].Meant)
		l.number(`,"confidence":`, t.Readings[i].Confidence)
		l.b = append(l.b, '}')
	}
	l.text(`],"place":`, t.Place)
	l.texts(`,"why":`, t.Why)
	if t.Glossary {
		l.b = append(l.b, `,"glossary":true`...)
	}
	l.b = append(l.b, '}')
}

func (l *line) finding(f *Finding) {
	l.text(`{"rule":`, f.Rule)
	l.enum(`,"severity":`, severityNames[:], uint8(f.Severity))
	l.text(`,"message":`, f.Message)
	if len(f.Paths) > 0 {
		l.texts(`,"paths":`, f.Paths)
	}
	l.filledNumbers(`,"said":`, f.Said)
	list(l, `,"at":`, f.At, func(l *line, s *Seconds) { l.b = append(l.b, s.String()...) })
	l.filled(`,"source":`, f.Source)
	l.filled(`,"standing":`, f.Standing)
	if f.Proposal != nil {
		l.b = f.Proposal.append(append(l.b, `,"proposal":`...))
	}
	list(l, `,"positions":`, f.Positions, func(l *line, p *Position) {
		l.b = strconv.AppendInt(append(l.b, `{"line":`...), int64(p.Line), 10)
		l.b = append(strconv.AppendInt(append(l.b, `,"col":`...), int64(p.Col), 10), '}')
	})
	l.b = append(l.b, '}')
}

func (l *line) nameToCheck(n *NameToCheck) {
	l.text(`{"name":`, n.Name)
	l.text(`,"kind":`, n.Kind)
	l.texts(`,"heard":`, n.Heard)
	if n.At == nil {
		l.b = append(l.b, `,"at":null`...)
	}
	l.at(`,"at":`, n.At)
	l.b = append(l.b, '}')
}
