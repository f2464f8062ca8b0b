// Package line writes text for a terminal, or a file that looks like one: runs of
// text, each in a style, as lines no wider than a number of columns.
//
// A [Look] says how wide lines are, whether they have colours, and whether they stay
// within ASCII; its [Writer] wraps and paints. What a value's status looks like is
// said here once ([Mark], [Doubted]), so that the sheet, an article made of its runs
// and the lists of rules agree. Whatever the text held, a terminal is shown no control
// character of it.
package line

import (
	"bufio"
	"io"
	"strings"

	"saywatt/internal/export/word"
)

// A Style is what a run of text is, for colour.
type Style uint8

// The styles.
const (
	StylePlain Style = iota
	StyleTitle
	StyleLabel
	StyleFaint    // beside the point: times, sources, words heard
	StyleRepaired // a value changed with confidence
	StyleOpen     // a value that needs a person
	StyleSettled
	StyleGrave   // an error, a caution
	styleWarning // a warning
)

// styleCodes are the SGR parameters of each style (ECMA-48, 8.3.117), from the
// eight colours every terminal has, so that its own palette decides.
var styleCodes = [...]string{"", "1", "1", "2", "33", "1;35", "32", "1;31", "33"}

// A Run is a stretch of text in one style. A blank may become a line break, a
// no-break space not.
type Run struct {
	Text  string
	Style Style
}

// These are text in a style.
func Plain(text string) Run    { return Run{text, StylePlain} }
func Title(text string) Run    { return Run{text, StyleTitle} }
func Label(text string) Run    { return Run{text, StyleLabel} }
func Faint(text string) Run    { return Run{text, StyleFaint} }
func Repaired(text string) Run { return Run{text, StyleRepaired} }
func Open(text string) Run     { return Run{text, StyleOpen} }

// Styled is text in any style.
func Styled(text string, s Style) Run { return Run{text, s} }

// MinRoom is the least room for text beside a head, in columns.
const MinRoom = 16

// A Look is how lines look. The zero value is plain Unicode of 80 columns.
type Look struct {
	Width int  // columns; 0 means 80, less than 40 counts as 40
	ASCII bool // no character beyond ASCII
	Color bool // SGR colours
}

// Writer returns a writer of lines of this look to w.
func (k Look) Writer(w io.Writer) *Writer {
	width := k.Width
	if width == 0 {
		width = 80
	}
	return &Writer{w: w, Width: max(width, 40), ASCII: k.ASCII, color: k.Color}
}

// A Writer writes runs as lines no wider than width columns.
type Writer struct {
	w     io.Writer
	Width int  // columns
	ASCII bool // no character beyond ASCII
	color bool
	Err   error // the first of writing
}

// stretch is what stands between two blanks.
type stretch struct {
	runs  []Run
	width int
}

// Text prepares text for the terminal: see word.Printable, word.ASCII.
func (l *Writer) Text(s string) string {
	s = word.Printable(s)
	if l.ASCII {
		s = word.ASCII(s)
	}
	return s
}

// Label prepares text and shortens it to n columns.
func (l *Writer) Label(s string, n int) string {
	if l.ASCII {
		return word.CutWith(l.Text(s), n, "...")
	}
	return word.Cut(l.Text(s), n)
}

// Flow writes runs after a head that takes headWidth columns, and wraps them
// under their own start. Words wider than a line are cut.
func (l *Writer) Flow(head string, headWidth int, runs []Run) {
	room := max(l.Width-headWidth, MinRoom)
	var b strings.Builder
	b.WriteString(head)
	used := 0
	for _, w := range l.words(runs, room) {
		switch {
		case used > 0 && used+1+w.width > room:
			l.Line(b.String())
			b.Reset()
			b.WriteString(strings.Repeat(" ", headWidth))
			used = 0
		case used > 0:
			b.WriteByte(' ')
			used++
		}
		for _, r := range w.runs {
			b.WriteString(l.Paint(r.Text, r.Style))
		}
		used += w.width
	}
	l.Line(b.String())
}

// Line writes one line, blanks at its end dropped.
func (l *Writer) Line(s string) {
	if l.Err != nil {
		return
	}
	_, l.Err = io.WriteString(l.w, strings.TrimRight(strings.ReplaceAll(s, word.NBSP, " "), " ")+"\n")
}

// Paint colours text where colour is wanted.
func (l *Writer) Paint(s string, st Style) string {
	if !l.color || st == StylePlain || s == "" {
		return s
	}
	return "\x1b[" + styleCodes[st] + "m" + s + "\x1b[0m"
}

func (l *Writer) words(runs []Run, room int) []stretch {
	var all []stretch
	var w stretch
	end := func() {
		if w.width > 0 {
			all = append(all, w)
		}
		w = stretch{}
	}
	add := func(s string, st Style) {
		for s != "" {
			head := word.Fitting(s, room-w.width)
			if head == "" {
				end()
				continue
			}
			w.runs = append(w.runs, Run{head, st})
			w.width += word.Columns(head)
			s = s[len(head):]
		}
	}
	for _, r := range runs {
		for i, part := range strings.Split(l.Text(r.Text), " ") {
			if i > 0 {
				end()
			}
			if n := word.Columns(part); n <= room && w.width+n > room {
				end()
			}
			add(part, r.Style)
		}
	}
	end()
	return all
}

// Rows writes rows of two columns, the second aligned and wrapped under
// itself. A head that leaves no room beside it stands on a line of its own.
func (l *Writer) Rows(rows [][2]string) {
	width := 0
	for i := range rows {
		rows[i][0] = l.Text(rows[i][0])
		width = max(width, word.Columns(rows[i][0]))
	}
	width = min(width+2, l.Width-MinRoom)
	for _, r := range rows {
		head := word.Padded(r[0], width)
		if word.Columns(r[0]) > width-2 {
			l.Line(r[0])
			head = strings.Repeat(" ", width)
		}
		l.Flow(head, width, []Run{Plain(word.KeepUnits(r[1]))})
	}
}

// Finish writes out what b holds, and reports the first error of writing.
func (l *Writer) Finish(b *bufio.Writer) error {
	if l.Err != nil {
		return l.Err
	}
	return b.Flush()
}
