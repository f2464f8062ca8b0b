package transcript

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"time"

	"saywatt/schema"
)

// A Part is one file of a transcript that was joined of several.
type Part struct {
	Name  string
	Hash  string        // SHA-256 of the file
	From  int           // where its bytes begin in Source
	Start time.Duration // when it begins
}

// joint is the name of a joined transcript: those of its parts, with this
// between them.
const joint = "+"

// ErrJoin says that files cannot be joined.
var ErrJoin = errors.New("the parts cannot be joined")

// Join makes one transcript of the parts of one recording, in the order given,
// as if it had been one file: Source is the bytes of all, one after another,
// and each part begins when the one before it ends. Parts must be UTF-8, and
// all of them timed, or none.
func Join(parts ...*Transcript) (*Transcript, error) {
	if len(parts) == 1 {
		return parts[0], nil
	}
	if len(parts) == 0 {
		return nil, fmt.Errorf("%w: there is none", ErrJoin)
	}
	j := &Transcript{Format: parts[0].Format, Encoding: "utf-8", Timed: parts[0].Timed, Language: parts[0].Language}
	var names []string
	for _, p := range parts {
		if p.src.marks != nil {
			return nil, fmt.Errorf("%s: %w: it is %s; save it as UTF-8", p.Name, ErrJoin, p.Encoding)
		}
		if p.Timed != j.Timed {
			return nil, fmt.Errorf("%s: %w: some have times and some have none", p.Name, ErrJoin)
		}
		if len(j.Source)+len(p.Source) > maxSource {
			return nil, fmt.Errorf("%s: %w: %w", p.Name, ErrJoin, ErrTooBig)
		}
		names = append(names, p.Name)
		j.append(p)
	}
	j.Name = strings.Join(names, joint)
	j.Hash = HashOf(j.Source)
	j.src = &source{name: j.Name, raw: j.Source, text: j.Source, encoding: j.Encoding, starts: lineStarts(j.Source)}
	return j, nil
}

// append adds what one part says behind what is there.
func (t *Transcript) append(p *Transcript) {
	if len(t.Text) > 0 && len(p.Text) > 0 {
		t.Text = append(t.Text, "\n\n"...)
	}
	at := offsets{text: len(t.Text), source: len(t.Source), cue: len(t.Cues), again: int32(len(t.again)),
		time: t.Duration}
	t.Parts = append(t.Parts, Part{Name: p.Name, Hash: p.Hash, From: at.source, Start: at.time})
	t.Text, t.Source = append(t.Text, p.Text...), append(t.Source, p.Source...)
	if !bytes.HasSuffix(t.Source, []byte("\n")) {
		t.Source = append(t.Source, '\n')
	}
	for _, c := range p.Cues {
		c.Index += at.cue
		c.Start, c.End = c.Start+at.time, c.End+at.time
		c.Text, c.Source = at.shift(c.Text, at.text), at.shift(c.Source, at.source)
		t.Cues = append(t.Cues, c)
	}
	t.pieces = at.pieces(t.pieces, p.pieces, p.src.shift)
	t.again = at.pieces(t.again, p.again, p.src.shift)
	for _, r := range p.repeats {
		r.text, r.cue, r.from, r.to = at.shift(r.text, at.text), r.cue+at.cue, r.from+at.again, r.to+at.again
		t.repeats = append(t.repeats, r)
	}
	for _, s := range p.stamps {
		t.stamps = append(t.stamps, stamp{s.text + at.text, s.at + at.time})
	}
	t.Problems = append(t.Problems, p.Problems...)
	if t.foreign == "" {
		t.foreign = p.foreign
	}
	t.Taken = t.Taken || p.Taken
	t.Duration += p.Duration
}

// offsets are where a part begins in the whole.
type offsets struct {
	text, source, cue int
	again             int32
	time              time.Duration
}

func (offsets) shift(s schema.Span, by int) schema.Span {
	return schema.Span{Start: s.Start + by, End: s.End + by}
}

// pieces adds those of a part; shift is where its text begins in its bytes.
func (o offsets) pieces(to, of []piece, shift int) []piece {
	for _, p := range of {
		to = append(to, piece{p.text + int32(o.text), p.src + int32(o.source+shift), p.n, p.m})
	}
	return to
}
