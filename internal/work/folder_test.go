package work

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"saywatt/internal/narration"
	"saywatt/internal/pipeline"
)

// narrated writes so many captions of made narrations into a folder: half of
// them in folders below it.
func narrated(t testing.TB, count int) string {
	t.Helper()
	files, err := filepath.Glob("../../testdata/tuning/*.mark")
	if err != nil || len(files) == 0 {
		t.Fatal("no narrations to make others of", err)
	}
	from, err := narration.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	maker, err := narration.NewMaker(19, from)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for i := range count {
		n, err := maker.Next()
		if err != nil {
			t.Fatal(err)
		}
		form := n.Form()
		name := n.Name + narration.Ending(form)
		if i%2 == 1 {
			name = filepath.Join("more", name)
		}
		write(t, filepath.Join(dir, name), string(n.Captions(form)))
	}
	return dir
}

func write(t testing.TB, path, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// alone reads a folder in this process: lines of the feed by review.
func alone(t testing.TB, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		if filepath.Dir(rel) == "." {
			rel = filepath.Join(filepath.Base(dir), rel)
		}
		name := filepath.ToSlash(rel)
		r, _, err := read(ReviewName(name), name, b, 0, pipeline.Options{})
		if err != nil {
			return err
		}
		_, line, err := feedLine(r)
		all[ReviewName(name)] = string(line)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// joined are lines in the order of their reviews.
func joined(all map[string]string) string {
	var b bytes.Buffer
	var names []string
	for name := range all {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		b.WriteString(all[name] + "\n")
	}
	return b.String()
}

// send sends a folder and says how many files were new.
func send(t testing.TB, s *Sender, dir string) (sent int) {
	t.Helper()
	files, err := Sources([]string{dir})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		what, err := s.Send(t.Context(), f)
		if err != nil {
			t.Fatal(err)
		}
		if !what.Same {
			sent++
		}
	}
	return sent
}

// lines gathers all records of a job.
func gathered(t testing.TB, j *Job) string {
	t.Helper()
	var b bytes.Buffer
	if _, err := (&Gatherer{Job: j, Log: quiet()}).Lines(t.Context(), &b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func itoa(n int) string { return strconv.Itoa(n) }
