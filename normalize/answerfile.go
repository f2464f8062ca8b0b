package normalize

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"

	"saywatt/extract"
	"saywatt/schema"
)

// answerJSON is one line of an answer file.
type answerJSON struct {
	File     string            `json:"file"`
	Heard    string            `json:"heard"`
	Span     *schema.Span      `json:"span"`
	Kind     *schema.Kind      `json:"kind"`
	Quantity *schema.Quantity  `json:"quantity"`
	Nothing  bool              `json:"nothing"`
	Place    *schema.BelongsTo `json:"place"`
	Lost     bool              `json:"place_unclear"` // nobody could tell what it belongs to
	Sure     bool              `json:"sure"`          // of another kind than what was heard, and meant
	Reopened bool              `json:"reopened"`
	Unclear  bool              `json:"unclear"`
	Words    string            `json:"words"`
	Names    string            `json:"names"` // what a name is of: one of schema.Nameables
	Meant    *string           `json:"meant"` // the name
	Note     string            `json:"note"`
	When     string            `json:"when"`
	Who      string            `json:"who"`
	Act      int               `json:"act"`
	How      string            `json:"how"`
}

// decides counts what a line decides; it has to be one thing.
func (a *answerJSON) decides() int {
	said, belongs := 0, 0
	for _, yes := range []bool{a.Quantity != nil, a.Nothing, a.Reopened, a.Unclear, a.Words != ""} {
		if yes {
			said++
		}
	}
	for _, yes := range []bool{a.Place != nil, a.Lost} {
		if yes {
			belongs++
		}
	}
	// What it belongs to stands alone, or beside what was said.
	if belongs == 1 && (said == 0 || a.Quantity != nil || a.Unclear) {
		return max(said, 1)
	}
	return said + belongs
}

// RewordedNote is the note of a line that takes back a wording.
const RewordedNote = "wording"

// OnWords reports whether a line of an answer file is on what the captions should
// say, and not on what was said: it has words, or takes some back.
func OnWords(words string, reopened bool, note string) bool {
	return words != "" || reopened && note == RewordedNote
}

// A Wording is what a person said the captions should say at a place. It is no
// answer: what was said there is read from the words heard.
type Wording struct {
	Span  schema.Span
	Heard string // the words that stand there
	Words string // those that should
	From  string // where the decision stands, for messages
}

// takeBack leaves out the answers that a line reopens: those of its place, of
// its kind only where two quantities share the place.
func (a *answerJSON) takeBack(answers []Answer) []Answer {
	return slices.DeleteFunc(answers, func(b Answer) bool {
		return b.Name == nil && b.Span == *a.Span &&
			(a.Kind == nil || b.Quantity == nil || b.Quantity.Unit.Kind() == *a.Kind)
	})
}

// An AnswerError says which line of a file of decisions cannot be read.
type AnswerError struct {
	File string
	Line int
	Err  error
}

func (e *AnswerError) Error() string { return fmt.Sprintf("%s:%d: %v", e.File, e.Line, e.Err) }
func (e *AnswerError) Unwrap() error { return e.Err }

// ReadAnswers reads decisions as JSON Lines, one a line:
//
//	{"span":[715,723],"quantity":{"value":3.25,"unit":"A"}}
//	{"span":[40,44],"nothing":true,"note":"a price"}
//	{"span":[88,96],"place":{"to":"level.output","port":"USB-C1"}}
//	{"names":"maker","heard":"tar nell","meant":"Tarnel"}
//	{"names":"product.kind","meant":"power bank"}
//
// span is that of the quantity in the record (or of the words in the source
// file), quantity what was said there; nothing says that no quantity was. place
// says what it belongs to, in the words of Said.Belongs, alone or beside a
// quantity: "to" is a row of extract/place/tables/classes.tsv, "port" that of a
// level or power, or "none", "part" the kind of part; left out, port and part are
// inferred. Value and place may stand on two lines; the last of each counts. unclear
// and place_unclear say that somebody could not tell; they answer nothing. sure
// says that a quantity of another kind than what was heard is meant (OddAnswer). file
// and heard may stand beside them, as in a line of the readings; an answer is
// then refused for a file of another name, or where other words were heard.
//
// names says that the line is on a name, and of what: of a field of the product
// ("product.name", "product.maker", "product.kind", "product.model"), or of what
// Record.Terms has as a "maker", "part", "package", "protocol" or "port". meant is
// the name as it is to stand (CheckName says which can), nothing that nothing of the
// sort was named, unclear that somebody could not tell. heard is what was heard, or
// what it stands as without the line, whatever its case; the line is of every place
// where that was named, and a span narrows it to one. Of the product, heard may be
// left out, and there is no span. The last line on the same thing stands, and
// reopened takes back those before. A name that was never heard is refused when
// the captions are read (ErrNoName, ErrOtherName). A line on the words of captions
// and one on a name may be of the same place: they do not touch.
//
// What cannot be read is an *AnswerError.
func ReadAnswers(r io.Reader, name string) ([]Answer, error) {
	decisions, err := ReadDecisions(r, name)
	if err != nil {
		return nil, err
	}
	answers, _ := Standing(decisions)
	return answers, nil
}

// A Decision is a line of an answer file.
type Decision struct {
	For  string // name of the file meant; "" for whichever is read
	From string // where it stands, for messages
	Text []byte // the line, without its end
	line answerJSON
	name *extract.Naming // of a line on a name
}

// Answers reports whether the decision is an answer: others are taken back, not
// clear, or on words.
func (d *Decision) Answers() bool {
	a := &d.line
	return a.Words == "" && !a.Reopened && (a.Place != nil || a.Quantity != nil || a.Nothing || a.Meant != nil)
}

// ReadDecisions reads what ReadAnswers does, line by line: lines of several files
// on one review are joined before it is known what stands.
func ReadDecisions(r io.Reader, name string) ([]Decision, error) {
	var all []Decision
	s := bufio.NewScanner(r)
	s.Buffer(nil, 1<<20)
	for line := 1; s.Scan(); line++ {
		text := bytes.TrimSpace(s.Bytes())
		if len(text) == 0 {
			continue
		}
		var a answerJSON
		d := json.NewDecoder(bytes.NewReader(text))
		d.DisallowUnknownFields()
		if err := d.Decode(&a); err != nil {
			return nil, &AnswerError{name, line, err}
		}
		if _, err := d.Token(); err != io.EOF {
			return nil, &AnswerError{name, line, schema.ErrTrailing}
		}
		if err := schema.CheckKeys(text); err != nil {
			return nil, &AnswerError{name, line, err}
		}
		n, err := a.naming()
		switch {
		case err != nil:
		case n == nil && (a.Span == nil || a.decides() != 1):
			err = ErrAnswer
		case a.Quantity != nil && a.Quantity.Falls():
			err = fmt.Errorf("%w: %v", ErrFalls, a.Quantity)
		case a.Place != nil:
			_, err = parsePlace(a.Place.To)
		}
		if err != nil {
			return nil, &AnswerError{name, line, err}
		}
		all = append(all, Decision{a.File, fmt.Sprintf("%s:%d", name, line), bytes.Clone(text), a, n})
	}
	if err := s.Err(); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return all, nil
}

// Standing are the answers and the wordings that stand after all decisions on one
// review, in their order. Of wordings that overlap the last stands.
func Standing(decisions []Decision) (answers []Answer, wordings []Wording) {
	for i := range decisions {
		d := &decisions[i]
		a := &d.line
		switch {
		case d.name != nil:
			answers = d.standName(answers)
		case OnWords(a.Words, a.Reopened, a.Note):
			wordings = slices.DeleteFunc(wordings, func(w Wording) bool { return w.Span == *a.Span })
			if !a.Reopened {
				wordings = append(wordings, Wording{Span: *a.Span, Heard: a.Heard, Words: a.Words, From: d.From})
			}
		case a.Reopened:
			answers = a.takeBack(answers)
		case d.Answers():
			answers = append(answers, Answer{Span: *a.Span, Quantity: a.Quantity, Place: a.Place, Heard: a.Heard,
				For: d.For, From: d.From, Sure: a.Sure})
		}
	}
	return answers, lastOf(wordings)
}

// standName puts a decision on a name behind the answers, in the place of what was
// said of the same before.
func (d *Decision) standName(answers []Answer) []Answer {
	answers = slices.DeleteFunc(answers, func(b Answer) bool { return b.Name != nil && b.Name.Same(d.name) })
	if d.Answers() {
		answers = append(answers, Answer{Span: d.name.Span, Heard: d.name.Heard, Name: d.name, For: d.For,
			From: d.From})
	}
	return answers
}

// lastOf leaves out the wordings that a later one overlaps: both cannot be written.
func lastOf(wordings []Wording) []Wording {
	var stand []Wording
	for _, w := range slices.Backward(wordings) {
		if !slices.ContainsFunc(stand, func(later Wording) bool { return later.Span.Overlaps(w.Span) }) {
			stand = append(stand, w)
		}
	}
	slices.Reverse(stand)
	return stand
}

// ErrFalls is the cause of an answer whose range is upside down.
var ErrFalls = errors.New("the low end of the range is above its high one")

// ErrAnswer is the cause of an answer that decides nothing.
var ErrAnswer = errors.New(`want "span", and "quantity", "place" or both, or "nothing":true; or "names" and "meant"`)
