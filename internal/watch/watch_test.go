package watch

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func write(t *testing.T, name string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte("x"), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestOnceHandsOnWhatIsThere(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, name := range []string{"in/b.vtt", "in/a/en.vtt", "in/film.mp4", "in/.hidden/x.vtt", "in/out/y.vtt",
		"in/b.vtt.decisions.jsonl"} {
		write(t, name)
	}
	var got []string
	err := Folder(t.Context(), "in", Options{Once: true, Without: []string{"in/out"}}, func(name string) error {
		got = append(got, filepath.ToSlash(name))
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff([]string{"in/a/en.vtt", "in/b.vtt"}, got); d != "" {
		t.Errorf("(-want +got)\n%s", d)
	}
	broken := errors.New("no space left")
	if err := Folder(t.Context(), "in", Options{Once: true}, func(string) error { return broken }); !errors.Is(err,
		broken) {
		t.Error(err)
	}
	if err := Folder(t.Context(), "nowhere", Options{Once: true}, nil); err == nil {
		t.Error("a folder that is not there is watched")
	}
}

// Files that come while it watches, in folders that come too, are handed on
// once; one that is still written to waits.
func TestWhatComesIsHandedOnOnce(t *testing.T) {
	t.Chdir(t.TempDir())
	write(t, "in/first.vtt")
	var mu sync.Mutex
	var got []string
	ctx, stop := context.WithCancel(t.Context())
	done := make(chan error)
	go func() {
		done <- Folder(ctx, "in", Options{Settle: 60 * time.Millisecond}, func(name string) error {
			mu.Lock()
			defer mu.Unlock()
			got = append(got, filepath.ToSlash(name))
			return nil
		})
	}()
	waitFor := func(names ...string) {
		t.Helper()
		for end := time.Now().Add(20 * time.Second); ; time.Sleep(10 * time.Millisecond) {
			mu.Lock()
			sorted := slices.Sorted(slices.Values(got))
			mu.Unlock()
			if slices.Equal(sorted, names) {
				return
			}
			if time.Now().After(end) {
				t.Fatalf("handed on %q, want %q", sorted, names)
			}
		}
	}
	waitFor("in/first.vtt")
	write(t, "in/new/second.vtt")
	write(t, "in/new/second.mp4")
	waitFor("in/first.vtt", "in/new/second.vtt")
	if err := os.WriteFile("in/first.vtt", []byte("longer"), 0o644); err != nil {
		t.Fatal(err)
	}
	waitFor("in/first.vtt", "in/first.vtt", "in/new/second.vtt")
	stop()
	if err := <-done; err != nil {
		t.Error(err)
	}
}
