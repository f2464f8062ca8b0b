package archive

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"saywatt/internal/typed"
	"saywatt/schema"
)

// plainQuantity reads a quantity or range with a unit, nil where there is
// none.
func plainQuantity(l *lexer) *condition {
	c, missing := l.interval()
	if c == nil || missing {
		return nil
	}
	return c
}

// condition reads a subject and an interval; nil, and it does not move, where
// there is none.
func (p *parser) condition() *condition {
	start := p.at
	group, prop, missing := p.subject()
	if missing && prop == "" && !p.compares() { // "relay 5 A": words and a value
		p.at = start
		missing = false
		group, prop = p.held()
	}
	subject := p.at > start
	if subject {
		p.spaces()
		if p.accept(":") {
			p.spaces()
		}
	}
	number := p.properties[prop].number
	c := p.comparison(subject, number)
	if c == nil || c.unit == "" && subject && c.isPlain() && !number {
		// "display 5", "level:PD": words, or a field.
		if unit := usualUnit(p.properties[prop]); unit != "" && c != nil {
			said := p.text[start:p.at]
			p.note(fmt.Sprintf("%q is looked for as words; a value has its unit: %s %s", said, strings.TrimSpace(said),
				unit))
		}
		p.at = start
		return nil
	}
	c.group, c.prop, c.at = group, prop, schema.Span{Start: start, End: p.at}
	p.resolve(c)
	if missing {
		p.note(noSuchPart(group) + fmt.Sprintf("; to search for the word, quote it: %q", group))
	}
	return c
}

// isPlain reports whether it is one number, without comparison.
func (n *condition) isPlain() bool {
	return !n.low.unbounded && !n.high.unbounded && n.low.value.Equal(n.high.value) && !n.low.open
}

// noSuchPart says that no review has a kind of part that is known.
func noSuchPart(kind string) string { return "no review has a part of this kind: " + kind }

// compares reports whether a sign of comparison is next.
func (p *parser) compares() bool {
	from := p.at
	p.spaces()
	next, _ := utf8.DecodeRuneInString(p.text[p.at:])
	p.at = from
	return strings.ContainsRune("<>=≤≥", next)
}

// subject reads the words before an interval, as held does, or else a kind of part
// that is known and that no review has: missing.
func (p *parser) subject() (group, prop string, missing bool) {
	start := p.at
	group, prop = p.held()
	end := p.at
	p.at = start
	kind := p.longest(func(words string) bool { return knownParts()[words] })
	if kind == "" || p.at <= end {
		p.at = end
		return group, prop, false
	}
	end = p.at
	p.spaces()
	prop = p.property()
	if prop == "" {
		p.at = end
	}
	return kind, prop, true
}

// held reads a group, a property, or both, the longest there are. Kinds of part are
// groups where a review has them.
func (p *parser) held() (group, prop string) {
	group = p.longest(func(words string) bool {
		_, ok := p.groups[words]
		return ok || p.Parts != nil && p.Parts(words)
	})
	before := p.at
	if group != "" {
		p.spaces()
	}
	prop = p.property()
	if prop == "" {
		p.at = before
	}
	return group, prop
}

// property reads a property, the longest there is.
func (p *parser) property() string {
	return p.longest(func(words string) bool {
		_, ok := p.properties[words]
		return ok
	})
}

// longestSubject is how many words a kind of part may have.
const longestSubject = 6

// longest takes as many words as together are known.
func (p *parser) longest(known func(string) bool) string {
	from, end := p.at, p.at
	found, name := "", ""
	for n := range longestSubject {
		if n > 0 {
			p.spaces()
		}
		r := p.run()
		w := words(strings.ReplaceAll(r, "_", " "))
		if len(w) == 0 {
			break
		}
		p.at += len(r)
		if n > 0 {
			name += " "
		}
		name += strings.Join(w, " ")
		if known(name) {
			found, end = name, p.at
		}
		if p.peek() == ':' {
			break
		}
	}
	p.at = from
	if found != "" {
		p.at = end
	}
	return found
}

// comparison reads an operator with its quantity, or a quantity. Without
// operator and unit, a number is a condition only behind a subject.
func (p *parser) comparison(subject, counted bool) *condition {
	start := p.at
	for _, op := range [...]string{"<=", ">=", "≤", "≥", "<", ">", "="} {
		if !p.accept(op) {
			continue
		}
		p.spaces()
		numberAt := p.at
		v, ok := p.number()
		if !ok {
			p.fail(p.here(), "a number should follow "+op, "as in power "+op+" 65 W")
		}
		c := &condition{low: bound{value: v}, high: bound{value: v}}
		if c.unit, ok = p.unit(); !ok {
			p.unitWanted(counted)
		}
		if p.accept("..") {
			p.fail(schema.Span{Start: start, End: p.at}, "a comparison and a range together",
				"write "+p.text[numberAt:p.at]+"… without "+op)
		}
		switch op {
		case "<", "<=", "≤":
			c.low = bound{unbounded: true}
			c.high.open = op == "<"
		case ">", ">=", "≥":
			c.high = bound{unbounded: true}
			c.low.open = op == ">"
		}
		return c
	}
	c, missing := p.interval()
	if c == nil || missing && !subject {
		p.at = start
		return nil
	}
	if c.low.value.Cmp(c.high.value) > 0 {
		p.fail(schema.Span{Start: start, End: p.at}, "the range begins above its end", "")
	}
	return c
}

// unitWanted refuses what stands where a unit should: anything right behind
// the number, and behind blanks anything but a keyword, unless the subject is
// counted without unit.
func (p *parser) unitWanted(counted bool) {
	from := p.at
	if p.run() == "" {
		if counted {
			return
		}
		p.spaces()
	}
	r := p.unitRun()
	for _, word := range [...]string{"and", "or", "not"} {
		if strings.EqualFold(r, word) {
			r = ""
		}
	}
	if r != "" {
		p.fail(schema.Span{Start: p.at, End: p.at + len(r)}, fmt.Sprintf("%q is no unit", r),
			suggest(r, typed.Spellings()))
	}
	p.at = from
}

// interval reads 65 W, 300..500 uF, 300uF..1mF; missing where there is no
// unit. It returns nil where there is no number, or where what follows the
// number makes it a word: 2x21700.
func (l *lexer) interval() (c *condition, missing bool) {
	v, ok := l.number()
	if !ok {
		return nil, false
	}
	c = &condition{low: bound{value: v}, high: bound{value: v}}
	low, isUnit := l.unit()
	if l.accept("..") {
		l.spaces()
		h, ok := l.number()
		if !ok {
			return nil, false
		}
		c.high.value = h
		if c.unit, ok = l.unit(); ok && isUnit && low != c.unit {
			converted, err := low.Convert(c.low.value, c.unit)
			if err != nil {
				return nil, false
			}
			c.low.value = converted
		}
		isUnit = ok
	} else {
		c.unit = low
	}
	if !isUnit && l.run() != "" {
		return nil, false
	}
	return c, !isUnit
}

// resolve finds the path of a condition's values and refuses what no value of
// the subject can meet.
func (p *parser) resolve(c *condition) {
	_, kind := si(c.low.value, c.unit)
	if c.low.unbounded {
		_, kind = si(c.high.value, c.unit)
	}
	prop, name := p.properties[c.prop], kind
	if c.prop != "" {
		if kind == numberKind && prop.has("ratio") {
			kind = "ratio" // efficiency >= 0.94
		}
		name = propertyPath(prop.path, kind)
		if !prop.has(kind) {
			what, hint := "a bare number", ""
			if c.unit != "" {
				what = c.unit.Symbol()
			}
			if unit := usualUnit(prop); unit != "" {
				hint = "its unit is " + unit
				if near := withDegree(c.unit, prop); near != "" {
					hint = fmt.Sprintf("did you mean %s?", near)
				}
				if c.unit == "" {
					hint = fmt.Sprintf("did you mean %s %s?", strings.TrimSpace(p.text[c.at.Start:c.at.End]), unit)
				}
			}
			p.fail(c.at, fmt.Sprintf("%s is not said in %s", c.prop, what), hint)
		}
	}
	switch path, ok := p.groups[c.group]; {
	case c.group == "" && c.prop == "":
		c.path = saidGroup + "." + kind
		if c.unit == "" {
			p.fail(c.at, "what is compared is missing", "write a property before it: power >= 65 W, cells >= 4")
		}
	case c.group == "":
		c.path = name
	case ok:
		c.path = path + "." + name
	default:
		c.path = c.group + "." + name
	}
}

// withDegree is how a unit is written whose degree sign was left out, as °F where F
// was, which is the farad; "" where no value of the property has such a unit.
func withDegree(u schema.Unit, p property) string {
	if u == "" {
		return ""
	}
	l := lexer{text: "°" + u.Symbol()}
	with, ok := l.unit()
	if !ok || l.at < len(l.text) {
		return ""
	}
	if _, kind := si(schema.NewDecimal(1, 0), with); !p.has(kind) {
		return ""
	}
	return typed.Spell(with)
}

// usualUnit is how values of a property are mostly written, "" where it is
// counted without a unit or can be of any kind.
func usualUnit(p property) string {
	if p.number || len(p.kinds) == 0 {
		return ""
	}
	kind, err := schema.ParseKind(p.kinds[0])
	if err != nil {
		return ""
	}
	return typed.Spell(displayUnit(kind))
}
