package query

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"saywatt/internal/typed"
	"saywatt/schema"
)

// Query is a query that was read. Its String is a query that reads as the
// same.
type Query struct {
	Root  Node // nil finds everything
	text  string
	Notes []string // what a person may have meant otherwise
}

func (q *Query) String() string {
	if q == nil || q.Root == nil {
		return ""
	}
	var b strings.Builder
	q.Root.Write(&b)
	return b.String()
}

// A Node is a part of a query: *And, *Or, *Not, *Word, *Field, *Condition or *Item.
type Node interface {
	// Write adds the node as a query that reads as the same.
	Write(b *strings.Builder)
}

// The composite nodes: all of the kids must hold, or one of them, or the kid must not.
type (
	And struct{ Kids []Node }
	Or  struct{ Kids []Node }
	Not struct {
		Kid Node
		at  schema.Span
	}
)

// A Word is a word, or a phrase in quotation marks.
type Word struct {
	Text   string
	Quoted bool
	Prefix bool // any ending
	at     schema.Span

	Near []string // words taken instead, where nothing is called by it
}

// A Field is field:value.
type Field struct {
	Field  string // a name of fields.tsv
	Value  string
	Prefix bool // any ending
	at     schema.Span

	Near []string // values taken instead, where none is called so
}

// A Condition is an interval that some value of the subject meets.
type Condition struct {
	group string // words, "" for none
	prop  string // words, "" for none
	Low   Bound
	High  Bound
	Unit  schema.Unit
	at    schema.Span

	Path string // of the values, resolved
}

// A Bound is one end of an interval.
type Bound struct {
	Value     schema.Decimal // in the unit of the condition
	Unbounded bool
	Open      bool // the end itself is not in
}

// InBase gives the bounds in the base unit of what the condition is about.
func (n *Condition) InBase() (low, high Bound) {
	low, high = n.Low, n.High
	low.Value, _ = SI(low.Value, n.Unit)
	high.Value, _ = SI(high.Value, n.Unit)
	return low, high
}

// An Item is level:"…" or part:"…".
type Item struct {
	Item  string    // level or part
	text  string    // as typed
	Words []string  // folded, wanted in the level or part
	Exact []Element // values wanted in it
	at    schema.Span
}

// An Element is a value wanted in an item.
type Element struct {
	Quantity schema.Quantity
}

// Write is of [Node].
func (n *And) Write(b *strings.Builder) { join(b, n.Kids, " and ") }

// Write is of [Node].
func (n *Or) Write(b *strings.Builder) { join(b, n.Kids, " or ") }

func join(b *strings.Builder, kids []Node, between string) {
	for i, k := range kids {
		if i > 0 {
			b.WriteString(between)
		}
		group(b, k)
	}
}

// group writes a node, in parentheses where it has parts of its own.
func group(b *strings.Builder, n Node) {
	switch n.(type) {
	case *And, *Or:
		b.WriteByte('(')
		n.Write(b)
		b.WriteByte(')')
	default:
		n.Write(b)
	}
}

// Write is of [Node].
func (n *Not) Write(b *strings.Builder) {
	b.WriteString("not ")
	group(b, n.Kid)
}

// Write is of [Node].
func (n *Word) Write(b *strings.Builder) { writeWord(b, n.Text, n.Quoted, n.Prefix) }

// Write is of [Node].
func (n *Field) Write(b *strings.Builder) {
	b.WriteString(n.Field + ":")
	writeWord(b, n.Value, !n.Prefix, n.Prefix)
}

// Write is of [Node].
func (n *Item) Write(b *strings.Builder) {
	b.WriteString(n.Item + ":")
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
func (n *Condition) subject() string {
	return strings.TrimSpace(n.group + " " + n.prop)
}

// Write is of [Node].
func (n *Condition) Write(b *strings.Builder) {
	if s := n.subject(); s != "" {
		b.WriteString(s + " ")
	}
	unit := ""
	if n.Unit != "" {
		unit = " " + typed.Spell(n.Unit)
	}
	switch {
	case n.Low.Unbounded && n.High.Open:
		fmt.Fprintf(b, "< %s", n.High.Value)
	case n.Low.Unbounded:
		fmt.Fprintf(b, "<= %s", n.High.Value)
	case n.High.Unbounded && n.Low.Open:
		fmt.Fprintf(b, "> %s", n.Low.Value)
	case n.High.Unbounded:
		fmt.Fprintf(b, ">= %s", n.Low.Value)
	case n.Low.Value.Equal(n.High.Value):
		fmt.Fprintf(b, "= %s", n.Low.Value)
	default:
		fmt.Fprintf(b, "%s..%s", n.Low.Value, n.High.Value)
	}
	b.WriteString(unit)
}

// Leaves gives every leaf that counts for a find, those under "not" left out.
func Leaves(n Node, f func(Node)) {
	switch n := n.(type) {
	case nil, *Not:
	case *And:
		for _, k := range n.Kids {
			Leaves(k, f)
		}
	case *Or:
		for _, k := range n.Kids {
			Leaves(k, f)
		}
	default:
		f(n)
	}
}

// InQuotes says, where nothing was found, that a value looked for may be the
// words of captions that were read otherwise: "325 amps" of 3.25 A.
func InQuotes(query string, root Node) (notes []string) {
	Leaves(root, func(n Node) {
		c, ok := n.(*Condition)
		if !ok || c.subject() != "" || c.Low.Unbounded || c.High.Unbounded || !c.Low.Value.Equal(c.High.Value) {
			return
		}
		words := strings.Trim(strings.TrimSpace(query[c.at.Start:c.at.End]), "= ")
		notes = append(notes, fmt.Sprintf(`%s is looked for as a value; words as they were heard stand in quotation marks: "%s"`,
			words, words))
	})
	return notes
}

// A Error is a query that cannot be read.
type Error struct {
	Query string
	Span  schema.Span // bytes of the query that are meant
	Msg   string
	Hint  string // what to write instead, "" where nothing comes to mind
}

func (e *Error) Error() string {
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
func (e *Error) Show() string {
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

// Find gives the places in a text that the word or phrase is at.
func (n *Word) Find(text string) []schema.Span {
	wanted := [][]string{Words(n.Text)}
	for _, near := range n.Near {
		wanted = append(wanted, strings.Split(near, " "))
	}
	var found []schema.Span
	have := Tokens(text)
	for _, want := range wanted {
		for i := 0; i+len(want) <= len(have); i++ {
			if isRun(have[i:i+len(want)], want, n.Prefix) {
				found = append(found, schema.Span{Start: have[i].start, End: have[i+len(want)-1].end})
			}
		}
	}
	slices.SortFunc(found, func(a, b schema.Span) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.End, b.End))
	})
	return found
}

func isRun(have []token, want []string, prefix bool) bool {
	for i := range want {
		last := i == len(want)-1
		if have[i].text != want[i] && !(last && prefix && strings.HasPrefix(have[i].text, want[i])) {
			return false
		}
	}
	return true
}

// Wants reports whether a value is what the field should have.
func (n *Field) Wants(value string) bool {
	wanted := append([]string{Folded(n.Value)}, n.Near...)
	w := Words(value)
	for i := range w {
		rest := strings.Join(w[i:], " ")
		for _, want := range wanted {
			if rest == want || strings.HasPrefix(rest, want) && (n.Prefix || rest[len(want)] == ' ') {
				return true
			}
		}
	}
	return false
}
