package overview

import (
	"fmt"
	"io"
	"strings"

	"saywatt/internal/archive"
	"saywatt/internal/export/plainjson"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// WriteWaiting writes the queue of open readings for people: by review, with
// the time to jump to, the words heard and the readings they may have.
func (l Look) WriteWaiting(w io.Writer, list []archive.Waiting, total int) error {
	p := l.printer(w)
	switch total {
	case 0:
		p.line("nothing waits for an ear")
	case 1:
		p.line(p.paint("1 reading waits for an ear", bold))
	default:
		p.line(p.paint(fmt.Sprintf("%d readings wait for an ear", total), bold))
	}
	before := ""
	for i := range list {
		x := &list[i]
		if x.Review.Name != before {
			before = x.Review.Name
			p.line("")
			p.line(p.paint(p.text(shown(&x.Review)), bold) + "  " + p.paint(p.text("["+before+"]"), faint))
		}
		when := ""
		if x.Said.At != nil {
			when = x.Said.At.Clock()
		}
		line := p.paint(fmt.Sprintf("%7s  ", when), faint) + p.text("“"+x.Said.Heard+"”") + "  " +
			p.text(readings(&x.Said))
		if link := p.link(&x.Review, x.Said.At, x.Said.Media); link != "" {
			line += p.paint("  "+p.text(link), faint)
		}
		p.line(line)
	}
	if len(list) < total && len(list) > 0 {
		p.line("")
		p.linef("%d more; --limit shows more of them", total-len(list))
	}
	return p.err
}

// readings lists what a quantity may be, with how likely each is.
func readings(s *schema.Said) string {
	var parts []string
	for i := range s.Readings[:min(len(s.Readings), 3)] {
		r := &s.Readings[i]
		share := strings.ReplaceAll(word.Percent(r.Confidence), "\u00a0", " ")
		parts = append(parts, r.Quantity.String()+" "+share)
	}
	return strings.Join(parts, ", ")
}

// waitingJSON is one line of the queue as JSON Lines.
type waitingJSON struct {
	Review   string           `json:"review"`
	Number   int              `json:"number"`
	At       *schema.Seconds  `json:"at"`
	Link     string           `json:"link,omitempty"`
	Heard    string           `json:"heard"`
	Context  string           `json:"context,omitempty"`
	Role     string           `json:"role,omitempty"`
	Readings []schema.Reading `json:"readings"`
}

// WriteWaitingJSON writes the queue as JSON Lines.
func (l Look) WriteWaitingJSON(w io.Writer, list []archive.Waiting) error {
	for i := range list {
		x := &list[i]
		readings := make([]schema.Reading, len(x.Said.Readings))
		for k, r := range x.Said.Readings {
			readings[k] = schema.Reading{Quantity: r.Quantity, Confidence: r.Confidence}
		}
		err := plainjson.WriteLine(w, waitingJSON{x.Review.Name, x.Said.Number, x.Said.At,
			l.link(&x.Review, x.Said.At, x.Said.Media), x.Said.Heard, x.Said.Context, x.Said.Role, readings})
		if err != nil {
			return err
		}
	}
	return nil
}
