package export

import (
	"bufio"
	"io"
	"strings"

	"saywatt/internal/export/word"
)

// A style is what a run of text is, for colour.
type style uint8

const (
	stylePlain style = iota
	styleTitle
	styleLabel
	styleFaint    // beside the point: times, sources, words heard
	styleRepaired // a value changed with confidence
	styleOpen     // a value that needs a person
	styleSettled
	styleGrave   // an error, a caution
	styleWarning // a warning
)

// styleCodes are the SGR parameters of each style (ECMA-48, 8.3.117), from the
// eight colours every terminal has, so that its own palette decides.
var styleCodes = [...]string{"", "1", "1", "2", "33", "1;35", "32", "1;31", "33"}

// A run is a stretch of text in one style. A blank may become a line break, a
// no-break space not.
type run struct {
	text  string
	style style
}

// These are text in a style.
func plain(text string) run    { return run{text, stylePlain} }
func title(text string) run    { return run{text, styleTitle} }
func label(text string) run    { return run{text, styleLabel} }
func faint(text string) run    { return run{text, styleFaint} }
func repaired(text string) run { return run{text, styleRepaired} }
func open(text string) run     { return run{text, styleOpen} }

// styled is text in any style.
func styled(text string, s style) run { return run{text, s} }

// minRoom is the least room for text beside a head, in columns.
const minRoom = 16

// A Look is how lines look. The zero value is plain Unicode of 80 columns.
type Look struct {
	Width int  // columns; 0 means 80, less than 40 counts as 40
	ASCII bool // no character beyond ASCII
	Color bool // SGR colours
}

// lines returns a writer of lines of this look to w.
func (k Look) lines(w io.Writer) *lines {
	width := k.Width
	if width == 0 {
		width = 80
	}
	return &lines{w: w, width: max(width, 40), ascii: k.ASCII, color: k.Color}
}

// lines writes runs as lines no wider than width columns.
type lines struct {
	w     io.Writer
	width int
	ascii bool
	color bool
	err   error
}

// stretch is what stands between two blanks.
type stretch struct {
	runs  []run
	width int
}

// text prepares text for the terminal: see Printable, ascii.
func (l *lines) text(s string) string {
	s = word.Printable(s)
	if l.ascii {
		s = word.ASCII(s)
	}
	return s
}

// label prepares text and shortens it to n columns.
func (l *lines) label(s string, n int) string {
	if l.ascii {
		return word.CutWith(l.text(s), n, "...")
	}
	return word.Cut(l.text(s), n)
}

// flow writes runs after a head that takes headWidth columns, and wraps them
// under their own start. Words wider than a line are cut.
func (l *lines) flow(head string, headWidth int, runs []run) {
	room := max(l.width-headWidth, minRoom)
	var b strings.Builder
	b.WriteString(head)
	used := 0
	for _, w := range l.words(runs, room) {
		switch {
		case used > 0 && used+1+w.width > room:
			l.line(b.String())
			b.Reset()
			b.WriteString(strings.Repeat(" ", headWidth))
			used = 0
		case used > 0:
			b.WriteByte(' ')
			used++
		}
		for _, r := range w.runs {
			b.WriteString(l.paint(r.text, r.style))
		}
		used += w.width
	}
	l.line(b.String())
}

// line writes one line, blanks at its end dropped.
func (l *lines) line(s string) {
	if l.err != nil {
		return
	}
	_, l.err = io.WriteString(l.w, strings.TrimRight(strings.ReplaceAll(s, word.NBSP, " "), " ")+"\n")
}

// paint colours text where colour is wanted.
func (l *lines) paint(s string, st style) string {
	if !l.color || st == stylePlain || s == "" {
		return s
	}
	return "\x1b[" + styleCodes[st] + "m" + s + "\x1b[0m"
}

func (l *lines) words(runs []run, room int) []stretch {
	var all []stretch
	var w stretch
	end := func() {
		if w.width > 0 {
			all = append(all, w)
		}
		w = stretch{}
	}
	add := func(s string, st style) {
		for s != "" {
			head := word.Fitting(s, room-w.width)
			if head == "" {
				end()
				continue
			}
			w.runs = append(w.runs, run{head, st})
			w.width += word.Columns(head)
			s = s[len(head):]
		}
	}
	for _, r := range runs {
		for i, part := range strings.Split(l.text(r.text), " ") {
			if i > 0 {
				end()
			}
			if n := word.Columns(part); n <= room && w.width+n > room {
				end()
			}
			add(part, r.style)
		}
	}
	end()
	return all
}

// rows writes rows of two columns, the second aligned and wrapped under
// itself. A head that leaves no room beside it stands on a line of its own.
func (l *lines) rows(rows [][2]string) {
	width := 0
	for i := range rows {
		rows[i][0] = l.text(rows[i][0])
		width = max(width, word.Columns(rows[i][0]))
	}
	width = min(width+2, l.width-minRoom)
	for _, r := range rows {
		head := word.Padded(r[0], width)
		if word.Columns(r[0]) > width-2 {
			l.line(r[0])
			head = strings.Repeat(" ", width)
		}
		l.flow(head, width, []run{plain(word.KeepUnits(r[1]))})
	}
}

// finish writes out what b holds, and reports the first error of writing.
func (l *lines) finish(b *bufio.Writer) error {
	if l.err != nil {
		return l.err
	}
	return b.Flush()
}
