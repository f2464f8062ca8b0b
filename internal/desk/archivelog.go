package desk

import (
	"errors"
	"time"

	"saywatt/internal/archive"
)

// An archiveLog is the log of one review of an archive.
type archiveLog struct {
	archive *archive.Archive
	review  string // its name there
	source  string // SHA-256 of the captions that the entries are about
}

func (l *archiveLog) entries() ([]entry, error) {
	decisions, damages, err := l.archive.Decisions(l.review)
	if err != nil {
		return nil, err
	}
	if len(damages) > 0 {
		return nil, damages[0] // what stands cannot be known without it
	}
	var all []entry
	for i := range decisions {
		d := &decisions[i]
		if d.Source != l.source || d.Span == nil && d.Names == "" {
			continue
		}
		e := entry{Names: d.Names, Meant: d.Meant, Heard: d.Heard, Kind: d.Kind, Quantity: d.Quantity, Sure: d.Sure,
			Place: d.Place, PlaceUnclear: d.Lost, Words: d.Words, Note: d.Note, When: d.When, Who: d.Who,
			Act: d.Of, How: how(d.How)}
		if d.Span != nil {
			e.Span = *d.Span
		}
		switch d.Act {
		case archive.ActNothing:
			e.Nothing = true
		case archive.ActUnclear:
			e.Unclear = true
		case archive.ActReopened, archive.ActTakenBack:
			e.Reopened = true
		}
		if e.Act <= lastAct(all) && (len(all) == 0 || e.Act != lastAct(all)) {
			e.Act = lastAct(all) + 1 // decided by other means than the desk
		}
		if e.How == "" {
			e.How = howTyped
		}
		all = append(all, e)
	}
	return all, nil
}

func (l *archiveLog) add(known int, more []entry) error {
	w, err := begin(l.archive)
	if err != nil {
		return err
	}
	all, err := l.entries()
	if err == nil && len(all) != known {
		err = errMoved
	}
	if err == nil {
		err = w.Decide(l.review, l.decisions(more))
	}
	if err == nil {
		err = w.Commit()
	}
	return closeWriter(w, err)
}

// decisions are entries in the archive's words.
func (l *archiveLog) decisions(entries []entry) []archive.Decision {
	var all []archive.Decision
	for _, e := range entries {
		d := archive.Decision{When: e.When, Who: e.Who, Source: l.source, Names: e.Names, Meant: e.Meant,
			Heard:    e.Heard,
			Quantity: e.Quantity, Sure: e.Sure, Place: e.Place, Lost: e.PlaceUnclear, Note: e.Note, Kind: e.Kind,
			Words: e.Words, Of: e.Act, How: string(e.How), Act: archive.ActSettled}
		if e.Names == "" || !e.Span.Empty() {
			d.Span = &e.Span
		}
		switch {
		case e.Nothing:
			d.Act = archive.ActNothing
		case e.Unclear:
			d.Act = archive.ActUnclear
		case e.Reopened:
			d.Act = archive.ActTakenBack
		case e.Names != "":
			d.Act = archive.ActNamed
		case e.Words != "":
			d.Act = archive.ActReworded
		case e.Quantity == nil:
			d.Act = archive.ActPlaced
		}
		all = append(all, d)
	}
	return all
}

// busyTries and busyWait bound how long another writer is waited for.
const (
	busyTries = 30
	busyWait  = 100 * time.Millisecond
)

// begin takes the right to write to an archive, waiting a little for whoever
// has it.
func begin(a *archive.Archive) (*archive.Writer, error) {
	for try := 1; ; try++ {
		w, err := a.Begin()
		var busy *archive.BusyError
		if !errors.As(err, &busy) || try == busyTries {
			return w, err
		}
		time.Sleep(busyWait)
	}
}

// closeWriter gives the right back. That the index could not follow is no error
// of what was written: it is made anew when it is next needed.
func closeWriter(w *archive.Writer, err error) error {
	closed := w.Close()
	var index *archive.IndexError
	if err == nil && !errors.As(closed, &index) {
		err = closed
	}
	return err
}
