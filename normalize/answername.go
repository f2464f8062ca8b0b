package normalize

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"saywatt/extract"
	"saywatt/extract/product"
	"saywatt/internal/alike"
	"saywatt/schema"
)

// Causes of a line on a name that cannot be read.
var (
	ErrNaming = errors.New(`want "names", and one of "meant", "nothing":true, "unclear":true or "reopened":true, ` +
		`with "heard" or "span" where it is no name of the product`)
	ErrNotOfNames = errors.New(`a line with "names" has no "quantity", "place", "words" or "kind"`)
	ErrNameSpan   = errors.New(`the product has no one place: leave out "span"`)
	ErrNameOf     = errors.New("no such name can be put right")
	ErrNoText     = errors.New("the name is empty")
	ErrTooLong    = fmt.Errorf("the name has more than %d letters", maxName)
	ErrUnprinted  = errors.New("the name has a character that is not printed, such as the end of a line")
	ErrBlanks     = errors.New("the name begins or ends with a blank")
	ErrNoLetter   = errors.New("the name has neither letter nor digit")
	ErrKindOf     = errors.New("unknown kind of product")
	ErrPortName   = errors.New("unknown port")
)

// Causes of a StrayAnswer on a name.
var (
	ErrNoName    = errors.New("no such name was heard")
	ErrOtherName = errors.New("it is called otherwise")
)

// maxName bounds a name, in letters. Those of products take up to 60.
const maxName = 200

// CheckName says what is wrong with a name that a person gives; of is what it
// names, one of schema.Nameables. Kinds of product and ports must be known ones.
func CheckName(of, meant string) error {
	if err := checkText(meant); err != nil {
		return err
	}
	switch of {
	case schema.NameOfKind:
		return knownName(meant, product.Kinds(), ErrKindOf)
	case schema.TermPort.String():
		return knownName(meant, extract.PortNames(), ErrPortName)
	}
	return nil
}

// checkText says what is wrong with a name of any kind.
func checkText(name string) error {
	switch {
	case strings.TrimSpace(name) == "":
		return ErrNoText
	case utf8.RuneCountInString(name) > maxName:
		return ErrTooLong
	case strings.ContainsFunc(name, func(r rune) bool { return r == utf8.RuneError || !unicode.IsPrint(r) }):
		return ErrUnprinted
	case strings.TrimSpace(name) != name:
		return ErrBlanks
	case !strings.ContainsFunc(name, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }):
		return ErrNoLetter
	}
	return nil
}

// knownName is the cause, with what may have been meant, where a name is none of
// those known.
func knownName(name string, known []string, cause error) error {
	if slices.Contains(known, name) {
		return nil
	}
	return fmt.Errorf("%w %q%s; there is %s", cause, name, alike.Meant(name, known), strings.Join(known, ", "))
}

// naming reads a line on a name; nil where the line is on something else.
func (a *answerJSON) naming() (*extract.Naming, error) {
	if a.Names == "" {
		if a.Meant != nil {
			return nil, ErrNaming
		}
		return nil, nil
	}
	if all := schema.Nameables(); !slices.Contains(all, a.Names) {
		return nil, fmt.Errorf("%w: %q%s; there is %s", ErrNameOf, cutText(a.Names), alike.Meant(cutText(a.Names), all),
			strings.Join(all, ", "))
	}
	if a.Quantity != nil || a.Place != nil || a.Lost || a.Sure || a.Words != "" || a.Kind != nil {
		return nil, ErrNotOfNames
	}
	said := 0
	for _, yes := range []bool{a.Meant != nil, a.Nothing, a.Reopened, a.Unclear} {
		if yes {
			said++
		}
	}
	_, ofProduct := schema.ProductField(a.Names)
	switch {
	case said != 1, !ofProduct && a.Span == nil && a.Heard == "":
		return nil, ErrNaming
	case ofProduct && a.Span != nil:
		return nil, ErrNameSpan
	}
	n := &extract.Naming{Of: a.Names, Heard: a.Heard}
	if a.Span != nil {
		n.Span = *a.Span
	}
	if a.Heard != "" {
		if err := checkText(a.Heard); err != nil {
			return nil, fmt.Errorf(`"heard": %w`, err)
		}
	}
	if a.Meant != nil {
		n.Meant = *a.Meant
		if err := CheckName(n.Of, n.Meant); err != nil {
			return nil, fmt.Errorf(`"meant": %w`, err)
		}
	}
	return n, nil
}

// cutText is text for a message, no longer than a name.
func cutText(s string) string {
	if utf8.RuneCountInString(s) <= maxName {
		return s
	}
	return string([]rune(s)[:maxName]) + "…"
}

// Names are the answers on names, for extract.FindGiven, in their order.
func Names(answers []Answer) []extract.Naming {
	var out []extract.Naming
	for i := range answers {
		if n := answers[i].Name; n != nil {
			out = append(out, *n)
		}
	}
	return out
}

// quantityAnswers are the answers on quantities.
func quantityAnswers(answers []Answer) []Answer {
	if !slices.ContainsFunc(answers, func(a Answer) bool { return a.Name != nil }) {
		return answers
	}
	return slices.DeleteFunc(slices.Clone(answers), func(a Answer) bool { return a.Name != nil })
}

// strayNames are the answers on names that fit nothing in a document found with
// them (extract.FindGiven).
func strayNames(d *extract.Document, answers []Answer) StrayAnswers {
	var stray StrayAnswers
	n := 0
	for i := range answers {
		a := &answers[i]
		if a.Name == nil {
			continue
		}
		var err error
		switch {
		case a.For != "" && filepath.Base(a.For) != filepath.Base(d.Transcript.Name):
			err = ErrOtherFile
		case !d.Named(n):
			err = noName(d, a.Name)
		}
		if err != nil {
			stray = append(stray, &StrayAnswer{Answer: *a, File: d.Transcript.Name, Err: err})
		}
		n++
	}
	return stray
}

// noName says why a naming fits nothing, and what was heard instead.
func noName(d *extract.Document, n *extract.Naming) error {
	if field, ok := schema.ProductField(n.Of); ok {
		called := d.Product.Called(field)
		return &nameError{ErrOtherName, called[max(0, len(called)-1):]}
	}
	var heard, others []string
	for i := range d.Terms {
		t := &d.Terms[i]
		words := d.Words(t.First, t.Last)
		switch {
		case t.Kind.String() == n.Of:
			if !slices.Contains(heard, words) {
				heard = append(heard, words)
			}
		case extract.SameName(words, n.Heard) || extract.SameName(t.Meant, n.Heard):
			others = append(others, t.Kind.String())
		}
	}
	if len(others) > 0 {
		return fmt.Errorf("%w as %s; it names a %s", ErrNoName, n.Of, others[0])
	}
	if near := alike.Nearest(n.Heard, heard, maxNear); len(near) > 0 {
		heard = near
	}
	return &nameError{fmt.Errorf("%w as %s", ErrNoName, n.Of), heard[:min(len(heard), maxNear)]}
}

// nameError is a cause with what was heard instead.
type nameError struct {
	err     error
	instead []string
}

func (e *nameError) Error() string {
	if len(e.instead) == 0 {
		return e.err.Error() + "; nothing was named"
	}
	quoted := make([]string, len(e.instead))
	for i, s := range e.instead {
		quoted[i] = fmt.Sprintf("%q", cutText(s))
	}
	return fmt.Sprintf("%v; there is %s", e.err, strings.Join(quoted, ", "))
}

func (e *nameError) Unwrap() error { return e.err }

// nameWords is what a stray answer on a name is about.
func nameWords(n *extract.Naming) string {
	words := n.Of
	if n.Heard != "" {
		words = fmt.Sprintf("%s %q", n.Of, n.Heard)
	}
	if n.Span != (schema.Span{}) {
		words += fmt.Sprintf(" at [%d,%d]", n.Span.Start, n.Span.End)
	}
	return words
}
