package archive

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

	"github.com/klauspost/compress/gzip"

	"saywatt/schema"
)

// store holds the record files: records/ab/abcd….json.gz, named by the SHA-256
// of the record, compressed by gzip (RFC 1952). An archive of before has plain
// files, records/ab/abcd….json, which are read as they are.
type store struct{ dir string }

// Endings of record files.
const (
	packed   = ".json.gz"
	unpacked = ".json"
)

// name is the place of a record within the archive, as it is written.
func (s store) name(hash string) string {
	return "records/" + hash[:2] + "/" + hash + packed
}

// there is the place of a record within the archive as it lies there.
func (s store) there(hash string) string {
	name := s.name(hash)
	if _, err := os.Stat(s.path(name)); errors.Is(err, fs.ErrNotExist) {
		old := strings.TrimSuffix(name, packed) + unpacked
		if _, err := os.Stat(s.path(old)); err == nil {
			return old
		}
	}
	return name
}

func (s store) path(name string) string { return filepath.Join(s.dir, filepath.FromSlash(name)) }

// put writes a record, if it is not there yet, and returns its hash. The file
// is whole and synced under its name, and so is its folder, when put returns.
func (s store) put(r *schema.Record) (hash string, err error) {
	hash, text, err := written(r)
	if err != nil {
		return "", err
	}
	_, err = s.keep(hash, text)
	return hash, err
}

// written is a record as it is stored, before it is compressed, and its hash.
func written(r *schema.Record) (hash string, text []byte, err error) {
	var b bytes.Buffer
	if err := r.Write(&b); err != nil {
		return "", nil, err
	}
	sum := sha256.Sum256(b.Bytes())
	return hex.EncodeToString(sum[:]), b.Bytes(), nil
}

// keep is put for a record that is written already. It reports whether it wrote the
// file: it was not there, or damaged.
func (s store) keep(hash string, text []byte) (wrote bool, err error) {
	if old, err := s.open(hash); err == nil && bytes.Equal(old, text) {
		return false, nil
	}
	path := s.path(s.name(hash))
	folder := filepath.Dir(path)
	if _, err := os.Stat(folder); errors.Is(err, fs.ErrNotExist) {
		if err := makeFolder(s.dir, folder); err != nil {
			return false, err
		}
		if err := syncDir(filepath.Dir(folder)); err != nil {
			return false, err
		}
	}
	small, err := pack(text)
	if err != nil {
		return false, err
	}
	return true, writeSynced(s.dir, path, small)
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

// look names a record file that is not there.
func (s store) look(hash string) error {
	name := s.there(hash)
	if _, err := os.Stat(s.path(name)); err != nil {
		return &Damage{File: name, Err: plainError(err)}
	}
	return nil
}

// open reads a record file and unpacks it.
func (s store) open(hash string) ([]byte, error) {
	name := s.there(hash)
	b, err := os.ReadFile(s.path(name))
	if err != nil {
		return nil, err
	}
	if strings.HasSuffix(name, packed) {
		return unpack(b)
	}
	return b, nil
}

// get reads a record and holds it against its name.
func (s store) get(hash string) (*schema.Record, error) {
	r := &schema.Record{}
	if err := s.read(hash, r, &r.Version); err != nil {
		return nil, err
	}
	return r, nil
}

// getFacts is get without what no fact needs, the reasons and, but for what is
// open, the other readings, which are most of a record.
func (s store) getFacts(hash string) (*schema.Record, error) {
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
				return nil, &Damage{File: s.there(hash), Err: notARecord(err)}
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
func (s store) read(hash string, r any, version *string) error {
	if !isHash(hash) {
		return &Damage{File: journalName, Err: errors.New("no hash of a record: " + hash)}
	}
	b, err := s.open(hash)
	if err != nil {
		return &Damage{File: s.there(hash), Err: plainError(err)}
	}
	if sum := sha256.Sum256(b); hex.EncodeToString(sum[:]) != hash {
		return &Damage{File: s.there(hash), Err: errChecksum}
	}
	// What put wrote is whole by its hash, so it is not checked again.
	if err := json.Unmarshal(b, r); err != nil {
		return &Damage{File: s.there(hash), Err: notARecord(err)}
	}
	if *version != schema.RecordVersion {
		return &Damage{File: s.there(hash), Err: fmt.Errorf("%w: %q", schema.ErrRecordVersion, *version)}
	}
	return nil
}

// notARecord wraps what the library says of JSON that is no record.
func notARecord(err error) error {
	return fmt.Errorf("it is no record that this program knows: %w", err)
}

// hashLen is the length of a hash as text.
const hashLen = 2 * sha256.Size

func isHash(s string) bool {
	if len(s) != hashLen {
		return false
	}
	_, err := hex.DecodeString(s)
	return err == nil
}

// any reports whether there is any record.
func (s store) any() (bool, error) {
	found := false
	err := filepath.WalkDir(filepath.Join(s.dir, "records"), func(_ string, d fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err == nil && !d.IsDir() && !strings.HasPrefix(d.Name(), newPrefix) {
			found = true
			return fs.SkipAll
		}
		return err
	})
	return found, err
}

// hashes lists the record files there are.
func (s store) hashes() ([]string, error) {
	var all []string
	err := filepath.WalkDir(filepath.Join(s.dir, "records"), func(path string, d fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err != nil {
			return err
		}
		hash, ok := strings.CutSuffix(d.Name(), packed)
		if !ok {
			hash, ok = strings.CutSuffix(d.Name(), unpacked)
		}
		if ok && isHash(hash) {
			all = append(all, hash)
		}
		return nil
	})
	slices.Sort(all)
	return slices.Compact(all), err
}
