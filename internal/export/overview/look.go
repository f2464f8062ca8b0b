package overview

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"saywatt/internal/archive"
	"saywatt/internal/export/naming"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// Look says how answers look on a terminal. The zero value gives plain
// Unicode of 80 columns.
type Look struct {
	Width int    // columns; 0 means 80
	ASCII bool   // no character beyond ASCII
	Color bool   // SGR colours (ECMA-48, 8.3.117)
	Link  string // address of a moment: {file} and {s} are replaced; "" shows file and media fragment
}

// Styles by their SGR parameters, of the eight colours every terminal has.
const (
	plain   = ""
	bold    = "1"
	faint   = "2"
	red     = "31"
	yellow  = "33"
	marked  = "1;33"
	warning = "33"
)

// printer writes lines and keeps the first error.
type printer struct {
	Look
	w      io.Writer
	err    error
	places places // whose signs were printed
}

func (l Look) printer(w io.Writer) *printer {
	if l.Width == 0 {
		l.Width = 80
	}
	return &printer{Look: l, w: w}
}

// text prepares a text for the terminal: one line, nothing that steers it.
func (p *printer) text(s string) string {
	s = word.Printable(s)
	if p.ASCII {
		s = strings.ReplaceAll(word.ASCII(s), "\u00a0", " ")
	}
	return s
}

// line writes a prepared line, blanks at its end dropped.
func (p *printer) line(s string) {
	if p.err == nil {
		_, p.err = io.WriteString(p.w, strings.TrimRight(s, " ")+"\n")
	}
}

func (p *printer) linef(format string, args ...any) { p.line(fmt.Sprintf(format, args...)) }

// places are the doubts about places that were shown, for the line that says what
// their signs mean.
type places [schema.PlaceUnlikely + 1]bool

func (p *places) add(d schema.PlaceDoubt) { p[d] = true }

// legend says what the signs mean, "" where none was shown.
func (p *places) legend() string {
	var parts []string
	for d := schema.PlaceUncertain; d <= schema.PlaceUnlikely; d++ {
		if p[d] {
			parts = append(parts, d.Mark()+" "+d.Words())
		}
	}
	return strings.Join(parts, "   ")
}

// legend writes what the signs of places mean that were printed.
func (p *printer) legend() {
	if s := p.places.legend(); s != "" {
		p.line("")
		p.line(p.paint(p.text(s), faint))
	}
}

// paint colours a prepared text.
func (p *printer) paint(s, style string) string {
	if !p.Color || style == plain || s == "" {
		return s
	}
	return "\x1b[" + style + "m" + s + "\x1b[0m"
}

// cut shortens a prepared text to n columns, one for each character.
func (p *printer) cut(s string, n int) string {
	if utf8.RuneCountInString(s) <= n {
		return s
	}
	dots := p.text("…")
	r := []rune(s)
	return strings.TrimRight(string(r[:max(n-utf8.RuneCountInString(dots), 0)]), " ") + dots
}

// pad fills a prepared text up to n columns.
func pad(s string, n int) string {
	return s + strings.Repeat(" ", max(n-utf8.RuneCountInString(s), 0))
}

// link is the address of a moment of a review, "" where it has none. media is
// its W3C Media Fragment.
func (l Look) link(r *archive.Review, at *schema.Seconds, media string) string {
	if at == nil {
		return ""
	}
	file := cmp.Or(r.File, r.Name)
	if l.Link != "" {
		return strings.NewReplacer("{file}", file, "{s}", at.String()).Replace(l.Link)
	}
	if media == "" {
		return ""
	}
	return file + media
}

// shown is the title of a review for lines that people read.
func shown(r *archive.Review) string { return naming.ShownName(r.Title()) }
