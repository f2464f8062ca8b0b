package archive

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"saywatt/schema"
)

// store holds the record files: records/ab/abcd….json, named by the SHA-256
// of what is in them.
type store struct{ dir string }

// name is the place of a record within the archive.
func (s store) name(hash string) string {
	return "records/" + hash[:2] + "/" + hash + ".json"
}

// put writes a record, if it is not there yet, and returns its hash. The file
// is whole and synced under its name, and so is its folder, when put returns.
func (s store) put(r *schema.Record) (hash string, err error) {
	var b bytes.Buffer
	if err := r.Write(&b); err != nil {
		return "", err
	}
	sum := sha256.Sum256(b.Bytes())
	hash = hex.EncodeToString(sum[:])
	path := filepath.Join(s.dir, filepath.FromSlash(s.name(hash)))
	if old, err := os.ReadFile(path); err == nil && bytes.Equal(old, b.Bytes()) {
		return hash, nil
	}
	folder := filepath.Dir(path)
	if _, err := os.Stat(folder); errors.Is(err, fs.ErrNotExist) {
		if err := os.MkdirAll(folder, 0o755); err != nil {
			return "", err
		}
		if err := syncDir(filepath.Dir(folder)); err != nil {
			return "", err
		}
	}
	return hash, writeSynced(path, b.Bytes())
}

// get reads a record and holds it against its name.
func (s store) get(hash string) (*schema.Record, error) {
	r := &schema.Record{}
	if err := s.read(hash, r, &r.Version); err != nil {
		return nil, err
	}
	return r, nil
}

// getFacts is get without what no fact needs, the other readings and the
// reasons, which are most of a record.
func (s store) getFacts(hash string) (*schema.Record, error) {
	var r slimRecord
	if err := s.read(hash, &r, &r.Version); err != nil {
		return nil, err
	}
	r.Record.Quantities = make([]schema.Said, len(r.Quantities))
	for i := range r.Quantities {
		r.Record.Quantities[i] = r.Quantities[i].Said
	}
	return &r.Record, nil
}

// slimRecord is a record whose quantities have neither readings nor reasons.
type slimRecord struct {
	schema.Record
	Quantities []slimSaid `json:"quantities"`
}

type slimSaid struct {
	schema.Said
	Readings skipped `json:"readings"`
	Why      skipped `json:"why"`
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
	b, err := os.ReadFile(filepath.Join(s.dir, filepath.FromSlash(s.name(hash))))
	if err != nil {
		var p *fs.PathError
		if errors.As(err, &p) {
			err = p.Err
		}
		return &Damage{File: s.name(hash), Err: err}
	}
	if sum := sha256.Sum256(b); hex.EncodeToString(sum[:]) != hash {
		return &Damage{File: s.name(hash), Err: ErrChecksum}
	}
	// What put wrote is whole by its hash, so it is not checked again.
	if err := json.Unmarshal(b, r); err != nil {
		return &Damage{File: s.name(hash), Err: err}
	}
	if *version != schema.RecordVersion {
		return &Damage{File: s.name(hash), Err: fmt.Errorf("%w: %q", schema.ErrRecordVersion, *version)}
	}
	return nil
}

func isHash(s string) bool {
	if len(s) != 2*sha256.Size {
		return false
	}
	_, err := hex.DecodeString(s)
	return err == nil
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
		if hash, ok := strings.CutSuffix(d.Name(), ".json"); ok && isHash(hash) {
			all = append(all, hash)
		}
		return nil
	})
	return all, err
}

// writeSynced writes a file so that under its name there is at any moment the
// old content or the new, and the new is on disk when it returns.
func writeSynced(path string, b []byte) error {
	folder := filepath.Dir(path)
	f, err := os.CreateTemp(folder, ".new-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // gone already where all went well
	if err := f.Chmod(0o644); err != nil {
		f.Close()
		return err
	}
	_, err = f.Write(b)
	if err == nil {
		err = f.Sync()
	}
	if err2 := f.Close(); err == nil {
		err = err2
	}
	if err != nil {
		return err
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return err
	}
	return syncDir(folder)
}

// syncDir has the names in a folder on disk.
func syncDir(path string) error {
	d, err := os.Open(path)
	if err != nil {
		return err
	}
	defer d.Close()
	if err := d.Sync(); err != nil && !errors.Is(err, errors.ErrUnsupported) && !errors.Is(err, fs.ErrInvalid) {
		return err
	}
	return nil
}
