package edit

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"saywatt/extract/transcript"
	"saywatt/schema"
)

// The list of changes and of the places left to a person, as an editor gets it
// and hands it back: CSV (RFC 4180, lines ending in CRLF) or a Markdown table,
// in the order of the file, with the columns
//
//	accept      yes or no; only rows with yes are applied. Places left say no
//	at          seconds, start of the cue; empty where untimed
//	before      words as heard
//	after       words as corrected, of a place left those of its likeliest
//	            reading; may be rewritten by the editor
//	why         reasons, with their sources
//	confidence  probability of the reading, 0 to 1; empty for a term
//	link        address of the moment, or its W3C Media Fragment
//	said        number of the quantity in the record; empty for a term
//	span        bytes of the words in the source, as 715..723; must not be changed
//	left        of a place left what it may be and why it is left; empty for a change
//
// Reading takes the columns in any order and needs accept, before, after and
// span only. A cell that a spreadsheet would take for a formula has an
// apostrophe in front.
var columns = []string{"accept", "at", "before", "after", "why", "confidence", "link", "said", "span", "left"}

// Link writes the address of a moment: pattern with {s} replaced by the whole
// seconds, or the Media Fragment where there is no pattern.
func Link(c *Change, pattern string) string {
	if pattern == "" || c.At == nil {
		return c.Media
	}
	return strings.ReplaceAll(pattern, "{s}", strconv.FormatInt(int64(*c.At)/1000, 10))
}

func row(c *Change, pattern string) []string {
	at, confidence, said := "", "", ""
	if c.At != nil {
		at = c.At.String()
	}
	if c.Confidence > 0 {
		confidence = strconv.FormatFloat(c.Confidence, 'f', 3, 64)
	}
	if c.Said > 0 {
		said = strconv.Itoa(c.Said)
	}
	span := fmt.Sprintf("%d..%d", c.Span.Start, c.Span.End)
	return []string{"yes", at, c.Before, c.After, c.Why, confidence, Link(c, pattern), said, span, ""}
}

// leftRow is the row of a place left. Nothing of it is made unless an editor
// says yes.
func leftRow(l *Left, pattern string) []string {
	cells := row(l.change(), pattern)
	cells[0], cells[len(cells)-1] = "no", l.why()
	return cells
}

// change is the change that would be made of a place left.
func (l *Left) change() *Change {
	return &Change{Said: l.Said, At: l.At, Media: l.Media, Span: l.Span, Before: l.Before, After: l.After,
		Why: l.Why, Confidence: l.Confidence}
}

// why is what a place left may be, and why it is left.
func (l *Left) why() string {
	if l.Note != "" {
		return l.Note + "; " + l.Err.Error()
	}
	return l.Err.Error()
}

// inOrder goes through changes and places left as they stand in the file.
func inOrder(changes []Change, left []Left, change func(*Change) error, leave func(*Left) error) (err error) {
	for err == nil && len(changes)+len(left) > 0 {
		if len(left) == 0 || len(changes) > 0 && changes[0].Span.Start <= left[0].Span.Start {
			err, changes = change(&changes[0]), changes[1:]
		} else {
			err, left = leave(&left[0]), left[1:]
		}
	}
	return err
}

// rows are those of a whole list.
func rows(changes []Change, left []Left, pattern string) [][]string {
	var all [][]string
	inOrder(changes, left,
		func(c *Change) error { all = append(all, row(c, pattern)); return nil },
		func(l *Left) error { all = append(all, leftRow(l, pattern)); return nil })
	return all
}

// WriteCSV writes the list of changes and places left as CSV. link is a
// pattern, see Link.
func WriteCSV(w io.Writer, changes []Change, left []Left, link string) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	c.Write(columns)
	for _, cells := range rows(changes, left, link) {
		for k := range cells {
			cells[k] = guard(oneLine(cells[k]))
		}
		c.Write(cells)
	}
	c.Flush()
	return c.Error()
}

// WriteMarkdown writes the list as a table.
func WriteMarkdown(w io.Writer, changes []Change, left []Left, link string) error {
	var b bytes.Buffer
	line := func(cells []string) {
		for _, c := range cells {
			b.WriteString("| " + cellEscapes.Replace(oneLine(c)) + " ")
		}
		b.WriteString("|\n")
	}
	line(columns)
	b.WriteString(strings.Repeat("|---", len(columns)) + "|\n")
	for _, cells := range rows(changes, left, link) {
		line(cells)
	}
	_, err := w.Write(b.Bytes())
	return err
}

var (
	cellEscapes   = strings.NewReplacer(`\`, `\\`, `|`, `\|`, "<", "&lt;")
	cellUnescapes = strings.NewReplacer(`\\`, `\`, `\|`, `|`, "&lt;", "<")
)

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// guard puts an apostrophe before what a spreadsheet takes for a formula
// (common practice, no standard), and before an apostrophe that would be taken
// for one of these.
func guard(s string) string {
	if s != "" && strings.ContainsAny(s[:1], "=+-@'") || strings.HasPrefix(s, "＝") || strings.HasPrefix(s, "＋") ||
		strings.HasPrefix(s, "－") || strings.HasPrefix(s, "＠") {
		return "'" + s
	}
	return s
}

// Errors of a list.
var (
	errColumn = errors.New("the column is missing")
	errAccept = errors.New("accept is neither yes nor no")
	errSpan   = errors.New("the span is not of the form 715..723")
	errSaid   = errors.New("said is no number of a quantity")
	errAfter  = errors.New("there are no words after")
	errList   = errors.New("neither CSV, a Markdown table nor JSON Lines")
)

// A listError is a row of a list that cannot be read or applied.
type listError struct {
	Line   int
	Detail string
	Err    error
}

func (e *listError) Error() string {
	if e.Detail == "" {
		return fmt.Sprintf("line %d: %v", e.Line, e.Err)
	}
	return fmt.Sprintf("line %d: %v: %q", e.Line, e.Err, e.Detail)
}

func (e *listError) Unwrap() error { return e.Err }

// An Item is a row of a list as handed back.
type Item struct {
	Line          int    // of the list, from 1
	From          string // where it stands, of one that is of no list
	Accept        bool
	Before, After string
	Span          schema.Span
	Said          int // number of the quantity; 0 for a term, NotSaid where the list does not say
}

// NotSaid is the number of a quantity where a list has none for anything.
const NotSaid = -1

// ReadList reads a list of changes, CSV (commas or semicolons), Markdown or JSON
// Lines; its first line says which. Errors are *listError.
func ReadList(r io.Reader) ([]Item, error) {
	b, err := io.ReadAll(io.LimitReader(r, transcript.DefaultMaxBytes))
	if err != nil {
		return nil, err
	}
	b = bytes.TrimPrefix(b, []byte("\ufeff"))
	if bytes.HasPrefix(bytes.TrimSpace(b), []byte("{")) {
		return readJSONList(b)
	}
	rows, lines, err := listRows(b)
	if err != nil {
		return nil, err
	}
	if len(rows) == 0 {
		return nil, &listError{1, "", errList}
	}
	index := map[string]int{}
	for i, name := range rows[0] {
		index[strings.ToLower(strings.TrimSpace(name))] = i
	}
	for _, name := range []string{"accept", "before", "after", "span"} {
		if _, ok := index[name]; !ok {
			return nil, &listError{lines[0], name, errColumn}
		}
	}
	var items []Item
	_, hasSaid := index["said"]
	for i, cells := range rows[1:] {
		get := func(name string) string {
			if k := index[name]; k < len(cells) {
				return strings.TrimSpace(cells[k])
			}
			return ""
		}
		it := Item{Line: lines[i+1], Before: get("before"), After: get("after")}
		if it.Accept, err = accepted(get("accept")); err != nil {
			return nil, &listError{it.Line, get("accept"), err}
		}
		if it.Span, err = parseSpan(get("span")); err != nil {
			return nil, &listError{it.Line, get("span"), err}
		}
		if it.Said = NotSaid; hasSaid {
			if it.Said, err = parseSaid(get("said")); err != nil {
				return nil, &listError{it.Line, get("said"), err}
			}
		}
		items = append(items, it)
	}
	return items, nil
}

func listRows(b []byte) (rows [][]string, lines []int, err error) {
	first, _, _ := bytes.Cut(bytes.TrimLeft(b, "\r\n"), []byte("\n"))
	if bytes.HasPrefix(first, []byte("|")) {
		n := 0
		for line := range bytes.Lines(b) {
			n++
			s := strings.TrimSpace(string(line))
			if !strings.HasPrefix(s, "|") || len(rows) == 1 && strings.Trim(s, "|-: ") == "" {
				continue
			}
			rows, lines = append(rows, markdownCells(s)), append(lines, n)
		}
		return rows, lines, nil
	}
	c := csv.NewReader(bytes.NewReader(b))
	if bytes.IndexByte(first, ',') < 0 && bytes.IndexByte(first, ';') >= 0 {
		c.Comma = ';'
	}
	c.FieldsPerRecord = -1
	for {
		cells, err := c.Read()
		if err == io.EOF {
			return rows, lines, nil
		}
		var bad *csv.ParseError
		if errors.As(err, &bad) {
			return nil, nil, &listError{bad.Line, "", bad.Err}
		} else if err != nil {
			return nil, nil, err
		}
		for i, s := range cells {
			if s = strings.TrimPrefix(s, "'"); len(s) < len(cells[i]) && guard(s) == cells[i] {
				cells[i] = s
			}
		}
		line, _ := c.FieldPos(0)
		rows, lines = append(rows, cells), append(lines, line)
	}
}

// markdownCells cuts a row of a table at the bars that are not escaped.
func markdownCells(line string) []string {
	line = strings.TrimPrefix(line, "|")
	var cells []string
	from := 0
	for i := 0; i < len(line); i++ {
		switch line[i] {
		case '\\':
			i++
		case '|':
			cells = append(cells, cellUnescapes.Replace(strings.TrimSpace(line[from:i])))
			from = i + 1
		}
	}
	return cells
}

func accepted(s string) (bool, error) {
	switch strings.ToLower(s) {
	case "yes", "y", "x", "[x]", "true", "1":
		return true, nil
	case "no", "n", "", "[ ]", "false", "0":
		return false, nil
	}
	return false, errAccept
}

// parseSaid reads the number of a quantity; none is that of a term.
func parseSaid(s string) (int, error) {
	if s == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 {
		return 0, errSaid
	}
	return n, nil
}

func parseSpan(s string) (schema.Span, error) {
	from, to, ok := strings.Cut(s, "..")
	a, err1 := strconv.Atoi(from)
	b, err2 := strconv.Atoi(to)
	if !ok || err1 != nil || err2 != nil || a < 0 || b < a {
		return schema.Span{}, errSpan
	}
	return schema.Span{Start: a, End: b}, nil
}

// wrong is an error of an item.
func (it *Item) wrong(err error) error {
	if it.From != "" {
		return fmt.Errorf("%s: %w: %q", it.From, err, it.Before)
	}
	return &listError{it.Line, it.Before, err}
}

// ForList makes the changes that a list accepts. A row whose words do not
// stand at its span is a *listError with errStale: the list is of another file
// or of another state of it. What touches another change, or would empty a
// line, is left.
func ForList(items []Item, t *transcript.Transcript) ([]Change, []Left, error) {
	c := collector{t: t}
	for _, it := range items {
		switch {
		case !it.Accept:
			continue
		case it.After == "":
			return nil, nil, it.wrong(errAfter)
		case it.Before == "": // a mark is no correction
			continue
		}
		var before []word
		if it.Span.End <= len(t.Source) {
			text := textSpan(t, it.Span)
			before = wordsOf(t.Text[text.Start:text.End], text.Start)
		}
		if len(before) == 0 || !sameWords(join(before), it.Before) {
			return nil, nil, it.wrong(errStale)
		}
		ch := Change{Why: "accepted", Said: it.Said, At: t.Moment(before[0].span.Start)}
		c.add(before, wordsOf([]byte(it.After), 0), ch, "")
	}
	return c.changes, c.left, nil
}
