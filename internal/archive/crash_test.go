package archive

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"saywatt/internal/archive/index"
	"saywatt/internal/archive/store"
)

// writerDir says to a copy of the test binary to write to an archive until it
// is killed.
const writerDir = "SAYWATT_TEST_WRITER"

func TestMain(m *testing.M) {
	if dir := os.Getenv(writerDir); dir != "" {
		writeForever(dir)
	}
	os.Exit(m.Run())
}

// writeForever adds reviews, old names and new, and prints each name with its
// record when it is acknowledged.
func writeForever(dir string) {
	fatal := func(err error) {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(3)
	}
	a, err := Create(dir)
	if err != nil {
		fatal(err)
	}
	for i := os.Getpid() % 50; ; i++ {
		w, err := a.Begin()
		if err != nil {
			fatal(err)
		}
		for k := range 1 + i%4 {
			r := generated(i)
			r.Product.Model = fmt.Sprint(os.Getpid(), i, k)
			added, err := w.Add(fmt.Sprintf("review-%d.vtt", (i+k)%40), r, "Ada", day, true)
			if err == nil {
				err = w.Commit()
			}
			if err != nil {
				fatal(err)
			}
			fmt.Println(added.Review, added.Version, added.Record)
		}
		if err := w.Close(); err != nil {
			fatal(err)
		}
	}
}

// complains reports whether a writer has written more than what bleve says of a file
// that it has removed by another way already.
func complains(stderr string) bool {
	for line := range strings.Lines(stderr) {
		if !strings.Contains(line, "got err removing file: ") || !strings.Contains(line, "no such file") {
			return true
		}
	}
	return false
}

// A writer is killed many times, at moments spread over what it does. Nothing
// it acknowledged may be lost, and what is left must be served at once.
func TestKilledWritersLoseNothingAcknowledged(t *testing.T) {
	kills := 30
	if testing.Short() {
		kills = 8
	}
	dir := filepath.Join(t.TempDir(), "archive")
	acknowledged := map[string]string{} // review and version to record
	pace := time.Millisecond            // slower where the machine is: half of the writers are to get somewhere
	for i := range kills {
		if len(acknowledged) < i/2 {
			pace = min(2*pace, 16*time.Millisecond)
		}
		cmd := exec.Command(os.Args[0], "-test.run=none")
		cmd.Env = append(os.Environ(), writerDir+"="+dir)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		var complaints strings.Builder
		cmd.Stderr = &complaints
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		go func() {
			time.Sleep(pace * time.Duration(20+i*7))
			cmd.Process.Kill() // SIGKILL
		}()
		for s := bufio.NewScanner(out); s.Scan(); {
			// A line that was cut by the kill has no whole hash.
			if f := strings.Fields(s.Text()); len(f) == 3 && store.IsHash(f[2]) {
				acknowledged[f[0]+" "+f[1]] = f[2]
			}
		}
		cmd.Wait()
		if complains(complaints.String()) {
			t.Fatalf("kill %d: %s", i, &complaints)
		}
	}
	if len(acknowledged) == 0 {
		t.Fatalf("none acknowledged in %d runs", kills)
	}
	a, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	size, err := a.journal.Size()
	if err != nil {
		t.Fatal(err)
	}
	logged := map[string]string{}
	newest := map[string]string{}
	err = a.journal.Each(0, size, func(d *store.Decision, _ int64) {
		logged[fmt.Sprintf("%s %d", d.Review, d.Version)] = d.Record
		newest[d.Review] = d.Record
	}, func(d *store.Damage) { t.Errorf("damaged line: %v", d) })
	if err != nil {
		t.Fatal(err)
	}
	for what, hash := range acknowledged {
		if logged[what] != hash {
			t.Errorf("%s was acknowledged as %s, the log has %q", what, hash, logged[what])
		}
		if _, err := a.store.Get(hash); err != nil {
			t.Errorf("%s: %v", what, err)
		}
	}
	res := search(t, a, Request{Limit: 1000})
	if res.Total != len(newest) || len(res.Damages) > 0 {
		t.Errorf("%d reviews found of %d, damages %v", res.Total, len(newest), res.Damages)
	}
	for _, h := range res.Hits {
		if h.Review.Record != newest[h.Review.Name] {
			t.Errorf("%s: the index has %s, the log %s", h.Review.Name, h.Review.Record, newest[h.Review.Name])
		}
	}
	damages, err := a.Check()
	if err != nil {
		t.Fatal(err)
	}
	orphans := 0
	for _, d := range damages {
		if !errors.Is(d, store.ErrOrphan) && !errors.Is(d, store.ErrLeft) {
			t.Errorf("%v", d)
		}
		orphans++
	}
	t.Logf("%d kills, %d acknowledged, %d records that no line names", kills, len(acknowledged), orphans)
}

// Half a line at the end was never acknowledged: the next writer cuts it off.
func TestHalfALineIsCutOff(t *testing.T) {
	a := filled(t, 2)
	path := filepath.Join(a.dir, store.JournalName)
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, cut := range []int{1, 20, 200, 1900} { // the last is longer than what is written next
		line, err := store.AppendLine(nil, &store.Decision{When: day, Act: store.ActAdded, Review: "half", Version: 1,
			Record: strings.Repeat("a", 64), Note: strings.Repeat("n", 2000)})
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, append(append([]byte{}, whole...), line[:min(cut, len(line)-1)]...),
			0o644); err != nil {
			t.Fatal(err)
		}
		if got := search(t, a, Request{}); got.Total != 2 || got.Behind {
			t.Errorf("cut at %d: %d found, behind %v", cut, got.Total, got.Behind)
		}
		w := begin(t, a)
		r := generated(2 + cut)
		if _, err := w.Add(fmt.Sprint("after-", cut), r, "Ada", day, false); err != nil {
			t.Fatal(err)
		}
		finish(t, w)
		reviews, damages, err := a.Reviews()
		if err != nil || len(damages) > 0 || len(reviews) != 3 {
			t.Errorf("cut at %d: %d reviews, %v, %v", cut, len(reviews), damages, err)
		}
		w = begin(t, a)
		if err := w.Remove(Name(fmt.Sprint("after-", cut)), "Ada", day); err != nil {
			t.Fatal(err)
		}
		finish(t, w)
		if whole, err = os.ReadFile(path); err != nil {
			t.Fatal(err)
		}
	}
}

// damage changes one file.
func damage(t *testing.T, path string, change func([]byte) []byte) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	os.Chmod(path, 0o644)
	if err := os.WriteFile(path, change(b), 0o644); err != nil {
		t.Fatal(err)
	}
}

func flip(at int) func([]byte) []byte {
	return func(b []byte) []byte {
		b[(at%len(b)+len(b))%len(b)] ^= 0x10
		return b
	}
}

func truncate(b []byte) []byte { return b[:len(b)/2] }

// Damaged records are reported by name, and everything else is served.
func TestDamagedRecordsAreToldAndTheRestServed(t *testing.T) {
	for name, change := range map[string]func([]byte) []byte{"flipped": flip(500), "truncated": truncate,
		"emptied": func([]byte) []byte { return nil }} {
		t.Run(name, func(t *testing.T) {
			a := filled(t, 5)
			rv, err := a.find("review-000003")
			if err != nil {
				t.Fatal(err)
			}
			file := a.store.Name(rv.Record)
			damage(t, filepath.Join(a.dir, file), change)
			reports := func(all []*store.Damage) bool {
				for _, d := range all {
					if d.File == file && d.Review == "review-000003" {
						return true
					}
				}
				return false
			}
			if res := search(t, a, Request{Query: "volt* or mass > 0 g", Limit: 10}); res.Total != 5 ||
				len(res.Hits) != 5 || !reports(res.Damages) {
				t.Errorf("before a rebuild: %d found, %d listed, damages %v", res.Total, len(res.Hits), res.Damages)
			}
			if _, _, _, err := a.Record("review-000003"); err == nil || !strings.Contains(err.Error(), file) {
				t.Errorf("the record itself: %v", err)
			}
			damages, err := a.Check()
			if err != nil || !reports(damages) || len(damages) != 1 {
				t.Errorf("check: %v, %v", damages, err)
			}
			if _, err := a.Reindex(nil); err != nil {
				t.Fatal(err)
			}
			if res := search(t, a, Request{Query: "mass > 0 g", Limit: 10}); res.Total != 4 {
				t.Errorf("after a rebuild: %d found", res.Total)
			}
			// Put in again, it is whole.
			w := begin(t, a)
			if _, err := w.Add("review-000003.vtt", generated(3), "Ada", day, false); err != nil {
				t.Fatal(err)
			}
			finish(t, w)
			if damages, err := a.Check(); err != nil || len(damages) != 0 {
				t.Errorf("after it was added again: %v, %v", damages, err)
			}
		})
	}
}

// Where the newest version is damaged the one before is served.
func TestOlderVersionIsServedForADamagedOne(t *testing.T) {
	a := filled(t, 1)
	w := begin(t, a)
	r := generated(0)
	r.Product.Model = "newer"
	added, err := w.Add("review-000000.vtt", r, "Ada", day, false)
	if err != nil {
		t.Fatal(err)
	}
	finish(t, w)
	damage(t, filepath.Join(a.dir, a.store.Name(added.Record)), flip(99))
	_, got, damages, err := a.Record("review-000000")
	if err != nil || got.Product.Model != generated(0).Product.Model || len(damages) != 1 {
		t.Errorf("model %q, damages %v, %v", got.Product.Model, damages, err)
	}
}

// A damaged line of the log is reported by number, and the others are served.
func TestDamagedLineOfTheLog(t *testing.T) {
	a := filled(t, 5)
	damage(t, filepath.Join(a.dir, store.JournalName), flip(30))
	reviews, damages, err := a.Reviews()
	if err != nil || len(reviews) != 4 || len(damages) != 1 || damages[0].Line != 1 ||
		!errors.Is(damages[0], store.ErrChecksum) {
		t.Errorf("%d reviews, %v, %v", len(reviews), damages, err)
	}
	all, err := a.Check()
	if err != nil || len(all) != 2 { // the line, and the record that no line names now
		t.Errorf("check: %v, %v", all, err)
	}
}

// A broken index is made again without a word, whatever is wrong with it.
func TestBrokenIndexIsRebuilt(t *testing.T) {
	segment := func(t *testing.T, a *Archive, pattern string) string {
		t.Helper()
		found, err := filepath.Glob(filepath.Join(store.IndexDir(a.dir), "*", pattern))
		if err != nil || len(found) == 0 {
			t.Fatalf("no %s: %v", pattern, err)
		}
		return found[0]
	}
	for name, breakIt := range map[string]func(t *testing.T, a *Archive){
		"gone":          func(t *testing.T, a *Archive) { os.RemoveAll(store.IndexDir(a.dir)) },
		"manifest gone": func(t *testing.T, a *Archive) { os.Remove(filepath.Join(store.IndexDir(a.dir), "current.json")) },
		"manifest garbage": func(t *testing.T, a *Archive) {
			damage(t, filepath.Join(store.IndexDir(a.dir), "current.json"), truncate)
		},
		"other version": func(t *testing.T, a *Archive) {
			damage(t, filepath.Join(store.IndexDir(a.dir), "current.json"), otherVersion)
		},
		"segment gone":      func(t *testing.T, a *Archive) { os.Remove(segment(t, a, "*.zap")) },
		"segment truncated": func(t *testing.T, a *Archive) { damage(t, segment(t, a, "*.zap"), truncate) },
		"segment flipped":   func(t *testing.T, a *Archive) { damage(t, segment(t, a, "*.zap"), flip(4000)) },
		"root flipped":      func(t *testing.T, a *Archive) { damage(t, segment(t, a, "root.bolt"), flip(20000)) },
	} {
		t.Run(name, func(t *testing.T) {
			a := filled(t, 4)
			want := names(search(t, a, Request{Query: "mass > 0 g"}))
			a.Close()
			breakIt(t, a)
			b, err := Open(a.dir)
			if err != nil {
				t.Fatal(err)
			}
			defer b.Close()
			if got := names(search(t, b, Request{Query: "mass > 0 g"})); strings.Join(got, " ") != strings.Join(want,
				" ") {
				t.Errorf("found %v, want %v", got, want)
			}
			if m, err := store.ReadManifest(b.dir); err != nil || m.Check(b.dir, &store.Checked{}) != nil {
				t.Errorf("the index was not made again: %v", err)
			}
			if reported, harmless := b.Repaired() != nil, strings.Contains(name, "gone") && name != "segment gone" ||
				name == "other version"; reported == harmless {
				t.Errorf("damage reported: %v", b.Repaired())
			}
		})
	}
}

func otherVersion(b []byte) []byte {
	return []byte(strings.Replace(string(b), store.IndexVersion, "saywatt/index/0", 1))
}

// A panic inside the index is an error with a cause, and makes it again.
func TestPanicInsideTheIndexIsCaught(t *testing.T) {
	a := filled(t, 2)
	calls := 0
	_, err := a.with(func(v *index.View) error {
		if calls++; calls == 1 {
			panic("index out of range")
		}
		return nil
	})
	if err != nil || calls != 2 {
		t.Errorf("%d calls, %v", calls, err)
	}
}

// Readers and a writer work at the same time, in several opened archives.
func TestReadersWhileOneWrites(t *testing.T) {
	a := filled(t, 10)
	stop := make(chan struct{})
	var g sync.WaitGroup
	for range 4 {
		g.Go(func() {
			b, err := Open(a.dir)
			if err != nil {
				t.Error(err)
				return
			}
			defer b.Close()
			least := 0
			for {
				select {
				case <-stop:
					return
				default:
				}
				res, err := b.Search(Request{Query: "mass > 0 g", Facets: true, Sort: "power", Limit: 2})
				if err != nil {
					t.Error(err)
					return
				}
				if res.Total < least || res.Total < 10 {
					t.Errorf("%d found after %d", res.Total, least)
				}
				least = res.Total
				if _, err := b.Stats("efficiency", ""); err != nil {
					t.Error(err)
				}
			}
		})
	}
	for range 2 { // and two that share one opened archive
		g.Go(func() {
			for range 15 {
				if _, err := a.Search(Request{Query: "fuse or power > 10 W", Facets: true}); err != nil {
					t.Error(err)
				}
			}
		})
	}
	for i := range 12 {
		var w *Writer
		for {
			var err error
			var busy *store.BusyError
			if w, err = a.Begin(); err == nil {
				break
			} else if !errors.As(err, &busy) { // a reader may be catching up
				t.Fatal(err)
			}
			time.Sleep(time.Millisecond)
		}
		if _, err := w.Add(fmt.Sprint("more-", i), generated(100+i), "Ada", day, false); err != nil {
			t.Fatal(err)
		}
		finish(t, w)
	}
	close(stop)
	g.Wait()
	if got := search(t, a, Request{}).Total; got != 22 {
		t.Errorf("%d reviews, want 22", got)
	}
}

func TestCreate(t *testing.T) {
	dir := t.TempDir()
	if _, err := Open(dir); !errors.Is(err, ErrNoArchive) {
		t.Errorf("an empty folder: %v", err)
	}
	if err := os.WriteFile(filepath.Join(dir, "else.txt"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Create(dir); !errors.Is(err, errNotEmpty) {
		t.Errorf("a folder of something else: %v", err)
	}
	a := empty(t)
	if got := search(t, a, Request{Facets: true}); got.Total != 0 {
		t.Errorf("%d found in an empty archive", got.Total)
	}
	if d, err := a.Stats("power", ""); err != nil || d.Values != 0 {
		t.Errorf("stats of an empty archive: %+v, %v", d, err)
	}
	damage(t, filepath.Join(a.dir, "archive.json"), func(b []byte) []byte { return []byte(`{"version":"saywatt/archive/9"}`) })
	if _, err := Open(a.dir); !errors.Is(err, errFormat) {
		t.Errorf("another format: %v", err)
	}
	if _, err := os.Stat(filepath.Join(a.dir, "records")); errors.Is(err, fs.ErrNotExist) {
		t.Error("no folder for records")
	}
}
