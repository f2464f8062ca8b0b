package desk

import (
	"os"
	"path/filepath"

	"saywatt/internal/archive"
)

// logEnding is behind the name of captions in the name of the file that keeps
// what was decided on them.
const logEnding = ".decisions.jsonl"

// hashShown is how many digits of the captions' SHA-256 are in the name of a
// log that is not beside them: other captions of the same name have another.
const hashShown = 12

// logPath is the file that keeps what is decided on a review: the one that was
// asked for, one beside the captions, or one in the desk's folder. It is "" where
// decisions are in memory.
func (d *Desk) logPath(r *review) string {
	switch {
	case d.config.Decisions != "" && len(d.all()) == 0:
		return d.config.Decisions
	case !d.config.Keep:
		return ""
	case r.path != "" && writable(r.path+logEnding):
		return r.path + logEnding
	case d.config.Folder == "":
		return ""
	}
	if err := os.MkdirAll(d.config.Folder, 0o700); err != nil {
		d.config.Log(err)
		return "" // pages say that nothing is saved
	}
	name := addressable(archive.Name(r.name)) + "-" + r.transcript.Hash[:hashShown] + logEnding
	return filepath.Join(d.config.Folder, name)
}

// writable reports whether a file can be written, without changing or leaving
// any.
func writable(path string) bool {
	if f, err := os.OpenFile(path, os.O_RDWR, 0); err == nil {
		f.Close()
		return true
	} else if !os.IsNotExist(err) {
		return false
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".saywatt-*")
	if err != nil {
		return false
	}
	f.Close()
	return os.Remove(f.Name()) == nil
}

// A Log says where the decisions on one review are.
type Log struct {
	Review  string // the name of its captions
	File    string // "": in memory, or in the archive
	Archive string // the review's name there
	N       int    // decisions, those taken back too
}

// Saved reports whether the decisions outlast the desk.
func (l *Log) Saved() bool { return l.File != "" || l.Archive != "" }

// Logs lists where decisions are, of reviews that are open and of those that
// were closed.
func (d *Desk) Logs() []Log {
	d.mu.RLock()
	all := append(append([]*review(nil), d.reviews...), d.closed...)
	d.mu.RUnlock()
	var logs []Log
	for _, r := range all {
		l := Log{Review: r.name, N: r.summary().version}
		switch kept := r.log.(type) {
		case *fileLog:
			l.File = kept.path
		case *archiveLog:
			l.Archive = kept.review
		}
		logs = append(logs, l)
	}
	return logs
}
