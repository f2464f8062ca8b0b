package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
)

// IndexVersion changes with what the index holds or how it is spelled.
const (
	IndexVersion = indexFamily + "10"
	indexFamily  = "saywatt/index/"
)

// Manifest is index/current.json: which generation holds, what it was made
// from, and its files.
type Manifest struct {
	Version    string    `json:"version"`
	Generation int       `json:"generation"`
	Log        int64     `json:"log"` // bytes of decisions.jsonl it was made from
	Files      []fileSum `json:"files"`
	Left       []LeftOut `json:"left,omitempty"` // reviews whose records could not be read

	Base string `json:"-"` // folder that it lies in: that of the archive, or one aside
}

// fileSum is a file of a generation.
type fileSum struct {
	Name string `json:"name"`
	Size int64  `json:"size"`
	CRC  uint32 `json:"crc32c"`
}

// ErrIndex is the cause of an index that cannot be used.
var ErrIndex = errors.New("the index of the archive is damaged")

// checkedSize bounds the bytes of an index whose checksums are taken whenever
// it is opened; of a larger one only the sizes are.
const checkedSize = 128 << 20

// IndexDir is the folder of the index in that of an archive.
func IndexDir(dir string) string { return filepath.Join(dir, "index") }

// Dir is the folder of the generation below base.
func (m *Manifest) Dir(base string) string {
	return filepath.Join(IndexDir(base), strconv.Itoa(m.Generation))
}

// errOldIndex is the cause of an index that another version of the program made.
var errOldIndex = errors.New("the index is of another version")

// ReadManifest reads the manifest of the index in a folder.
func ReadManifest(base string) (*Manifest, error) {
	b, err := os.ReadFile(filepath.Join(IndexDir(base), "current.json"))
	if err != nil {
		return nil, err
	}
	m := &Manifest{Base: base}
	if err := json.Unmarshal(b, m); err != nil {
		return nil, fmt.Errorf("%w: current.json is damaged: %v", ErrIndex, err)
	}
	if !strings.HasPrefix(m.Version, indexFamily) {
		return nil, fmt.Errorf("%w: current.json is not of an index", ErrIndex)
	}
	if m.Version != IndexVersion {
		return nil, fmt.Errorf("%w: %q, want %q", errOldIndex, m.Version, IndexVersion)
	}
	return m, nil
}

// Checked are the files that this process has read or written whole: segments
// never change, so once is enough.
type Checked struct{ files sync.Map }

func (c *Checked) has(dir string, f fileSum) bool {
	_, ok := c.files.Load(checkedFile{dir, f})
	return ok
}

func (c *Checked) add(dir string, f fileSum) {
	if strings.HasSuffix(f.Name, ".zap") {
		c.files.Store(checkedFile{dir, f}, true)
	}
}

// checkedFile is a segment in any generation of one archive.
type checkedFile struct {
	archive string
	fileSum
}

// Check holds the files against the manifest.
func (m *Manifest) Check(archive string, seen *Checked) error {
	total := int64(0)
	for _, f := range m.Files {
		total += f.Size
	}
	for _, f := range m.Files {
		if f.Name != filepath.Base(f.Name) {
			return fmt.Errorf("%w: file %q", ErrIndex, f.Name)
		}
		path := filepath.Join(m.Dir(archive), f.Name)
		info, err := os.Stat(path)
		if err != nil {
			return fmt.Errorf("%w: %v", ErrIndex, err)
		}
		if info.Size() != f.Size {
			return fmt.Errorf("%w: %s has %d bytes, want %d", ErrIndex, f.Name, info.Size(), f.Size)
		}
		if total > checkedSize || seen.has(archive, f) {
			continue
		}
		if crc, err := sumFile(path); err != nil || crc != f.CRC {
			return fmt.Errorf("%w: %s: the checksum differs", ErrIndex, f.Name)
		}
		seen.add(archive, f)
	}
	return nil
}

// Present reports a file that is no longer there.
func (m *Manifest) Present(archive string) error {
	for _, f := range m.Files {
		if _, err := os.Stat(filepath.Join(m.Dir(archive), f.Name)); err != nil {
			return fmt.Errorf("%w: %v", ErrIndex, err)
		}
	}
	return nil
}

func sumFile(path string) (uint32, error) {
	f, err := os.Open(path)
	if err != nil {
		return 0, err
	}
	defer f.Close()
	h := crc32.New(castagnoli)
	_, err = io.Copy(h, f)
	return h.Sum32(), err
}

// Seal lists the files of a finished generation. Sums of files that the one
// before had under the same name and size are taken over: segments are never
// changed, only added and dropped.
func (m *Manifest) Seal(archive string, before *Manifest, seen *Checked) error {
	entries, err := os.ReadDir(m.Dir(archive))
	if err != nil {
		return err
	}
	m.Files = nil
	for _, e := range entries {
		info, err := e.Info()
		if err != nil {
			return err
		}
		f := fileSum{Name: e.Name(), Size: info.Size()}
		known := false
		if before != nil && strings.HasSuffix(f.Name, ".zap") {
			for _, old := range before.Files {
				if old.Name == f.Name && old.Size == f.Size {
					f.CRC, known = old.CRC, true
				}
			}
		}
		if !known {
			if f.CRC, err = sumFile(filepath.Join(m.Dir(archive), f.Name)); err != nil {
				return err
			}
			seen.add(archive, f)
		}
		if err := share(archive, filepath.Join(m.Dir(archive), f.Name)); err != nil {
			return err
		}
		m.Files = append(m.Files, f)
	}
	return nil
}

// Publish makes the generation the current one and removes the others. A
// process that still reads one keeps its files, under whatever name.
func (m *Manifest) Publish(archive string) error {
	b, err := json.Marshal(m)
	if err != nil {
		return err
	}
	if err := WriteSynced(archive, filepath.Join(IndexDir(archive), "current.json"), append(b, '\n')); err != nil {
		return err
	}
	entries, err := os.ReadDir(IndexDir(archive))
	if err != nil {
		return err
	}
	for _, e := range entries {
		if e.IsDir() && e.Name() != strconv.Itoa(m.Generation) {
			os.RemoveAll(filepath.Join(IndexDir(archive), e.Name())) // rubbish, if it stays
		}
	}
	return nil
}

// NextGeneration is a number that no generation has.
func NextGeneration(archive string) (int, error) {
	entries, err := os.ReadDir(IndexDir(archive))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return 0, err
	}
	next := 1
	for _, e := range entries {
		if n, err := strconv.Atoi(e.Name()); err == nil {
			next = max(next, n+1)
		}
	}
	return next, nil
}

// LinkAll gives the files of one folder to another: segments by link, since
// they never change, the rest as copies.
func LinkAll(archive, from, to string) error {
	entries, err := os.ReadDir(from)
	if err != nil {
		return err
	}
	if err := MakeFolder(archive, to); err != nil {
		return err
	}
	for _, e := range entries {
		src, dst := filepath.Join(from, e.Name()), filepath.Join(to, e.Name())
		if strings.HasSuffix(e.Name(), ".zap") && os.Link(src, dst) == nil {
			continue
		}
		b, err := os.ReadFile(src)
		if err != nil {
			return err
		}
		if err := os.WriteFile(dst, b, 0o600); err != nil {
			return err
		}
	}
	return nil
}

// LeftOut is a review that could not be read when the index was made, whole or
// in its newest version, or a line of the log. It is reported at every search, since
// otherwise a review would be found by nobody and missed by nobody.
type LeftOut struct {
	Review string `json:"review"`
	File   string `json:"file"`
	Line   int    `json:"line,omitempty"`
	Why    string `json:"why"`
	Size   int64  `json:"size"` // of the file, -1 where there is none
	Time   int64  `json:"time"` // when it was written last, in nanoseconds
}

// Leave notes what could not be read.
func (m *Manifest) Leave(in Records, damages []*Damage) {
	for _, d := range damages {
		l := LeftOut{Review: d.Review, File: d.File, Line: d.Line, Why: d.Err.Error()}
		l.Size, l.Time = stamp(in.Path(d.File))
		m.Left = append(m.Left, l)
	}
}

// stamp is the size of a file and when it was written last.
func stamp(path string) (size, written int64) {
	info, err := os.Stat(path)
	if err != nil {
		return -1, 0
	}
	return info.Size(), info.ModTime().UnixNano()
}

// ChangedSinceLeft reports whether a file that could not be read is another now.
func (m *Manifest) ChangedSinceLeft(in Records) bool {
	for _, l := range m.Left {
		file := in.Path(l.File)
		if l.File != JournalName && len(l.File) > len("records/ab/")+hashLen {
			file = in.Path(in.There(l.File[len("records/ab/"):][:hashLen]))
		}
		if size, written := stamp(file); l.File != JournalName && (size != l.Size || written != l.Time) {
			return true
		}
	}
	return false
}

// Unread lists what the index could not take in.
func (m *Manifest) Unread() []*Damage {
	var all []*Damage
	for _, l := range m.Left {
		all = append(all, &Damage{File: l.File, Line: l.Line, Review: l.Review, Err: errors.New(l.Why)})
	}
	return all
}
