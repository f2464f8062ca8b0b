package archive

import (
	"fmt"
	"strings"

	"saywatt/internal/typed"
	"saywatt/schema"
)

// query is a query that was read. Its String is a query that reads as the
// same.
type query struct {
	root  node // nil finds everything
	text  string
	notes []string // what a person may have meant otherwise
}

func (q *query) String() string {
	if q == nil || q.root == nil {
		return ""
	}
	var b strings.Builder
	q.root.write(&b)
	return b.String()
}

// A node is a part of a query.
type node interface {
	write(b *strings.Builder)
}

// The composite nodes.
type (
	andNode struct{ kids []node }
	orNode  struct{ kids []node }
	notNode struct {
		kid node
		at  schema.Span
	}
)

// A wordNode is a word, or a phrase in quotation marks.
type wordNode struct {
	text   string
	quoted bool
	prefix bool // any ending
	at     schema.Span

	near []string // words taken instead, where nothing is called by it
}

// A fieldNode is field:value.
type fieldNode struct {
	field  string
	value  string
	prefix bool
	at     schema.Span

	near []string
}

// A condition is an interval that some value of the subject meets.
type condition struct {
	group string // words, "" for none
	prop  string // words, "" for none
	low   bound
	high  bound
	unit  schema.Unit
	at    schema.Span

	path string // of the values, resolved
}

// A bound is one end of an interval.
type bound struct {
	value     schema.Decimal
	unbounded bool
	open      bool // the end itself is not in
}

// An itemNode is level:"…" or part:"…".
type itemNode struct {
	item  string // level or part
	text  string // as typed
	words []string
	exact []element
	at    schema.Span
}

// An element is a value wanted in an item.
type element struct {
	quantity schema.Quantity
}

func (n *andNode) write(b *strings.Builder) { join(b, n.kids, " and ") }
func (n *orNode) write(b *strings.Builder)  { join(b, n.kids, " or ") }

func join(b *strings.Builder, kids []node, between string) {
	for i, k := range kids {
		if i > 0 {
			b.WriteString(between)
		}
		group(b, k)
	}
}

// group writes a node, in parentheses where it has parts of its own.
func group(b *strings.Builder, n node) {
	switch n.(type) {
	case *andNode, *orNode:
		b.WriteByte('(')
		n.write(b)
		b.WriteByte(')')
	default:
		n.write(b)
	}
}

func (n *notNode) write(b *strings.Builder) {
	b.WriteString("not ")
	group(b, n.kid)
}

func (n *wordNode) write(b *strings.Builder) { writeWord(b, n.text, n.quoted, n.prefix) }

func (n *fieldNode) write(b *strings.Builder) {
	b.WriteString(n.field + ":")
	writeWord(b, n.value, !n.prefix, n.prefix)
}

func (n *itemNode) write(b *strings.Builder) {
	b.WriteString(n.item + ":")
	writeWord(b, n.text, true, false)
}

var escapes = strings.NewReplacer(`\`, `\\`, `"`, `\"`)

func writeWord(b *strings.Builder, text string, quoted, prefix bool) {
	if quoted {
		b.WriteString(`"` + escapes.Replace(text) + `"`)
		return
	}
	b.WriteString(text)
	if prefix {
		b.WriteByte('*')
	}
}

// subject is what the condition is about, in words.
func (n *condition) subject() string {
	return strings.TrimSpace(n.group + " " + n.prop)
}

func (n *condition) write(b *strings.Builder) {
	if s := n.subject(); s != "" {
		b.WriteString(s + " ")
	}
	unit := ""
	if n.unit != "" {
		unit = " " + typed.Spell(n.unit)
	}
	switch {
	case n.low.unbounded && n.high.open:
		fmt.Fprintf(b, "< %s", n.high.value)
	case n.low.unbounded:
		fmt.Fprintf(b, "<= %s", n.high.value)
	case n.high.unbounded && n.low.open:
		fmt.Fprintf(b, "> %s", n.low.value)
	case n.high.unbounded:
		fmt.Fprintf(b, ">= %s", n.low.value)
	case n.low.value.Equal(n.high.value):
		fmt.Fprintf(b, "= %s", n.low.value)
	default:
		fmt.Fprintf(b, "%s..%s", n.low.value, n.high.value)
	}
	b.WriteString(unit)
}

// leaves gives every leaf that counts for a find, those under "not" left out.
func leaves(n node, f func(node)) {
	switch n := n.(type) {
	case nil, *notNode:
	case *andNode:
		for _, k := range n.kids {
			leaves(k, f)
		}
	case *orNode:
		for _, k := range n.kids {
			leaves(k, f)
		}
	default:
		f(n)
	}
}

// inQuotes says, where nothing was found, that a value looked for may be the
// words of captions that were read otherwise: "325 amps" of 3.25 A.
func inQuotes(query string, root node) (notes []string) {
	leaves(root, func(n node) {
		c, ok := n.(*condition)
		if !ok || c.subject() != "" || c.low.unbounded || c.high.unbounded || !c.low.value.Equal(c.high.value) {
			return
		}
		words := strings.Trim(strings.TrimSpace(query[c.at.Start:c.at.End]), "= ")
		notes = append(notes, fmt.Sprintf(`%s is looked for as a value; words as they were heard stand in quotation marks: "%s"`,
			words, words))
	})
	return notes
}

// A QueryError is a query that cannot be read.
type QueryError struct {
	Query string
	Span  schema.Span // bytes of the query that are meant
	Msg   string
	Hint  string // what to write instead, "" where nothing comes to mind
}

func (e *QueryError) Error() string {
	if e.Hint != "" {
		return fmt.Sprintf("query, at %d: %s; %s", e.Span.Start+1, e.Msg, e.Hint)
	}
	return fmt.Sprintf("query, at %d: %s", e.Span.Start+1, e.Msg)
}

// longestShown is the longest query that is drawn, in bytes.
const longestShown = 240

// Show draws the query with a mark under the place: two lines, blanks for
// anything that has no one column of its own. A query that fills the screen is
// not drawn: "".
func (e *QueryError) Show() string {
	if len(e.Query) > longestShown {
		return ""
	}
	var line, marks strings.Builder
	for i, r := range e.Query {
		if r < ' ' || r == 0x7f {
			r = ' '
		}
		line.WriteRune(r)
		switch {
		case i < e.Span.Start:
			marks.WriteByte(' ')
		case i < max(e.Span.End, e.Span.Start+1):
			marks.WriteByte('^')
		}
	}
	if e.Span.Start >= len(e.Query) {
		marks.WriteByte('^')
	}
	return line.String() + "\n" + marks.String()
}
