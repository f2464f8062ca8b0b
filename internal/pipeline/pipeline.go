// Package pipeline gives the whole story on one page: a transcript goes in, a
// record with findings comes out.
//
//	transcript → tokens → mentions → readings → record → findings
package pipeline

import (
	"fmt"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/internal/assemble"
	"saywatt/internal/glossary"
	"saywatt/normalize"
	"saywatt/normalize/channel"
	"saywatt/schema"
	"saywatt/validate"
)

// Options steer a run. The zero value is the normal way.
type Options struct {
	// Threshold is the probability above which a reading other than the
	// literal one stands as repaired, and below which a literal one is open;
	// 0 means normalize.DefaultThreshold.
	Threshold float64
	// Answers are a person's decisions on places of the source file.
	Answers []normalize.Answer
	// Odd is called with each answer that stands and may be a slip; nil for nobody.
	Odd func(*normalize.OddAnswer)
	// Learned is a person's own count of what captions do; nil none.
	Learned *channel.Learned
	// Glossary holds the names that the user knows; nil none.
	Glossary *glossary.Book
	// Gate bounds the memory that texts being read take together; nil no bound.
	Gate *Gate
}

// Run reads one transcript into a record. It keeps no state between calls and
// may run in parallel. Answers that fit nothing in the transcript are an error,
// normalize.StrayAnswers; more than extract.MaxNumbers numbers ErrTooMany.
func Run(t *transcript.Transcript, o Options) (*schema.Record, error) {
	leave, err := o.Gate.enter(t)
	if err != nil {
		return nil, err
	}
	defer leave()
	doc := survey(t, o)
	defer doc.Release()
	return read(doc, o, nil)
}

// survey is the first half of Run: what was found in the text. It hangs on the
// answers by what they say of places and names alone.
func survey(t *transcript.Transcript, o Options) *extract.Document {
	given := extract.Given{Conditions: normalize.Conditions(o.Answers),
		Names: normalize.Names(o.Answers), IsPart: o.Glossary.PartNumbers()}
	doc := extract.FindGiven(t, given)
	if doc.LacksPart() { // it may be one that was taken for a part before there were answers
		given.Conditions = nil
		plain := extract.FindGiven(t, given)
		doc.SpeakOf(plain)
		plain.Release()
	}
	if !doc.TooMany() {
		o.Glossary.Use(doc)
		doc.SettleNames()
	}
	return doc
}

// read is the second half of Run. It changes nothing in the document. What is kept
// of it may be nil.
func read(doc *extract.Document, o Options, kept *normalize.Kept) (*schema.Record, error) {
	if doc.TooMany() {
		return nil, ErrTooMany
	}
	ranker := normalize.Ranker{Threshold: o.Threshold, Answers: o.Answers, Odd: o.Odd, Learned: o.Learned, Kept: kept}
	rec := &schema.Record{Version: schema.RecordVersion, Source: source(doc.Transcript, doc)}
	var placed []assemble.Placed
	var err error
	if rec.Quantities, placed, err = ranker.Decide(doc); err != nil {
		return nil, err
	}
	if n := unweighed(placed); n > 0 {
		rec.Source.Problems = append(rec.Source.Problems,
			fmt.Sprintf("%s: %d values are tied to more others than are weighed together; "+
				"they are left open, which shorter parts of the file might not be", doc.Transcript.Name, n))
	}
	assemble.Fill(rec, doc, placed)
	rec.Findings = validate.Check(rec)
	return rec, nil
}

// unweighed counts the values that are open because the text has too much that
// relates them to others.
func unweighed(placed []assemble.Placed) int {
	n := 0
	for i := range placed {
		if placed[i].Unweighed {
			n++
		}
	}
	return n
}

// ErrTooMany is the error of a text that is full of numbers beyond anything
// that somebody says.
var ErrTooMany = fmt.Errorf("more than %d numbers, which is no recording's; cut it into parts", extract.MaxNumbers)

func source(t *transcript.Transcript, doc *extract.Document) schema.Source {
	s := schema.Source{File: t.Name, SHA256: t.Hash, Format: t.Format.String()}
	if t.Timed {
		d := schema.SecondsOf(t.Duration)
		s.Duration = &d
	}
	for _, p := range t.Parts {
		s.Parts = append(s.Parts, schema.Part{File: p.Name, SHA256: p.Hash, From: p.From,
			Start: schema.SecondsOf(p.Start)})
	}
	for _, p := range t.Problems {
		s.Problems = append(s.Problems, p.Error())
	}
	for _, span := range doc.Unread() {
		s.Problems = append(s.Problems, unread(t, span))
	}
	return s
}

// unread names a number that is too long to be read.
func unread(t *transcript.Transcript, span schema.Span) string {
	const shown = 12
	where := t.Name
	if spans := t.SourceSpans(span); len(spans) > 0 {
		line, col := t.Position(spans[0].Start)
		where = fmt.Sprintf("%s:%d:%d", where, line, col)
	}
	return fmt.Sprintf("%s: \"%s…\", a number of more than %d digits, is not read", where,
		t.Text[span.Start:span.Start+shown], extract.MaxDigits)
}
