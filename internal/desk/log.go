package desk

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"

	"saywatt/normalize"
)

// A decisionLog keeps the entries of one review. There are two: a file or
// memory (fileLog), and the log of an archive (archiveLog).
type decisionLog interface {
	// entries are all there are, those of other processes too.
	entries() ([]Entry, error)
	// add puts more behind them and has them safe before it returns. errMoved
	// where there are not just as many as known.
	add(known int, more []Entry) error
}

// errMoved says that somebody else added to the log.
var errMoved = errors.New("something was decided in between")

// A fileLog is a log in a file of JSON Lines, or in memory where path is "".
type fileLog struct {
	path string
	all  []Entry
	size int64 // of the file, up to its last whole line
}

// entries reads the file where it has changed. Half a line at its end was never
// acknowledged and does not count.
func (l *fileLog) entries() ([]Entry, error) {
	if l.path == "" {
		return slices.Clone(l.all), nil
	}
	text, err := os.ReadFile(l.path)
	if errors.Is(err, fs.ErrNotExist) {
		l.all, l.size = nil, 0
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	text = text[:bytes.LastIndexByte(text, '\n')+1]
	// The reader of answer files checks the lines; it does not keep them all.
	if _, err := normalize.ReadAnswers(bytes.NewReader(text), l.path); err != nil {
		return nil, err
	}
	l.all, l.size = nil, int64(len(text))
	for d := json.NewDecoder(bytes.NewReader(text)); ; {
		var e Entry
		if err := d.Decode(&e); err == io.EOF {
			break
		} else if err != nil {
			return nil, fmt.Errorf("%s: %w", l.path, err)
		}
		if e.Act == 0 { // a line of an answer file made elsewhere is an act of its own
			e.Act = lastAct(l.all) + 1
		}
		if e.How == "" {
			e.How = HowTyped
		}
		l.all = append(l.all, e)
	}
	return slices.Clone(l.all), nil
}

func (l *fileLog) add(known int, more []Entry) error {
	all, err := l.entries()
	if err != nil {
		return err
	}
	if len(all) != known {
		return errMoved
	}
	if l.path != "" {
		if err := l.write(more); err != nil {
			return err
		}
	}
	l.all = append(l.all, more...)
	return nil
}

func (l *fileLog) write(more []Entry) error {
	var b bytes.Buffer
	if err := WriteLog(&b, more); err != nil {
		return err
	}
	f, err := os.OpenFile(l.path, os.O_RDWR|os.O_CREATE, 0o644)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Truncate(l.size); err != nil {
		return err
	}
	if _, err := f.WriteAt(b.Bytes(), l.size); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	l.size += int64(b.Len())
	return nil
}

// lastAct is the number of the last act of a log, 0 where there is none.
func lastAct(entries []Entry) int {
	if len(entries) == 0 {
		return 0
	}
	return entries[len(entries)-1].Act
}
