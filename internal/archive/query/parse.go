package query

import (
	"fmt"
	"slices"
	"strings"

	"saywatt/schema"
)

// Bounds of a query, so that a hostile one costs little.
const (
	maxQuery = 4096 // bytes
	maxDepth = 64   // of parentheses and "not"
)

// A Parser reads queries. The zero value knows the properties and groups of
// the tables; Parts adds kinds of part, which are groups too.
type Parser struct {
	// Parts reports whether words, folded, are a kind of part or its last words.
	Parts func(words string) bool
}

// Parse reads a query; an empty one finds everything. Errors are a
// *Error.
func (p Parser) Parse(text string) (q *Query, err error) {
	s := &parser{Parser: p, lexer: lexer{text: text}, Vocabulary: Known()}
	defer func() {
		switch e := recover().(type) {
		case nil:
		case *Error:
			q, err = nil, e
		default:
			panic(e)
		}
	}()
	if len(text) > maxQuery {
		s.fail(schema.Span{Start: maxQuery, End: maxQuery}, fmt.Sprintf("longer than %d bytes", maxQuery), "")
	}
	s.blanks()
	q = &Query{text: text}
	if s.at == len(text) {
		return q, nil
	}
	q.Root = s.or()
	q.Notes = s.notes
	if s.at < len(text) {
		s.fail(s.here(), fmt.Sprintf("%q was not expected here", text[s.at:s.at+1]), "")
	}
	return q, nil
}

// parser is a recursive descent; errors leave it by a panic of *Error.
type parser struct {
	Parser
	lexer
	*Vocabulary
	depth int
	notes []string
}

func (p *parser) fail(at schema.Span, msg, hint string) {
	panic(&Error{Query: p.text, Span: at, Msg: msg, Hint: hint})
}

// here is the word that is next, for errors.
func (p *parser) here() schema.Span {
	return schema.Span{Start: p.at, End: min(p.at+max(len(p.run()), 1), len(p.text))}
}

func (p *parser) or() Node {
	n := &Or{Kids: []Node{p.and()}}
	for p.keyword("or") {
		p.blanks()
		n.Kids = append(n.Kids, p.and())
	}
	if len(n.Kids) == 1 {
		return n.Kids[0]
	}
	return n
}

func (p *parser) and() Node {
	n := &And{Kids: []Node{p.unary()}}
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
		n.Kids = append(n.Kids, p.unary())
	}
	if len(n.Kids) == 1 {
		return n.Kids[0]
	}
	return n
}

func (p *parser) unary() Node {
	if p.depth++; p.depth > maxDepth {
		p.fail(p.here(), fmt.Sprintf("nested more than %d deep", maxDepth), "")
	}
	defer func() { p.depth-- }()
	start := p.at
	if p.keyword("not") {
		p.blanks()
		kid := p.unary()
		return &Not{kid, schema.Span{Start: start, End: p.at}}
	}
	return p.atom()
}

func (p *parser) atom() Node {
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
		return &Word{Text: text, Quoted: true, at: schema.Span{Start: start, End: p.at}}
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
	n := &Word{at: schema.Span{Start: start, End: p.at}}
	n.Text, n.Prefix = strings.CutSuffix(r, "*")
	if len(Tokens(n.Text)) == 0 {
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
	if !p.Fields[strings.ToLower(word)] || len(Tokens(next)) == 0 {
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
	for name := range p.Properties {
		names = append(names, name)
	}
	for name := range p.groups {
		names = append(names, name)
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// note is something to say of a query that can be read.
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
	if len(Tokens(text)) == 0 {
		p.fail(schema.Span{Start: start, End: p.at}, "no word is quoted here", "")
	}
	return text
}

// field reads what follows name and colon.
func (p *parser) field(name string, start int) Node {
	field := strings.ToLower(name)
	item := field == "level" || field == "part"
	if !item && !p.Fields[field] {
		hint := suggest(name, p.fieldNames())
		switch called := Known().fieldOf[field]; {
		case called != "":
			hint = "did you mean " + called + "?"
		case hint == "":
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
		return &Field{Field: field, Value: text, at: schema.Span{Start: start, End: p.at}}
	}
	r := p.run()
	value, prefix := strings.CutSuffix(r, "*")
	if len(Tokens(value)) == 0 {
		p.fail(schema.Span{Start: valueAt, End: valueAt + len(r)}, fmt.Sprintf("the value of %s is missing", field),
			`write `+field+`:word or `+field+`:"several words"`)
	}
	p.at += len(r)
	at := schema.Span{Start: start, End: p.at}
	if item {
		return p.item(field, r, at, valueAt)
	}
	return &Field{Field: field, Value: value, Prefix: prefix, at: at}
}

func (p *parser) fieldNames() []string {
	names := []string{"level", "part"}
	for f := range p.Fields {
		names = append(names, f)
	}
	slices.Sort(names)
	return names
}

// item reads what level:"…" wants: quantities, and words.
func (p *parser) item(item, text string, at schema.Span, offset int) Node {
	n := &Item{Item: item, text: text, at: at}
	l := lexer{text: text}
	for l.blanks(); l.at < len(text); l.blanks() {
		start := l.at
		if c := plainQuantity(&l); c != nil {
			q := schema.One(c.Low.Value, c.Unit)
			if !c.Low.Value.Equal(c.High.Value) {
				q = schema.Between(c.Low.Value, c.High.Value, c.Unit)
			}
			n.Exact = append(n.Exact, Element{q})
			continue
		}
		l.at = start
		r := l.run()
		w := Words(r)
		if len(w) == 0 {
			r = text[start : start+1]
			p.fail(schema.Span{Start: min(offset+start, at.End), End: min(offset+start+len(r), at.End)},
				fmt.Sprintf("%q is neither a word nor a quantity", r),
				item+" takes values with units and words; compare outside: "+item+" current >= 3 A")
		}
		n.Words = append(n.Words, w...)
		l.at += len(r)
	}
	return n
}
