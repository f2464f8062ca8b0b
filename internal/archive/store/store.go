package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/klauspost/compress/gzip"

	"saywatt/schema"
)

// Records holds the record files: records/ab/abcd….json.gz, named by the SHA-256
// of the record, compressed by gzip (RFC 1952). An archive of before has plain
// files, records/ab/abcd….json, which are read as they are.
type Records struct {
	Dir string // of the archive
}

// Endings of record files.
const (
	Packed   = ".json.gz"
	Unpacked = ".json"
)

// Name is the place of a record within the archive, as it is written.
func (s Records) Name(hash string) string {
	return "records/" + hash[:2] + "/" + hash + Packed
}

// There is the place of a record within the archive as it lies there.
func (s Records) There(hash string) string {
	name := s.Name(hash)
	if _, err := os.Stat(s.Path(name)); errors.Is(err, fs.ErrNotExist) {
		old := strings.TrimSuffix(name, Packed) + Unpacked
		if _, err := os.Stat(s.Path(old)); err == nil {
			return old
		}
	}
	return name
}

// Path is the file of a name within the archive.
func (s Records) Path(name string) string { return filepath.Join(s.Dir, filepath.FromSlash(name)) }

// Put writes a record, if it is not there yet, and returns its hash. The file
// is whole and synced under its name, and so is its folder, when put returns.
func (s Records) Put(r *schema.Record) (hash string, err error) {
	hash, text, err := Written(r)
	if err != nil {
		return "", err
	}
	_, err = s.Keep(hash, text)
	return hash, err
}

// Written is a record as it is stored, before it is compressed, and its hash.
func Written(r *schema.Record) (hash string, text []byte, err error) {
	var b bytes.Buffer
	if err := r.Write(&b); err != nil {
		return "", nil, err
	}
	sum := sha256.Sum256(b.Bytes())
	return hex.EncodeToString(sum[:]), b.Bytes(), nil
}

// Keep is put for a record that is written already. It reports whether it wrote the
// file: it was not there, or damaged.
func (s Records) Keep(hash string, text []byte) (wrote bool, err error) {
	if old, err := s.Open(hash); err == nil && bytes.Equal(old, text) {
		return false, nil
	}
	path := s.Path(s.Name(hash))
	folder := filepath.Dir(path)
	if _, err := os.Stat(folder); errors.Is(err, fs.ErrNotExist) {
		if err := MakeFolder(s.Dir, folder); err != nil {
			return false, err
		}
		if err := SyncDir(filepath.Dir(folder)); err != nil {
			return false, err
		}
	}
	small, err := pack(text)
	if err != nil {
		return false, err
	}
	return true, WriteSynced(s.Dir, path, small)
}

// pack compresses. Its head has neither name nor time, so that the same record
// is the same file.
func pack(b []byte) ([]byte, error) {
	var out bytes.Buffer
	z, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err == nil {
		_, err = z.Write(b)
	}
	if err == nil {
		err = z.Close()
	}
	return out.Bytes(), err
}

// maxRecord bounds what a record file may unpack to: a damaged one must not
// fill the memory.
const maxRecord = 1 << 30

func unpack(b []byte) ([]byte, error) {
	z, err := gzip.NewReader(bytes.NewReader(b))
	if err != nil {
		return nil, errPacked
	}
	var out bytes.Buffer
	if _, err := out.ReadFrom(io.LimitReader(z, maxRecord+1)); err != nil || out.Len() > maxRecord {
		return nil, errPacked
	}
	return out.Bytes(), nil
}

// Look names a record file that is not there.
func (s Records) Look(hash string) error {
	name := s.There(hash)
	if _, err := os.Stat(s.Path(name)); err != nil {
		return &Damage{File: name, Err: PlainError(err)}
	}
	return nil
}

// Open reads a record file and unpacks it.
func (s Records) Open(hash string) ([]byte, error) {
	name := s.There(hash)
	b, err := os.ReadFile(s.Path(name))
	if err != nil {
		return nil, err
	}
	if strings.HasSuffix(name, Packed) {
		return unpack(b)
	}
	return b, nil
}

// Get reads a record and holds it against its name.
func (s Records) Get(hash string) (*schema.Record, error) {
	r := &schema.Record{}
	if err := s.read(hash, r, &r.Version); err != nil {
		return nil, err
	}
	return r, nil
}

// GetFacts is get without what no fact needs, the reasons and, but for what is
// open, the other readings, which are most of a record.
func (s Records) GetFacts(hash string) (*schema.Record, error) {
	var r slimRecord
	if err := s.read(hash, &r, &r.Version); err != nil {
		return nil, err
	}
	r.Record.Quantities = make([]schema.Said, len(r.Quantities))
	for i := range r.Quantities {
		q := &r.Record.Quantities[i]
		*q = r.Quantities[i].Said
		if q.Status == schema.StatusOpen {
			if err := json.Unmarshal(r.Quantities[i].Readings, &q.Readings); err != nil {
				return nil, &Damage{File: s.There(hash), Err: notARecord(err)}
			}
		}
	}
	return &r.Record, nil
}

// slimRecord is a record whose quantities have no reasons, and their readings
// not yet read.
type slimRecord struct {
	schema.Record
	Quantities []slimSaid `json:"quantities"`
}

type slimSaid struct {
	schema.Said
	Readings json.RawMessage `json:"readings"`
	Why      skipped         `json:"why"`
}

// skipped is JSON that is read over.
type skipped struct{}

// UnmarshalJSON keeps nothing.
func (*skipped) UnmarshalJSON([]byte) error { return nil }

// read decodes a record file into r, whose version is then in version.
func (s Records) read(hash string, r any, version *string) error {
	if !IsHash(hash) {
		return &Damage{File: JournalName, Err: errors.New("no hash of a record: " + hash)}
	}
	b, err := s.Open(hash)
	if err != nil {
		return &Damage{File: s.There(hash), Err: PlainError(err)}
	}
	if sum := sha256.Sum256(b); hex.EncodeToString(sum[:]) != hash {
		return &Damage{File: s.There(hash), Err: ErrChecksum}
	}
	// What put wrote is whole by its hash, so it is not checked again.
	if err := json.Unmarshal(b, r); err != nil {
		return &Damage{File: s.There(hash), Err: notARecord(err)}
	}
	if *version != schema.RecordVersion {
		return &Damage{File: s.There(hash), Err: fmt.Errorf("%w: %q", schema.ErrRecordVersion, *version)}
	}
	return nil
}

// notARecord wraps what the library says of JSON that is no record.
func notARecord(err error) error {
	return fmt.Errorf("it is no record that this program knows: %w", err)
}

// hashLen is the length of a hash as text.
const hashLen = 2 * sha256.Size

// IsHash reports whether a name is that of a record: 64 hexadecimal digits.
func IsHash(s string) bool {
	if len(s) != hashLen {
		return false
	}
	_, err := hex.DecodeString(s)
	return err == nil
}

// Any reports whether there is any record.
func (s Records) Any() (bool, error) {
	found := false
	err := filepath.WalkDir(filepath.Join(s.Dir, "records"), func(_ string, d fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err == nil && !d.IsDir() && !strings.HasPrefix(d.Name(), NewPrefix) {
			found = true
			return fs.SkipAll
		}
		return err
	})
	return found, err
}

// Hashes lists the record files there are.
func (s Records) Hashes() ([]string, error) {
	var all []string
	err := filepath.WalkDir(filepath.Join(s.Dir, "records"), func(path string, d fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err != nil {
			return err
		}
		hash, ok := strings.CutSuffix(d.Name(), Packed)
		if !ok {
			hash, ok = strings.CutSuffix(d.Name(), Unpacked)
		}
		if ok && IsHash(hash) {
			all = append(all, hash)
		}
		return nil
	})
	slices.Sort(all)
	return slices.Compact(all), err
}

// Unnamed lists the records but for those known, in the order in which their files
// were written, by their hashes where that is one moment.
func (s Records) Unnamed(known map[string]string) ([]string, error) {
	all, err := s.Hashes()
	if err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(hash string) bool { _, ok := known[hash]; return ok })
	at := map[string]time.Time{}
	for _, hash := range all {
		info, err := os.Stat(s.Path(s.There(hash)))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
		if err == nil {
			at[hash] = info.ModTime()
		}
	}
	slices.SortStableFunc(all, func(a, b string) int { return at[a].Compare(at[b]) })
	return all, nil
}
