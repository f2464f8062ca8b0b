package query

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"saywatt/internal/typed"
	"saywatt/schema"
)

// plainQuantity reads a quantity or range with a unit, nil where there is
// none.
func plainQuantity(l *lexer) *Condition {
	c, missing := l.interval()
	if c == nil || missing {
		return nil
	}
	return c
}

// condition reads a subject and an interval; nil, and it does not move, where
// there is none.
func (p *parser) condition() *Condition {
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
	number := p.Properties[prop].number
	c := p.comparison(subject, number)
	if c == nil || c.Unit == "" && subject && c.isPlain() && !number {
		// "display 5", "level:PD": words, or a field.
		if unit := UsualUnit(p.Properties[prop]); unit != "" && c != nil {
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
func (n *Condition) isPlain() bool {
	return !n.Low.Unbounded && !n.High.Unbounded && n.Low.Value.Equal(n.High.Value) && !n.Low.Open
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
		_, ok := p.Properties[words]
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
		w := Words(strings.ReplaceAll(r, "_", " "))
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
func (p *parser) comparison(subject, counted bool) *Condition {
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
		c := &Condition{Low: Bound{Value: v}, High: Bound{Value: v}}
		if c.Unit, ok = p.unit(); !ok {
			p.unitWanted(counted)
		}
		if p.accept("..") {
			p.fail(schema.Span{Start: start, End: p.at}, "a comparison and a range together",
				"write "+p.text[numberAt:p.at]+"… without "+op)
		}
		switch op {
		case "<", "<=", "≤":
			c.Low = Bound{Unbounded: true}
			c.High.Open = op == "<"
		case ">", ">=", "≥":
			c.High = Bound{Unbounded: true}
			c.Low.Open = op == ">"
		}
		return c
	}
	c, missing := p.interval()
	if c == nil || missing && !subject {
		p.at = start
		return nil
	}
	if c.Low.Value.Cmp(c.High.Value) > 0 {
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
func (l *lexer) interval() (c *Condition, missing bool) {
	v, ok := l.number()
	if !ok {
		return nil, false
	}
	c = &Condition{Low: Bound{Value: v}, High: Bound{Value: v}}
	low, isUnit := l.unit()
	if l.accept("..") {
		l.spaces()
		h, ok := l.number()
		if !ok {
			return nil, false
		}
		c.High.Value = h
		if c.Unit, ok = l.unit(); ok && isUnit && low != c.Unit {
			converted, err := low.Convert(c.Low.Value, c.Unit)
			if err != nil {
				return nil, false
			}
			c.Low.Value = converted
		}
		isUnit = ok
	} else {
		c.Unit = low
	}
	if !isUnit && l.run() != "" {
		return nil, false
	}
	return c, !isUnit
}

// resolve finds the path of a condition's values and refuses what no value of
// the subject can meet.
func (p *parser) resolve(c *Condition) {
	_, kind := SI(c.Low.Value, c.Unit)
	if c.Low.Unbounded {
		_, kind = SI(c.High.Value, c.Unit)
	}
	prop, name := p.Properties[c.prop], kind
	if c.prop != "" {
		if kind == NumberKind && prop.Has("ratio") {
			kind = "ratio" // efficiency >= 0.94
		}
		name = PropertyPath(prop.Path, kind)
		if !prop.Has(kind) {
			what, hint := "a bare number", ""
			if c.Unit != "" {
				what = c.Unit.Symbol()
			}
			if unit := UsualUnit(prop); unit != "" {
				hint = "its unit is " + unit
				if near := withDegree(c.Unit, prop); near != "" {
					hint = fmt.Sprintf("did you mean %s?", near)
				}
				if c.Unit == "" {
					hint = fmt.Sprintf("did you mean %s %s?", strings.TrimSpace(p.text[c.at.Start:c.at.End]), unit)
				}
			}
			p.fail(c.at, fmt.Sprintf("%s is not said in %s", c.prop, what), hint)
		}
	}
	switch path, ok := p.groups[c.group]; {
	case c.group == "" && c.prop == "":
		c.Path = SaidGroup + "." + kind
		if c.Unit == "" {
			p.fail(c.at, "what is compared is missing", "write a property before it: power >= 65 W, cells >= 4")
		}
	case c.group == "":
		c.Path = name
	case ok:
		c.Path = path + "." + name
	default:
		c.Path = c.group + "." + name
	}
}

// withDegree is how a unit is written whose degree sign was left out, as °F where F
// was, which is the farad; "" where no value of the property has such a unit.
func withDegree(u schema.Unit, p Property) string {
	if u == "" {
		return ""
	}
	l := lexer{text: "°" + u.Symbol()}
	with, ok := l.unit()
	if !ok || l.at < len(l.text) {
		return ""
	}
	if _, kind := SI(schema.NewDecimal(1, 0), with); !p.Has(kind) {
		return ""
	}
	return typed.Spell(with)
}

// UsualUnit is how values of a property are mostly written, "" where it is
// counted without a unit or can be of any kind.
func UsualUnit(p Property) string {
	if p.number || len(p.kinds) == 0 {
		return ""
	}
	kind, err := schema.ParseKind(p.kinds[0])
	if err != nil {
		return ""
	}
	return typed.Spell(DisplayUnit(kind))
}
