package store

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"saywatt/schema"
)

// Act is what a decision did.
type Act string

// The acts.
const (
	ActAdded    Act = "added"    // a version of a review was put in
	ActSettled  Act = "settled"  // a person said what a quantity is
	ActPlaced   Act = "placed"   // a person said what it belongs to, or could not tell, and not what it is
	ActReopened Act = "reopened" // and took that back
	ActRemoved  Act = "removed"  // the review is no longer listed; its versions stay
	ActRenamed  Act = "renamed"  // the review has the name To, and a title where one is said
	ActMerged   Act = "merged"   // the versions of the review are those of To

	ActCopied Act = "copied" // captions of the review lie at another path too, byte for byte

	ActTakenBack Act = "taken-back" // a person took a decision back: the quantity is as it was read
	ActNothing   Act = "nothing"    // a person said that no quantity was said there
	ActUnclear   Act = "unclear"    // a person listened and could not tell
	ActReworded  Act = "reworded"   // a person said what the captions should say there
	ActNamed     Act = "named"      // a person said how a name is written
)

// Decision is one line of decisions.jsonl.
type Decision struct {
	When   time.Time `json:"when"`
	Who    string    `json:"who,omitempty"`
	Act    Act       `json:"what"`
	Review string    `json:"review"`

	// Of an added version; of copied captions all but the version and the title:
	Version int      `json:"version,omitempty"`
	Record  string   `json:"record,omitempty"` // SHA-256 of the record file
	Source  string   `json:"source,omitempty"` // SHA-256 of the file read; of any act
	Product string   `json:"product,omitempty"`
	Called  []string `json:"called,omitempty"` // what the product was heard as, where a person put its name right
	Path    string   `json:"path,omitempty"`   // of the file read, from the archive's folder
	Title   string   `json:"title,omitempty"`  // given to the review; also of a renamed one
	To      string   `json:"to,omitempty"`     // of a review renamed or merged: the other name

	// Of a quantity settled or reopened. It is known by its bytes in the
	// source, so that the decision holds for every version read from it.
	Span     *schema.Span      `json:"span,omitempty"`
	Heard    string            `json:"heard,omitempty"`
	Quantity *schema.Quantity  `json:"quantity,omitempty"`
	Place    *schema.BelongsTo `json:"place,omitempty"`         // what it belongs to, alone or beside the quantity
	Lost     bool              `json:"place_unclear,omitempty"` // nobody could tell what it belongs to
	Sure     bool              `json:"sure,omitempty"`          // it is of another kind than was heard, and meant
	Note     string            `json:"note,omitempty"`
	Kind     *schema.Kind      `json:"kind,omitempty"`  // which of two quantities that share the place
	Words    string            `json:"words,omitempty"` // of words reworded
	Names    string            `json:"names,omitempty"` // of a name: what it is of, as in an answer file
	Meant    string            `json:"meant,omitempty"` // of a name
	Of       int               `json:"act,omitempty"`   // what was decided in one act has one number
	How      string            `json:"how,omitempty"`   // how it was decided: reading, typed, …
}

// OnWords reports whether a decision is one on words of the review.
func (d *Decision) OnWords() bool {
	switch d.Act {
	case ActSettled, ActPlaced, ActReopened, ActTakenBack, ActNothing, ActUnclear, ActReworded, ActNamed:
		return true
	}
	return false
}

// Damage is something of the archive that cannot be read. The rest is served.
type Damage struct {
	File   string // name within the archive
	Line   int    // of decisions.jsonl, else 0
	Review string // where known
	Err    error
}

func (d *Damage) Error() string {
	s := d.File
	if d.Line > 0 {
		s = fmt.Sprintf("%s:%d", s, d.Line)
	}
	if d.Review != "" {
		s += " (review " + d.Review + ")"
	}
	return s + ": " + d.Err.Error()
}

func (d *Damage) Unwrap() error { return d.Err }

// Mend says how such damage is mended; "" where Err says it.
func (d *Damage) Mend() string {
	switch {
	case errors.Is(d.Err, ErrOrphan):
		return `of records that no line names: "saywatt reindex --restore" makes reviews of them`
	case errors.Is(d.Err, ErrLeft):
		return `of records that others stand for: "saywatt reindex --sweep" removes them`
	case errors.Is(d.Err, ErrUnnamed), errors.Is(d.Err, schema.ErrRecordVersion):
		return ""
	}
	if d.File == JournalName {
		return "of a damaged line: put " + JournalName + ` back from a copy; without one, delete the line, and ` +
			`"saywatt reindex --restore" makes reviews of the records that no other line names, without what was decided`
	}
	return `of a record: put its file back from a copy, or "saywatt add" of the same captions, where they were ` +
		`added, writes it anew`
}

// Causes of damage.
var (
	ErrChecksum = errors.New("damaged: the checksum differs")
	errHalfLine = errors.New("damaged: the line is not whole")
	errPacked   = errors.New("damaged: it cannot be unpacked")
)

// JournalName is the file of the log within the archive.
const JournalName = "decisions.jsonl"

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// checkMark begins the end of a line: ,"check":"0a1b2c3d"}
const (
	checkMark = `,"check":"`
	checkLen  = len(checkMark) + 8 + len(`"}`)
)

// AppendLine writes a decision as a line with its checksum (CRC-32C, over the
// line as it is without it).
func AppendLine(b []byte, d *Decision) ([]byte, error) {
	line, err := json.Marshal(d)
	if err != nil {
		return b, err
	}
	sum := crc32.Checksum(line, castagnoli)
	b = append(b, line[:len(line)-1]...)
	b = fmt.Appendf(b, `%s%08x"}`, checkMark, sum)
	return append(b, '\n'), nil
}

// parseLine reads a line without its end.
func parseLine(line []byte) (*Decision, error) {
	n := len(line) - checkLen
	if n < 1 || !bytes.HasPrefix(line[n:], []byte(checkMark)) {
		return nil, errHalfLine
	}
	plain := append(append(make([]byte, 0, n+1), line[:n]...), '}')
	if want := fmt.Sprintf(`%s%08x"}`, checkMark, crc32.Checksum(plain, castagnoli)); string(line[n:]) != want {
		return nil, ErrChecksum
	}
	d := &Decision{}
	if err := json.Unmarshal(plain, d); err != nil {
		return nil, err
	}
	return d, nil
}

// A Journal is the log of decisions, for reading.
type Journal struct {
	Path string // of its file
}

// Size is the length of the log in bytes up to the last whole line; what
// follows was never acknowledged.
func (j Journal) Size() (int64, error) {
	f, err := os.Open(j.Path)
	if errors.Is(err, os.ErrNotExist) {
		return 0, nil
	}
	if err != nil {
		return 0, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return 0, err
	}
	end := info.Size()
	buf := make([]byte, 4096)
	for end > 0 {
		n := min(end, int64(len(buf)))
		if _, err := f.ReadAt(buf[:n], end-n); err != nil {
			return 0, err
		}
		if i := bytes.LastIndexByte(buf[:n], '\n'); i >= 0 {
			return end - n + int64(i) + 1, nil
		}
		end -= n
	}
	return 0, nil
}

// Each gives every decision from an offset to another, with the offset of its
// line, in order. Lines that cannot be read are reported and passed over;
// their numbers count from the offset.
func (j Journal) Each(from, to int64, f func(*Decision, int64), damaged func(*Damage)) error {
	file, err := os.Open(j.Path)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	defer file.Close()
	r := bufio.NewReaderSize(io.NewSectionReader(file, from, to-from), 1<<16)
	at := from
	for n := 1; ; n++ {
		line, err := r.ReadBytes('\n')
		if err == io.EOF {
			return nil // what stands behind the last whole line was never acknowledged
		}
		if err != nil {
			return err
		}
		if d, err := parseLine(line[:len(line)-1]); err != nil {
			damaged(&Damage{File: JournalName, Line: n, Err: err})
		} else {
			f(d, at)
		}
		at += int64(len(line))
	}
}

// LineAt reads the decision at an offset.
func (j Journal) LineAt(at int64) (*Decision, error) {
	f, err := os.Open(j.Path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var line []byte
	buf := make([]byte, 1024)
	for {
		n, err := f.ReadAt(buf, at+int64(len(line)))
		if i := bytes.IndexByte(buf[:n], '\n'); i >= 0 {
			return parseLine(append(line, buf[:i]...))
		}
		line = append(line, buf[:n]...)
		if err != nil {
			return nil, errHalfLine
		}
	}
}

// Begin makes an empty log where there is none: a record beside which there is no log
// would look as if the log were lost. Only the holder of the lock may call it.
func (j Journal) Begin() error {
	_, err := os.Stat(j.Path)
	if errors.Is(err, fs.ErrNotExist) {
		return j.Append(nil)
	}
	return err
}

// Append adds whole lines and has them on disk before it returns. Half a
// line at the end is cut off first. Only the holder of the lock may call it.
func (j Journal) Append(lines []byte) error {
	end, err := j.Size()
	if err != nil {
		return err
	}
	_, statErr := os.Stat(j.Path)
	dir := filepath.Dir(j.Path)
	f, err := os.OpenFile(j.Path, os.O_RDWR|os.O_CREATE, folderMode(dir)&0o666)
	if err != nil {
		return err
	}
	defer f.Close()
	if statErr != nil {
		if err := share(dir, j.Path); err != nil {
			return err
		}
	}
	if err := f.Truncate(end); err != nil {
		return err
	}
	if _, err := f.WriteAt(lines, end); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	if statErr != nil {
		return SyncDir(dir)
	}
	return nil
}

// SortDamages puts them in the order of file, line and review.
func SortDamages(all []*Damage) {
	slices.SortFunc(all, func(a, b *Damage) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Review, b.Review))
	})
}

// ErrOrphan is the damage of a record that no line of the log names, and whose
// captions are those of no review: what it says stands nowhere else.
var ErrOrphan = errors.New("no line of " + JournalName + " names it")

// ErrLeft is the damage of a record that no line of the log names, and whose
// captions the log knows by another record.
var ErrLeft = errors.New("no line of " + JournalName + " names it, and the log has another record of the same captions")

// ErrUnnamed is the damage of either where lines of the log cannot be read: one of
// them may name it.
var ErrUnnamed = errors.New("no line of " + JournalName + " that can be read names it")

// Without leaves out damages of the same file, line and review.
func Without(all []*Damage) []*Damage {
	type key struct {
		file, review string
		line         int
	}
	seen := map[key]bool{}
	var out []*Damage
	for _, d := range all {
		k := key{d.File, d.Review, d.Line}
		if !seen[k] {
			seen[k] = true
			out = append(out, d)
		}
	}
	return out
}
