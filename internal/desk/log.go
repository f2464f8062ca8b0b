package desk

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"saywatt/normalize"
)

// A decisionLog keeps the entries of one review. There are two: a file or
// memory (fileLog), and the log of an archive (archiveLog).
type decisionLog interface {
	// entries are all there are, those of other processes too.
	entries() ([]entry, error)
	// add puts more behind them and has them safe before it returns. errMoved
	// where there are not just as many as known.
	add(known int, more []entry) error
}

// errMoved says that somebody else added to the log.
var errMoved = errors.New("something was decided in between")

// A fileLog is a log in a file of JSON Lines, or in memory where path is "".
type fileLog struct {
	path string
	all  []entry
	size int64     // of the file, up to its last whole line
	seen time.Time // when the file was changed last, as of what is in all; zero: not known
}

// entries reads the file where it has changed. Half a line at its end was never
// acknowledged and does not count.
func (l *fileLog) entries() ([]entry, error) {
	if l.path == "" {
		return slices.Clone(l.all), nil
	}
	info, err := os.Stat(l.path)
	if errors.Is(err, fs.ErrNotExist) {
		l.all, l.size, l.seen = nil, 0, time.Time{}
		return nil, nil
	}
	if err == nil && info.Size() == l.size && !l.seen.IsZero() && info.ModTime().Equal(l.seen) {
		return slices.Clone(l.all), nil
	}
	var text []byte
	if err == nil {
		text, err = os.ReadFile(l.path)
	}
	if err != nil {
		return nil, err
	}
	text = text[:bytes.LastIndexByte(text, '\n')+1]
	// The reader of answer files checks the lines; it does not keep them all.
	if _, err := normalize.ReadAnswers(bytes.NewReader(text), l.path); err != nil {
		return nil, err
	}
	l.all, l.size, l.seen = nil, int64(len(text)), info.ModTime()
	for d := json.NewDecoder(bytes.NewReader(text)); ; {
		var e entry
		if err := d.Decode(&e); err == io.EOF {
			break
		} else if err != nil {
			return nil, fmt.Errorf("%s: %w", l.path, err)
		}
		if e.Act == 0 { // a line of an answer file made elsewhere is an act of its own
			e.Act = lastAct(l.all) + 1
		}
		if e.How == "" {
			e.How = howTyped
		}
		l.all = append(l.all, e)
	}
	return slices.Clone(l.all), nil
}

func (l *fileLog) add(known int, more []entry) error {
	if l.path == "" {
		if len(l.all) != known {
			return errMoved
		}
		l.all = append(l.all, more...)
		return nil
	}
	f, err := openLocked(l.path)
	if err != nil {
		return err
	}
	defer f.Close()
	all, err := l.entries() // no other desk adds to it now
	if err != nil {
		return err
	}
	if len(all) != known {
		return errMoved
	}
	if err := l.write(f.File, more); err != nil {
		return err
	}
	l.all = append(l.all, more...)
	return nil
}

// errLogBusy says that another program keeps a log locked.
var errLogBusy = errors.New("another program writes decisions into it and does not end; nothing was put down")

// openLocked opens the file of a log for this process alone. Another desk on the
// same file has it for the time of one write.
func openLocked(path string) (*lockedFile, error) {
	for try := 1; ; try++ {
		f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o644)
		if err != nil {
			return nil, err
		}
		locked, err := lockFile(f)
		switch {
		case locked == nil:
			f.Close()
		case sameFile(f, path):
			return locked, nil
		default: // another file was put there meanwhile
			locked.Close()
		}
		switch {
		case err != nil:
			return nil, err
		case try == busyTries:
			return nil, fmt.Errorf("%s: %w", path, errLogBusy)
		}
		time.Sleep(busyWait)
	}
}

// sameFile reports whether a path leads to an open file.
func sameFile(f *os.File, path string) bool {
	a, err1 := f.Stat()
	b, err2 := os.Stat(path)
	return err1 == nil && err2 == nil && os.SameFile(a, b)
}

func (l *fileLog) write(f *os.File, more []entry) error {
	var b bytes.Buffer
	if err := writeLog(&b, more); err != nil {
		return err
	}
	fresh := l.size == 0
	l.seen = time.Time{} // read it again, whatever becomes of this
	if err := f.Truncate(l.size); err != nil {
		return err
	}
	if _, err := f.WriteAt(b.Bytes(), l.size); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	if fresh { // its name is to outlast a loss of power too
		if folder, err := os.Open(filepath.Dir(l.path)); err == nil {
			folder.Sync() // not every file system can
			folder.Close()
		}
	}
	l.size += int64(b.Len())
	if info, err := f.Stat(); err == nil && info.Size() == l.size {
		l.seen = info.ModTime()
	}
	return nil
}

// lastAct is the number of the last act of a log, 0 where there is none.
func lastAct(entries []entry) int {
	if len(entries) == 0 {
		return 0
	}
	return entries[len(entries)-1].Act
}
