package desk

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"saywatt/internal/archive"
)

func TestArchivePages(t *testing.T) {
	v := visit(t, Config{Archive: newArchive(t), Who: "Ines Varga", Local: true})
	for _, name := range []string{"atrium-station.vtt", "lantern-mag-bank.srt"} {
		text, err := os.ReadFile(filepath.Join("../demo/narrations", name))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := v.desk.Open(context.Background(), name, bytes.NewReader(text)); err != nil {
			t.Fatal(err)
		}
	}
	v.get("/archive").sees(200, "3 reviews", "Orrindale Jetty Duo", "Oakwharf Atrium Station", "Narrow it kind")
	v.get("/archive?q=fuse+current+3..4+A").sees(200, "1 review: fuse current 3..4 A", "3.15 A", "1:06")
	v.get("/archive?q=maker%3A%22Orrindale%22&sort=power").sees(200, "1 review")
	v.get("/archive?q=power+%3E").sees(422, "power >")
	v.get("/archive?q=%22%3Cscript%3E%22&from=-3").sees(200, "0 reviews")
	v.get("/archive?q=" + strings.Repeat("x", 5000)).sees(200)
	v.get("/archive/compare").sees(200, "Reviews to set side by side, up to six", "lantern-mag-bank")
	v.get("/archive/compare?r=demo").sees(200, "Choose one more")
	v.get("/archive/compare?r=demo&r=lantern-mag-bank").sees(200,
		"cell capacity ≠ differs 5000 mAh*† (repaired) may belong elsewhere 8000 mAh (as heard) ×1.6")
	v.get("/archive/compare?r=demo&r=nobody").sees(404)
	v.get("/archive/stats?subject=power").sees(200, "output power: ", "input power: ", "no load power: ", "median")
	v.get("/archive/stats?subject=output+power").sees(200, "output power: ", "values in 3 reviews", "median")
	v.get("/archive/stats.svg?subject=power").sees(200)
	v.get("/archive/stats?subject=colour").sees(422)
	v.get("/archive/queue").sees(200, "readings wait", "0:",
		"“29 Miller homes” as on resistance of a part: 2.9 mΩ "+v.chance("demo", resistance, 0)+" · 29 mΩ "+
			v.chance("demo", resistance, 1))
	v.get("/archive/queue?q=maker:orrindale").sees(200, "2 readings wait")
	v.get("/archive/review/demo?said=47").sees(200, "29 Miller homes")
	v.get("/archive/review/nobody").sees(404, "There is no review of this name")

	// What is decided goes into the archive's log, and its record can be kept.
	v.post("/r/demo/decide", "version", "0", "at", resistance, "act", "typed", "typed", "2.9").sees(200)
	v.get("/archive/queue?q=maker:orrindale").sees(200, "1 reading waits")
	v.post("/r/demo/keep").sees(200, "The record is in the archive as it stands here")
	v.get("/archive?q=maker:orrindale").sees(200, "demo, version 2")
	none := visit(t, Config{})
	none.get("/archive").sees(404, "saywatt desk --archive DIR")
}

// Of a review whose captions are gone the record is shown, and can be decided on.
func TestWithoutCaptions(t *testing.T) {
	a := newArchive(t)
	v := visit(t, Config{Archive: a})
	alone, err := New(Config{Archive: a, Now: func() time.Time { return someday }})
	if err != nil {
		t.Fatal(err)
	}
	w := comer(t, alone)
	w.get("/archive/review/demo").sees(200, "Levels")
	w.get("/r/demo/transcript").sees(200, "The captions of this review are not at hand")
	w.get("/r/demo/transcript?status=open").sees(200, "29 Miller homes?")
	w.get("/r/demo/replace?find=volts").sees(409, "not at hand")
	w.get("/r/demo/out").sees(200, "Record").lacks("Corrected captions")
	w.get("/r/demo/out/captions").sees(404)
	w.get("/r/demo/question/"+resistance).sees(200, "29 Miller homes", "2 29 mΩ")
	w.post("/r/demo/decide", "version", "0", "at", resistance, "act", "typed", "typed", "2.9").sees(200,
		"“29 Miller homes”: 2.9 mΩ")
	w.get("/r/demo/question/"+resistance).sees(200, "Decided: 2.9 mΩ")
	w.post("/r/demo/undo", "version", "1", "act", "1").sees(200, "Taken back")
	v.get("/r/demo/decisions").sees(200, "as before anybody decided")
}

// Any number of reviews is open; of those nobody looked at for longest only the
// captions are in memory, and they are read again when somebody does.
func TestManyOpen(t *testing.T) {
	captions := func(i int) string {
		return fmt.Sprintf("WEBVTT\n\n00:01.000 --> 00:04.000\nThe Tern %d charger. Output %d volts 3 amps.\n", i, 5+i)
	}
	v := visit(t, Config{})
	for i := 1; i < maxOpen; i++ {
		if _, err := v.desk.Open(context.Background(), fmt.Sprintf("tern-%d.vtt", i),
			strings.NewReader(captions(i))); err != nil {
			t.Fatal(err)
		}
	}
	v.post("/r/demo/decide", "version", "0", "at", resistance, "act", "typed", "typed", "7").sees(200)
	for i := maxOpen; i < maxOpen+20; i++ {
		if _, err := v.desk.Open(context.Background(), fmt.Sprintf("tern-%d.vtt", i),
			strings.NewReader(captions(i))); err != nil {
			t.Fatal(err)
		}
	}
	read := 0
	for _, r := range v.desk.all() {
		if r.state() != nil {
			read++
		}
	}
	if read != maxOpen {
		t.Errorf("%d reviews are in memory as they were read", read)
	}
	v.desk.find("demo").park()
	v.get("/").sees(200, "84 reviews", "tern-63.vtt", "tern-83.vtt", "1 settled")
	v.get("/?find=tern+8").sees(200, "tern-80.vtt", "with “tern 8”").lacks("tern-63.vtt")
	v.get("/r/demo/question/"+resistance).sees(200, "Decided: 7 mΩ")
}

// Two desks on one archive, as two processes are: what one decides the other
// has, and a decision on the same place is a conflict.
func TestTwoDesks(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "archive")
	open := func(who string) *visitor {
		a, err := archive.Create(dir)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { a.Close() })
		return visit(t, Config{Archive: a, Who: who})
	}
	one, two := open("Ines Varga"), open("Tam Orde")
	one.get("/r/demo/question/" + resistance).sees(200)
	two.get("/r/demo/question/" + resistance).sees(200)
	one.post("/r/demo/decide", "version", "0", "at", resistance, "act", "typed", "typed", "2.9").sees(200)
	two.post("/r/demo/decide", "version", "0", "at", resistance, "act", "typed", "typed",
		"68").sees(http.StatusConflict, "Ines Varga", "2.9 mΩ")
	two.post("/r/demo/decide", "version", "0", "at", noLoad, "act", "heard").sees(200)
	one.get("/r/demo/decisions").sees(200, "Tam Orde, as heard “8 watts”: 8 W",
		"Ines Varga, typed “29 Miller homes”: 2.9 mΩ")
	one.post("/r/demo/undo", "version", "2", "act", "1").sees(200, "Taken back")
	two.get("/r/demo/question/"+resistance).sees(200, "1 2.9 mΩ "+two.chance("demo", resistance, 0),
		"2 29 mΩ as heard "+two.chance("demo", resistance, 1)).lacks("Decided:")
}

// A log in a file lasts, and half a line at its end does not count.
func TestDecisionsFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "decisions.jsonl")
	v := visit(t, Config{Decisions: path, Who: "Ines Varga"})
	v.post("/r/demo/decide", "version", "0", "at", resistance, "act", "typed", "typed", "2.9").sees(200)
	f, err := os.OpenFile(path, os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	fmt.Fprint(f, `{"span":[2106,21`)
	f.Close()
	again := visit(t, Config{Decisions: path})
	again.get("/r/demo/question/"+resistance).sees(200, "Decided: 2.9 mΩ by Ines Varga")
	again.post("/r/demo/decide", "version", "1", "at", noLoad, "act", "heard").sees(200, "What it belongs to")
	text, err := os.ReadFile(path)
	if err != nil || strings.Count(string(text), "\n") != 2 || !strings.HasSuffix(string(text), "}\n") {
		t.Errorf("%q, %v", text, err)
	}
	v.get("/r/demo/decisions").sees(200, "“8 watts”: 8 W")
}

// Files are added by their path or dropped; progress is sent as events.
func TestAdd(t *testing.T) {
	folder := t.TempDir()
	for i := range 3 {
		name := filepath.Join(folder, fmt.Sprintf("tern-%d.vtt", i))
		if err := os.WriteFile(name, fmt.Appendf(nil,
			"WEBVTT\n\n00:01.000 --> 00:04.000\nThe Tern charger. Output %d volts 3 amps.\n", 5+i), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	os.WriteFile(filepath.Join(folder, "tern.png"), []byte("no captions"), 0o644)
	v := visit(t, Config{Local: true})
	v.send(nil, map[string]string{"path": folder}).sees(200, "Reading files")
	v.desk.jobs.wait.Wait()
	v.get("/jobs/1").sees(200, "3 of 3 read; finished", "tern-0.vtt read").lacks("tern.png", "Stop after this file")
	r, err := v.client.Get(v.server.URL + "/jobs/1/events")
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	s := bufio.NewScanner(r.Body)
	if !s.Scan() || s.Text() != "event: job" || !s.Scan() || !strings.HasPrefix(s.Text(), `data: {"id":1,"total":3,"done":3,"failed":0,"ended":true`) {
		t.Errorf("%q", s.Text())
	}
	v.send(nil, map[string]string{"path": filepath.Join(folder, "none")}).sees(422, "no such file")
	v.send(nil, map[string]string{"path": ""}).sees(422, "no file and no path was given")
	v.post("/add").sees(422, "no file and no path was given")
	v.send(nil, map[string]string{"demo": "yes"}).sees(200)
	v.send(map[string]string{"../../up.vtt": captions()}, nil).sees(200)
	v.desk.jobs.wait.Wait()
	v.get("/").sees(200, "demo.vtt").lacks("up.vtt") // the same captions are open already
	v.get("/jobs/3").sees(200, "up.vtt read; these captions were read before, as demo.vtt")
	v.get("/jobs/99").sees(404)
	v.get("/jobs/x/events").sees(404)
	elsewhere := visit(t, Config{})
	elsewhere.send(nil, map[string]string{"path": folder}).sees(422,
		"files of this machine are not opened by their path")
}

// A job stops after the file that it reads.
func TestStop(t *testing.T) {
	v := visit(t, Config{})
	reading, on := make(chan bool), make(chan bool)
	slow := jobItem{name: "slow.vtt", open: func() (io.ReadCloser, error) {
		reading <- true
		<-on
		return nil, os.ErrClosed
	}}
	job := v.desk.jobs.start(v.desk, []jobItem{slow, {name: "never.vtt"}})
	<-reading
	v.get(fmt.Sprintf("/jobs/%d", job.id)).sees(200, "0 of 2 read", "slow.vtt being read", "never.vtt waits",
		"Stop after this file")
	v.post(fmt.Sprintf("/jobs/%d/stop", job.id)).sees(200)
	close(on)
	v.desk.jobs.wait.Wait()
	v.get(fmt.Sprintf("/jobs/%d", job.id)).sees(200, "never.vtt stopped", "; stopped")
}

// Pages of a long recording stay quick while others are decided on: many at
// once see whole pages, and every decision is there in the end.
func TestManyAtOnce(t *testing.T) {
	v := visit(t, Config{})
	done := make(chan error, 40)
	at := []string{resistance, noLoad, "715-723", "1487-1502", "894-901"}
	for i := range cap(done) {
		go func() {
			c := &http.Client{}
			r, err := c.Get(v.server.URL +
				[]string{"/r/demo/sheet", "/r/demo/transcript", "/r/demo/question", "/"}[i%4])
			if err == nil {
				r.Body.Close()
				r, err = c.PostForm(v.server.URL+"/r/demo/decide",
					map[string][]string{"version": {"0"}, "at": {at[i%len(at)]}, "act": {"unclear"}})
			}
			if err == nil {
				r.Body.Close()
				if r.StatusCode != 200 && r.StatusCode != http.StatusConflict {
					err = fmt.Errorf("status %d", r.StatusCode)
				}
			}
			done <- err
		}()
	}
	for range cap(done) {
		if err := <-done; err != nil {
			t.Error(err)
		}
	}
	if n := v.desk.find("demo").state().version(); n != len(at) {
		t.Errorf("%d decisions, want one for each of %d places", n, len(at))
	}
}
