package desk

import (
	"errors"
	"fmt"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"saywatt/schema"
)

// Two desks write into one file at once: nothing is lost and nothing torn, and
// each has what the other added.
func TestTwoOnOneLog(t *testing.T) {
	path := filepath.Join(t.TempDir(), "review.vtt"+logEnding)
	const desks, each = 4, 40
	var wait sync.WaitGroup
	for who := range desks {
		wait.Go(func() {
			l := &fileLog{path: path}
			for n := range each {
				q := schema.MustQuantity(fmt.Sprintf("%d V", n+1))
				for {
					all, err := l.entries()
					if err != nil {
						t.Error(err)
						return
					}
					err = l.add(len(all), []entry{{Span: schema.Span{Start: 10 * who, End: 10*who + 5}, Quantity: &q,
						Who: fmt.Sprint(who), Act: lastAct(all) + 1, When: someday, How: howTyped}})
					if err == nil {
						break
					}
					if !errors.Is(err, errMoved) {
						t.Error(err)
						return
					}
				}
			}
		})
	}
	wait.Wait()
	all, err := (&fileLog{path: path}).entries()
	if err != nil || len(all) != desks*each {
		t.Fatalf("%d entries, %v; want %d", len(all), err, desks*each)
	}
	next := map[string]int{}
	for i := range all {
		e := &all[i]
		next[e.Who]++
		if want := fmt.Sprintf("%d V", next[e.Who]); e.Quantity.String() != want || e.Act != i+1 {
			t.Fatalf("entry %d of desk %s is act %d, %s; want %s", next[e.Who], e.Who, e.Act, e.Quantity, want)
		}
	}
}

// A file that another program keeps locked is waited for, and refused in the end.
func TestLogBusy(t *testing.T) {
	path := filepath.Join(t.TempDir(), "busy"+logEnding)
	first, err := openLocked(path)
	if err != nil {
		t.Fatal(err)
	}
	time.AfterFunc(3*busyWait, func() { first.Close() })
	q := schema.MustQuantity("5 V")
	entry := []entry{{Quantity: &q, Act: 1}}
	l := &fileLog{path: path}
	if err := l.add(0, entry); err != nil {
		t.Errorf("what was locked for a while: %v", err)
	}
	f, err := openLocked(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := l.add(1, entry); !errors.Is(err, errLogBusy) {
		t.Errorf("what stays locked: %v", err)
	}
}

// Two desks on one file: what one decided the other shows, and asks before it
// overwrites it.
func TestTwoDesksOnOneFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "decisions.jsonl")
	a, b := visit(t, Config{Decisions: path, Who: "Ines Varga"}), visit(t, Config{Decisions: path, Who: "Tam Orde"})
	a.post("/r/demo/decide", "version", "0", "at", resistance, "act", "typed", "typed", "7").sees(200)
	b.post("/r/demo/decide", "version", "0", "at", resistance, "act", "typed", "typed", "8").sees(409, "Ines Varga",
		"7 mΩ", "8 mΩ")
	b.post("/r/demo/decide", "version", "0", "at", noLoad, "act", "heard").sees(200)
	a.get("/r/demo/decisions").sees(200, "Tam Orde, as heard “8 watts”: 8 W")
}
