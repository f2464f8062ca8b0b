package archive

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"saywatt/internal/typed"
	"saywatt/schema"
)

// Bounds of a query, so that a hostile one costs little.
const (
	maxQuery = 4096 // bytes
	maxDepth = 64   // of parentheses and "not"
)

// A queryParser reads queries. The zero value knows the properties and groups of
// the tables; Parts adds kinds of part, which are groups too.
type queryParser struct {
	// Parts reports whether words, folded, are a kind of part or its last words.
	Parts func(words string) bool
}

// parse reads a query; an empty one finds everything. Errors are a
// *QueryError.
func (p queryParser) parse(text string) (q *query, err error) {
	s := &parser{queryParser: p, lexer: lexer{text: text}, vocabulary: loadVocabulary()}
	defer func() {
		switch e := recover().(type) {
		case nil:
		case *QueryError:
			q, err = nil, e
		default:
			panic(e)
		}
	}()
	if len(text) > maxQuery {
		s.fail(schema.Span{Start: maxQuery, End: maxQuery}, fmt.Sprintf("longer than %d bytes", maxQuery), "")
	}
	s.blanks()
	q = &query{text: text}
	if s.at == len(text) {
		return q, nil
	}
	q.root = s.or()
	q.notes = s.notes
	if s.at < len(text) {
		s.fail(s.here(), fmt.Sprintf("%q was not expected here", text[s.at:s.at+1]), "")
	}
	return q, nil
}

// parser is a recursive descent; errors leave it by a panic of *QueryError.
type parser struct {
	queryParser
	lexer
	*vocabulary
	depth int
	notes []string
}

func (p *parser) fail(at schema.Span, msg, hint string) {
	panic(&QueryError{Query: p.text, Span: at, Msg: msg, Hint: hint})
}

// here is the word that is next, for errors.
func (p *parser) here() schema.Span {
	return schema.Span{Start: p.at, End: min(p.at+max(len(p.run()), 1), len(p.text))}
}

func (p *parser) or() node {
	n := &orNode{kids: []node{p.and()}}
	for p.keyword("or") {
		p.blanks()
		n.kids = append(n.kids, p.and())
	}
	if len(n.kids) == 1 {
		return n.kids[0]
	}
	return n
}

func (p *parser) and() node {
	n := &andNode{kids: []node{p.unary()}}
	for {
		p.blanks()
		start := p.at
		if p.keyword("or") {
			p.at = start
			break
		}
		if p.keyword("and") {
			p.blanks()
		} else if p.at == len(p.text) || p.peek() == ')' {
			break
		}
		n.kids = append(n.kids, p.unary())
	}
	if len(n.kids) == 1 {
		return n.kids[0]
	}
	return n
}

func (p *parser) unary() node {
	if p.depth++; p.depth > maxDepth {
		p.fail(p.here(), fmt.Sprintf("nested more than %d deep", maxDepth), "")
	}
	defer func() { p.depth-- }()
	start := p.at
	if p.keyword("not") {
		p.blanks()
		kid := p.unary()
		return &notNode{kid, schema.Span{Start: start, End: p.at}}
	}
	return p.atom()
}

func (p *parser) atom() node {
	start := p.at
	switch c := p.peek(); {
	case c == 0:
		p.fail(schema.Span{Start: start, End: start}, "something should follow here",
			`a word, a field:value or a condition such as power >= 65 W`)
	case c == '(':
		p.at++
		p.blanks()
		n := p.or()
		p.blanks()
		if !p.accept(")") {
			p.fail(schema.Span{Start: start, End: start + 1}, "this parenthesis is not closed", "")
		}
		return n
	case c == '"':
		text := p.phrase()
		return &wordNode{text: text, quoted: true, at: schema.Span{Start: start, End: p.at}}
	}
	for _, word := range [...]string{"and", "or"} {
		if p.keyword(word) {
			p.fail(schema.Span{Start: start, End: p.at}, fmt.Sprintf("nothing stands before %q", word),
				`to search for the word, quote it: "`+word+`"`)
		}
	}
	if c := p.condition(); c != nil {
		return c
	}
	r := p.run()
	if r == "" {
		p.fail(p.here(), fmt.Sprintf("%q was not expected here", p.text[p.at:p.at+1]), "")
	}
	p.at += len(r)
	if p.accept(":") {
		return p.field(r, start)
	}
	n := &wordNode{at: schema.Span{Start: start, End: p.at}}
	n.text, n.prefix = strings.CutSuffix(r, "*")
	if len(tokens(n.text)) == 0 {
		p.fail(n.at, fmt.Sprintf("%q is no word", r), "")
	}
	p.likeField(r)
	p.likeProperty(r, n.at)
	return n
}

// likeField notes that a word is the name of a field and stands before another
// word: its value may be meant.
func (p *parser) likeField(word string) {
	from := p.at
	p.spaces()
	next := p.run()
	p.at = from
	if !p.fields[strings.ToLower(word)] || len(tokens(next)) == 0 {
		return
	}
	for _, k := range [...]string{"and", "or", "not"} {
		if strings.EqualFold(next, k) {
			return
		}
	}
	p.note(fmt.Sprintf("%q and %q are looked for as words; the field is %s:%s", word, next, strings.ToLower(word),
		next))
}

// likeProperty refuses a word that stands before a comparison and is no property:
// looked for as a word, it would find what nobody asked for.
func (p *parser) likeProperty(word string, at schema.Span) {
	if !p.compares() {
		return
	}
	hint := fmt.Sprintf(`to search for the word, quote it: %q; there are %s, and the kinds of part of the reviews`, word,
		strings.Join(p.subjects(), ", "))
	if near := nearly(word, p.subjects()); near != "" {
		hint = "did you mean " + near + "?"
	}
	p.fail(at, fmt.Sprintf("%q is no property", word), hint)
}

// subjects are the names of properties and groups, in order.
func (p *parser) subjects() []string {
	var names []string
	for name := range p.properties {
		names = append(names, name)
	}
	for name := range p.groups {
		names = append(names, name)
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// note is something to tell of a query that can be read.
func (p *parser) note(text string) {
	if !slices.Contains(p.notes, text) {
		p.notes = append(p.notes, text)
	}
}

// phrase reads a text in quotation marks with at least one word in it.
func (p *parser) phrase() string {
	start := p.at
	text, closed := p.quoted()
	if !closed {
		p.fail(schema.Span{Start: start, End: start + 1}, "this quotation is not closed", "")
	}
	if len(tokens(text)) == 0 {
		p.fail(schema.Span{Start: start, End: p.at}, "no word is quoted here", "")
	}
	return text
}

// field reads what follows name and colon.
func (p *parser) field(name string, start int) node {
	field := strings.ToLower(name)
	item := field == "level" || field == "part"
	if !item && !p.fields[field] {
		hint := suggest(name, p.fieldNames())
		if hint == "" {
			hint = "there are " + strings.Join(p.fieldNames(), ", ")
		}
		p.fail(schema.Span{Start: start, End: start + len(name)}, fmt.Sprintf("%q is no field", name), hint)
	}
	p.spaces()
	valueAt := p.at
	if p.peek() == '"' {
		text := p.phrase()
		if item {
			return p.item(field, text, schema.Span{Start: start, End: p.at}, valueAt+1)
		}
		return &fieldNode{field: field, value: text, at: schema.Span{Start: start, End: p.at}}
	}
	r := p.run()
	value, prefix := strings.CutSuffix(r, "*")
	if len(tokens(value)) == 0 {
		p.fail(schema.Span{Start: valueAt, End: valueAt + len(r)}, fmt.Sprintf("the value of %s is missing", field),
			`write `+field+`:word or `+field+`:"several words"`)
	}
	p.at += len(r)
	at := schema.Span{Start: start, End: p.at}
	if item {
		return p.item(field, r, at, valueAt)
	}
	return &fieldNode{field: field, value: value, prefix: prefix, at: at}
}

func (p *parser) fieldNames() []string {
	names := []string{"level", "part"}
	for f := range p.fields {
		names = append(names, f)
	}
	slices.Sort(names)
	return names
}

// item reads what level:"…" wants: quantities, and words.
func (p *parser) item(item, text string, at schema.Span, offset int) node {
	n := &itemNode{item: item, text: text, at: at}
	l := lexer{text: text}
	for l.blanks(); l.at < len(text); l.blanks() {
		start := l.at
		if c := plainQuantity(&l); c != nil {
			q := schema.One(c.low.value, c.unit)
			if !c.low.value.Equal(c.high.value) {
				q = schema.Between(c.low.value, c.high.value, c.unit)
			}
			n.exact = append(n.exact, element{q})
			continue
		}
		l.at = start
		r := l.run()
		w := words(r)
		if len(w) == 0 {
			r = text[start : start+1]
			p.fail(schema.Span{Start: min(offset+start, at.End), End: min(offset+start+len(r), at.End)},
				fmt.Sprintf("%q is neither a word nor a quantity", r),
				item+" takes values with units and words; compare outside: "+item+" current >= 3 A")
		}
		n.words = append(n.words, w...)
		l.at += len(r)
	}
	return n
}

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
