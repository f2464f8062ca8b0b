// Package notation reads records in the compact notation of the cases of the rules,
// which testdata/README.md describes: one line a fact. Only tests import it.
package notation

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"saywatt/schema"
)

// Read reads the record that the lines of a case say. Every quantity gets a number in
// the order written, ten seconds apart. An error names the line, of those of the case.
func Read(text string) (*schema.Record, error) {
	p := &notation{root: map[string]any{}}
	for i, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		if err := p.line(line); err != nil {
			return nil, fmt.Errorf("line %d: %s: %w", i+1, line, err)
		}
	}
	b, err := json.Marshal(p.root)
	if err != nil {
		return nil, err
	}
	r := &schema.Record{Version: schema.RecordVersion}
	d := json.NewDecoder(strings.NewReader(string(b)))
	d.DisallowUnknownFields()
	if err := d.Decode(r); err != nil {
		return nil, fmt.Errorf("%w in %.200s", err, b)
	}
	r.Quantities = p.said
	for i := range r.Quantities {
		q := &r.Quantities[i]
		q.Readings = []schema.Reading{{Quantity: q.Quantity, Confidence: 1}}
	}
	return r, nil
}

// Parse is Read for a test, which fails where the notation is wrong.
func Parse(t testing.TB, text string) *schema.Record {
	t.Helper()
	r, err := Read(text)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// notation is a record as it is read: its fields as JSON has them, and what was said.
type notation struct {
	root map[string]any
	said []schema.Said
}

func (p *notation) line(line string) error {
	if path, value, ok := strings.Cut(line, " = "); ok {
		return p.assign(strings.Split(path, "."), value)
	}
	word, rest, _ := strings.Cut(line, " ")
	cells := strings.Split(rest, ",")
	for i := range cells {
		cells[i] = strings.TrimSpace(cells[i])
	}
	object := map[string]any{}
	switch word {
	case "level":
		return p.level(object, cells)
	case "claim":
		object["property"] = cells[0]
		return p.fields("claims", object, cells[1:], "")
	case "component":
		object["kind"], object["status"] = cells[0], "heard"
		return p.fields("components", object, cells[1:], "ratings")
	case "measure":
		object["property"] = cells[0]
		return p.fields("measurements", object, cells[1:], "condition")
	case "port":
		object["name"] = cells[0]
		if len(cells) > 1 {
			object["protocols"] = cells[1:]
		}
		p.push("ports", object)
		return nil
	case "named":
		object["kind"], object["meant"], object["status"] = schema.TermComponent, cells[0], schema.StatusHeard
		p.push("terms", object)
		return nil
	case "other":
		object["property"] = cells[0]
		v, err := p.value(cells[1])
		if err != nil {
			return err
		}
		object["value"] = v
		body, _ := p.root["body"].(map[string]any)
		if body == nil {
			body = map[string]any{}
			p.root["body"] = body
		}
		o, _ := body["other"].([]any)
		body["other"] = append(o, object)
		return nil
	}
	return fmt.Errorf("unknown word %q", word)
}

func (p *notation) push(list string, object any) {
	l, _ := p.root[list].([]any)
	p.root[list] = append(l, object)
}

// level reads "MODE, PORT, PROTOCOL, VOLTAGE[, CURRENT[, POWER]]".
func (p *notation) level(object map[string]any, cells []string) error {
	for i, name := range []string{"mode", "port", "protocol"} {
		if i < len(cells) && cells[i] != "" {
			object[name] = cells[i]
		}
	}
	for i, name := range []string{"voltage", "current", "power"} {
		if i+3 >= len(cells) || cells[i+3] == "" {
			continue
		}
		v, err := p.value(cells[i+3])
		if err != nil {
			return err
		}
		object[name] = v
	}
	p.push("levels", object)
	return nil
}

// fields reads a bare quantity as the value, "NAME=TEXT" as a field, and
// "NAME QUANTITY" as an entry of the inner list or object.
func (p *notation) fields(list string, object map[string]any, cells []string, inner string) error {
	for _, c := range cells {
		if name, text, ok := strings.Cut(c, "="); ok {
			if n, err := strconv.Atoi(text); err == nil {
				object[name] = n
			} else {
				object[name] = text
			}
			continue
		}
		if v, err := p.value(c); err == nil {
			object["value"] = v
			continue
		}
		name, text, _ := strings.Cut(c, " ")
		switch inner {
		case "ratings":
			v, err := p.value(text)
			if err != nil {
				return err
			}
			l, _ := object[inner].([]any)
			object[inner] = append(l, map[string]any{"property": name, "value": v})
		case "condition":
			m, _ := object[inner].(map[string]any)
			if m == nil {
				m = map[string]any{}
				object[inner] = m
			}
			if v, err := p.value(text); err == nil {
				m[name] = v
			} else {
				m[name] = text
			}
		default:
			return fmt.Errorf("cannot read %q", c)
		}
	}
	p.push(list, object)
	return nil
}

// value reads "3.25 A", "100..240 V", "19.86 V (measured)", "60 W (about)",
// "8 A (open)" as a value that was said, and "100 nF (code 104)" as one that was said
// beside a code that reads the same.
func (p *notation) value(s string) (map[string]any, error) {
	basis, qualifier, status, code := "claimed", "", schema.StatusHeard, ""
	for {
		head, mark, ok := strings.Cut(s, " (")
		if !ok {
			break
		}
		mark, rest, _ := strings.Cut(mark, ")")
		if word, is := strings.CutPrefix(mark, "code "); is {
			code = word
		} else if _, err := schema.ParseBasis(mark); err == nil {
			basis = mark
		} else if _, err := schema.ParseQualifier(mark); err == nil {
			qualifier = mark
		} else if st, err := schema.ParseStatus(mark); err == nil {
			status = st
		} else {
			return nil, fmt.Errorf("unknown mark %q", mark)
		}
		s = head + rest
	}
	number, unit, ok := strings.Cut(s, " ")
	if !ok || number == "" {
		return nil, fmt.Errorf("%q is no quantity", s)
	}
	q, err := schema.ParseQuantity(s)
	if err != nil {
		return nil, err
	}
	if _, err := schema.ParseUnit(unit); err != nil {
		return nil, err
	}
	numbers := []int{p.say(s, q, status)}
	if code != "" {
		numbers = append(numbers, p.say(code, q, status))
	}
	v := map[string]any{"quantity": q, "basis": basis, "status": status, "confidence": 1, "said": numbers}
	if qualifier != "" {
		v["qualifier"] = qualifier
	}
	return v, nil
}

// say adds a quantity to those said, and returns its number.
func (p *notation) say(heard string, q schema.Quantity, status schema.Status) int {
	n := len(p.said) + 1
	at := schema.Seconds(n * 10000)
	p.said = append(p.said, schema.Said{Number: n, At: &at, Heard: heard, Kind: q.Unit.Kind(), Quantity: q,
		Status: status, Confidence: 1})
	return n
}

// assign reads "battery.cell.count = 2", "cable.length = 1 m",
// "product.kind = charger": numbers, quantities, else text. "[…]" is a list
// with commas.
func (p *notation) assign(path []string, text string) error {
	m := p.root
	for _, name := range path[:len(path)-1] {
		next, _ := m[name].(map[string]any)
		if next == nil {
			next = map[string]any{}
			m[name] = next
		}
		m = next
	}
	last := path[len(path)-1]
	if strings.HasPrefix(text, "[") && strings.HasSuffix(text, "]") {
		var l []any
		for _, s := range strings.Split(text[1:len(text)-1], ",") {
			l = append(l, p.scalar(strings.TrimSpace(s)))
		}
		m[last] = l
		return nil
	}
	m[last] = p.scalar(text)
	return nil
}

func (p *notation) scalar(text string) any {
	if s, err := strconv.Unquote(text); err == nil {
		return s
	}
	if n, err := strconv.Atoi(text); err == nil {
		return n
	}
	if v, err := p.value(text); err == nil {
		return v
	}
	return text
}
