package desk

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"saywatt/internal/demo"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// openFile opens captions of a folder.
func openFile(t *testing.T, d *Desk, path string) string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	id, _, err := d.OpenFile(t.Context(), path, f)
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func write(t *testing.T, path, text string) string {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// Decisions are beside the captions, or for captions without a folder in the
// desk's; another desk has them again.
func TestKeptByDefault(t *testing.T) {
	folder, own := t.TempDir(), filepath.Join(t.TempDir(), "decisions")
	path := write(t, filepath.Join(folder, "jetty.vtt"), captions())
	const sent = "WEBVTT\n\n00:01.000 --> 00:04.000\nThe Tern Two charger. Output 20 volts 325 amps, 65 watts.\n"
	for round := range 2 {
		d, err := New(Config{Keep: true, Folder: own})
		if err != nil {
			t.Fatal(err)
		}
		id := openFile(t, d, path)
		if _, err := d.Open(t.Context(), "tern.vtt", strings.NewReader(sent)); err != nil {
			t.Fatal(err)
		}
		v := comer(t, d)
		if round == 0 {
			v.post("/r/"+id+"/decide", "version", "0", "at", resistance, "act", "typed", "typed",
				"7").sees(200).lacks("not saved")
			tern := d.find("tern").state().record
			v.post("/r/tern/decide", "version", "0", "at", addressOf(tern, &tern.Quantities[1]), "act", "typed",
				"typed", "3.25 A").sees(200)
		}
		v.get("/r/"+id+"/question/"+resistance).sees(200, "Decided: 7 mΩ", "kept in the file "+path+logEnding)
		v.get("/r/tern/decisions").sees(200, "3.25 A", "kept in the file "+own)
		for _, l := range d.Logs() {
			if !l.Saved() || l.N != 1 {
				t.Errorf("%+v", l)
			}
		}
		if err := d.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// Two files of the same bytes in two folders are two reviews, each with its own
// decisions; one file by two names, or captions with one place for both, are one,
// and the name of it is given.
func TestSameBytes(t *testing.T) {
	folder := t.TempDir()
	var paths []string
	for _, name := range []string{"spring", "autumn"} {
		if err := os.Mkdir(filepath.Join(folder, name), 0o755); err != nil {
			t.Fatal(err)
		}
		paths = append(paths, write(t, filepath.Join(folder, name, "jetty.vtt"), captions()))
	}
	open := func(d *Desk, path string) (id, as string) {
		t.Helper()
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if id, as, err = d.OpenFile(t.Context(), path, f); err != nil {
			t.Fatal(err)
		}
		return id, as
	}
	for _, c := range []struct {
		name   string
		config Config
		two    bool
	}{
		{"files beside them", Config{Keep: true}, true},
		{"a file named for the first", Config{Keep: true, Decisions: filepath.Join(folder, "d.jsonl")}, true},
		{"in memory", Config{}, true},
		{"an archive", Config{Archive: newArchive(t)}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, err := New(c.config)
			if err != nil {
				t.Fatal(err)
			}
			defer d.Close()
			first, as := open(d, paths[0])
			if as != "" {
				t.Errorf("the first is %q", as)
			}
			second, as := open(d, paths[1])
			if c.two && (first == second || as != "") || !c.two && (first != second || as != paths[0]) {
				t.Errorf("the second is %s, the first %s, one with %q", second, first, as)
			}
			// The same file again, by another name of its folder, is the first.
			again, as := open(d, filepath.Join(folder, "autumn", "..", "spring", "jetty.vtt"))
			if again != first || as != paths[0] {
				t.Errorf("again it is %s, one with %q", again, as)
			}
			// What is sent is the review that is open.
			if id, err := d.Open(t.Context(), "sent.vtt", strings.NewReader(captions())); err != nil || id != first {
				t.Errorf("sent, it is %s, %v", id, err)
			}
			if c.two {
				v := comer(t, d)
				v.post("/r/"+second+"/decide", "version", "0", "at", resistance, "act", "typed", "typed", "7").sees(200)
				v.get("/r/" + first + "/question/" + resistance).sees(200).lacks("Decided: 7 mΩ")
				v.get("/r/"+second+"/question/"+resistance).sees(200, "Decided: 7 mΩ")
				v.get("/").sees(200, "spring/jetty.vtt", "autumn/jetty.vtt")
				v.get("/r/"+first+"/question").sees(200, "spring/jetty.vtt: Orrindale Jetty Duo")
				v.get("/r/"+second+"/question").sees(200, "autumn/jetty.vtt: Orrindale Jetty Duo")
				// Closed and named again, each is itself.
				v.post("/r/"+second+"/close", "confirmed", "yes").sees(200)
				if id, as := open(d, paths[1]); id != second || as != paths[1] {
					t.Errorf("opened again it is %s, one with %q", id, as)
				}
			}
		})
	}
}

func TestPathsShown(t *testing.T) {
	for _, tt := range []struct{ path, near, short string }{
		{"x.vtt", "x.vtt", "x.vtt"}, {"/x.vtt", "x.vtt", "/x.vtt"}, {"a/x.vtt", "a/x.vtt", "a/x.vtt"},
		{"/films/spring/été.vtt", "spring/été.vtt", "…g/été.vtt"},
	} {
		if got := nearFile(filepath.FromSlash(tt.path)); got != filepath.FromSlash(tt.near) {
			t.Errorf("%s is near %s", tt.path, got)
		}
		if got := clipPath(tt.path, 9); got != tt.short {
			t.Errorf("%s is clipped to %s", tt.path, got)
		}
	}
}

// Captions that were changed since are opened all the same; decisions that fit
// nothing in them are listed, and stay in the log.
func TestStrayDecisions(t *testing.T) {
	folder := t.TempDir()
	path := write(t, filepath.Join(folder, "jetty.vtt"), captions())
	log := write(t, path+logEnding, `{"span":[3,9],"heard":"nothing here","quantity":{"value":7,"unit":"V"}}`+"\n")
	d, err := New(Config{Keep: true})
	if err != nil {
		t.Fatal(err)
	}
	id := openFile(t, d, path)
	v := comer(t, d)
	v.get("/r/"+id+"/decisions").sees(200, "These fit nothing any more", "“nothing here”: 7 V")
	v.post("/r/"+id+"/decide", "version", "1", "at", resistance, "act", "typed", "typed", "7").sees(200,
		"“29 Miller homes”: 7 mΩ")
	v.get("/r/"+id+"/decisions").sees(200, "These fit nothing any more")
	text, _ := os.ReadFile(log)
	if n := strings.Count(string(text), "\n"); n != 2 {
		t.Errorf("%d lines are in the log:\n%s", n, text)
	}
}

// A review is closed and opened again; in memory it has to be asked for twice.
func TestClose(t *testing.T) {
	v := visit(t, Config{})
	v.post("/r/demo/decide", "version", "0", "at", resistance, "act", "typed", "typed", "7").sees(200)
	v.post("/r/demo/close").sees(200, "1 decision on it is in memory only")
	v.post("/r/demo/close", "confirmed", "yes").sees(200, "Closed.", "No review is open", "Open it again")
	v.get("/r/demo/sheet").sees(404)
	if v.post("/reopen/demo").sees(200); v.at.Path != v.first("demo") {
		t.Errorf("it led to %s", v.at)
	}
	v.get("/r/demo/question/"+resistance).sees(200, "Decided: 7 mΩ")
	v.post("/reopen/demo").sees(404)
}

// u takes acts back one after another, U does them again, and a new act leaves
// nothing to be done again.
func TestBackAndAgain(t *testing.T) {
	v := visit(t, Config{})
	said := func(at string) string { return quantityAt(v.desk.find("demo").state().record, at).Quantity.String() }
	act := func(what, back string) *visitor {
		t.Helper()
		form := v.body[strings.Index(v.body, `action="/r/demo/`+what+`"`):]
		number, _, _ := strings.Cut(strings.SplitN(form, `name="act" value="`, 2)[1], `"`)
		return v.post("/r/demo/"+what, "version", v.field("version"), "act", number, "back", back)
	}
	v.post("/r/demo/decide", "version", "0", "at", resistance, "act", "typed", "typed", "7").sees(200)
	v.post("/r/demo/decide", "version", "1", "at", noLoad, "act", "typed", "typed", "0.08").sees(200)
	v.get("/r/demo/sheet").sees(200, "Last: “8 watts”: 0.08 W")
	act("undo", "sheet").sees(200, "Taken back.", "Levels")
	act("undo", "sheet").sees(200, "Taken back.", "U Do it again: 7 mΩ")
	if got := said(resistance); got != "2.9 mΩ" {
		t.Errorf("taken back twice, it is %s", got)
	}
	act("redo", "sheet").sees(200, "Done again.")
	act("redo", "question").sees(200, "Done again.").lacks("U Do it again")
	if a, b := said(resistance), said(noLoad); a != "7 mΩ" || b != "0.08 W" {
		t.Errorf("done again: %s, %s", a, b)
	}
	act("undo", "decisions").sees(200, "U Do it again")
	v.post("/r/demo/decide", "version", v.field("version"), "at", noLoad, "act",
		"unclear").sees(200).lacks("U Do it again")
	v.post("/r/demo/redo", "version", "6", "act", "2").sees(409)
}

// The same decision twice is no conflict, and one entry.
func TestTwice(t *testing.T) {
	v := visit(t, Config{})
	for range 2 {
		v.post("/r/demo/decide", "version", "0", "at", resistance, "act", "typed", "typed", "7").sees(200,
			"“29 Miller homes”: 7 mΩ")
	}
	if n := v.desk.find("demo").state().version(); n != 1 {
		t.Errorf("%d entries", n)
	}
}

// What was put off comes last for the session, the last put off after the first.
func TestLater(t *testing.T) {
	v := visit(t, Config{})
	r := v.desk.find("demo")
	asked := r.agenda(r.state()).asking().All()
	first := fmt.Sprintf("1 of %d", asked)
	v.get("/r/demo").sees(200, first)
	var order []string
	for range asked {
		ask := ""
		if strings.Contains(v.body, `name="ask" value="place"`) {
			ask = "place"
		}
		order = append(order, v.at.Path)
		v.post("/r/demo/later", "at", v.field("at"), "ask", ask, "version", "0").sees(200, first)
	}
	if slices.Sort(order); len(slices.Compact(order)) != asked {
		t.Errorf("asked in turn: %q", order)
	}
}

// Likely readings are confirmed together, but for those taken out.
func TestLook(t *testing.T) {
	v := visit(t, Config{Threshold: 0.999})
	r := v.desk.find("demo")
	all := r.likelyOpen(r.state())
	if len(all) < 3 {
		t.Fatalf("%d are likely", len(all))
	}
	v.get("/r/demo/question").sees(200, fmt.Sprintf("f %d likely", len(all)))
	v.get("/r/demo/look").sees(200, "Right as they are?")
	if n := strings.Count(v.body, `name="also"`); n != min(len(all), lookShown) {
		t.Errorf("%d are shown", n)
	}
	form := []string{"version", "0"}
	for _, q := range all[:3] {
		at := addressOf(r.state().record, q)
		form = append(form, "reading-"+at, asJSON(&q.Readings[0].Quantity))
		if q != all[1] {
			form = append(form, "also", at)
		}
	}
	v.post("/r/demo/look", form...).sees(200, "and 1 more place")
	if n := r.state().version(); n != 2 {
		t.Errorf("%d decisions", n)
	}
	if n := len(actsDone(r.state())); n != 1 {
		t.Errorf("%d acts", n)
	}
}

// Of the demonstration, read with a bar a little higher, answers at 90 % and more
// are looked through together and confirmed in one act; none below is among them.
func TestLookAtDemonstration(t *testing.T) {
	v := comer(t, mustDesk(t, Config{Threshold: 0.99}))
	if _, err := v.desk.Open(t.Context(), demo.Name, strings.NewReader(demo.Captions())); err != nil {
		t.Fatal(err)
	}
	r := v.desk.find("demo")
	before := r.state()
	all := r.likelyOpen(before)
	if len(all) < 2 {
		t.Fatalf("%d are likely", len(all))
	}
	all = all[:min(len(all), lookShown)]
	v.get("/r/demo/look").sees(200, "Right as they are?")
	form := []string{"version", "0"}
	for _, q := range all {
		best := &q.Readings[0]
		if best.Confidence < likely {
			t.Errorf("%q is looked through at %v", q.Heard, best.Confidence)
		}
		v.sees(200, q.Heard, plain(word.Quantity(&best.Quantity)+" "+word.Percent(best.Confidence)))
		at := addressOf(before.record, q)
		form = append(form, "reading-"+at, asJSON(&best.Quantity), "also", at)
	}
	v.post("/r/demo/look", form...).sees(200, "Noted.")
	after := r.state()
	if n := len(actsDone(after)); n != 1 {
		t.Errorf("%d acts", n)
	}
	for _, q := range all {
		now := quantityAt(after.record, addressOf(before.record, q))
		if now == nil || now.Status != schema.StatusSettled ||
			now.Quantity.String() != q.Readings[0].Quantity.String() {
			t.Errorf("%q is not settled: %+v", q.Heard, now)
		}
	}
}

// Captions of one name from two folders, and others of that name that were dropped
// onto the page, are reviews of their own, and what is decided on one is not on
// another.
func TestSameName(t *testing.T) {
	a, b, own := t.TempDir(), t.TempDir(), t.TempDir()
	d := mustDesk(t, Config{Keep: true, Folder: own})
	text := func(amps string) string {
		return "WEBVTT\n\n00:01.000 --> 00:04.000\nThe Tern charger. Output 20 volts " + amps + " amps.\n"
	}
	first := openFile(t, d, write(t, filepath.Join(a, "tern.vtt"), text("325")))
	second := openFile(t, d, write(t, filepath.Join(b, "tern.vtt"), text("225")))
	var dropped []string
	for _, amps := range []string{"150", "175"} {
		id, err := d.Open(t.Context(), "tern.vtt", strings.NewReader(text(amps)))
		if err != nil {
			t.Fatal(err)
		}
		dropped = append(dropped, id)
	}
	ids := append([]string{first, second}, dropped...)
	v := comer(t, d)
	for i, id := range ids {
		rec := d.find(id).state().record
		at := addressOf(rec, &rec.Quantities[1])
		v.post("/r/"+id+"/decide", "version", "0", "at", at, "act", "typed", "typed", fmt.Sprintf("%d A", i+1)).
			sees(200)
	}
	kept := map[string]bool{}
	for _, l := range d.Logs() {
		kept[l.File] = true
		if !l.Saved() || l.N != 1 {
			t.Errorf("%+v", l)
		}
	}
	if len(kept) != len(ids) {
		t.Errorf("%d files keep what was decided on %d reviews", len(kept), len(ids))
	}
	for i, id := range ids {
		v.get("/r/"+id+"/decisions").sees(200, fmt.Sprintf("%d A", i+1))
		for other := range ids {
			if other != i {
				v.lacks(fmt.Sprintf(" %d A", other+1))
			}
		}
	}
}

func mustDesk(t *testing.T, c Config) *Desk {
	t.Helper()
	d, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { d.Close() })
	return d
}

func actsDone(s *state) []int {
	done, _ := history(s.entries)
	return done
}

func TestUnderstand(t *testing.T) {
	for _, tt := range []struct{ typed, unit, want, beside string }{
		{"~20 W", "W", "20 W", "about"},
		{"about 20 W", "W", "20 W", "about"},
		{"3,25 A", "A", "3.25 A", ""},
		{"2 h 15 min", "h", "135 min", ""},
		{"2 h and 15 min", "h", "135 min", ""},
		{"10 000 mAh", "mA.h", "10000 mAh", ""},
		{"10\u00a0000\u00a0mAh", "mA.h", "10000 mAh", ""}, // as the pages write it
		{"250 V AC", "V", "250 V", "alternating current"},
		{"max 30 W", "W", "30 W", "at most"},
		{"max. 30 W", "W", "30 W", "at most"},
		{"up to 30 W", "W", "30 W", "at most"},
		{"72 degrees", "Cel", "72 °C", ""},
		{"72 degrees", "deg", "72 °", ""},
		{"72", "Cel", "72 °C", ""},
		{"3.3 to 21 V", "V", "3.3–21 V", ""},
		{"20v", "V", "20 V", ""},
		{"1,5", "A", "1.5 A", ""},
		{"10,000 mAh", "mA.h", "10000 mAh", ""},
		{"10'000 mAh", "mA.h", "10000 mAh", ""},
		{"1’234’567 mAh", "mA.h", "1234567 mAh", ""},
		{"10k mAh", "mA.h", "10000 mAh", ""},
		{"20000mah", "mA.h", "20000 mAh", ""},
		{"20 W max", "W", "20 W", "at most"},
		{"circa 20 W", "W", "20 W", "about"},
		{"20 W or so", "W", "20 W", "about"},
		{"<= 20 mV", "mV", "20 mV", "at most"},
		{"less than 20 mV", "mV", "20 mV", "under"},
		{"20 W each", "W", "20 W", "each"},
		{"1 h 30", "h", "90 min", ""},
		{"1h30", "h", "90 min", ""},
		{"2h15m", "h", "135 min", ""},
		{"half an hour", "h", "0.5 h", ""},
		{"½ A", "A", "0.5 A", ""},
		{".5 V", "V", "0.5 V", ""},
		{"-10 °C", "Cel", "-10 °C", ""},
		{"72 degrees C", "Cel", "72 °C", ""},
		{"72 °F", "Cel", "72 °F", ""},
		{"85 percent", "%", "85 %", ""},
		{"100–240V AC", "V", "100–240 V", "alternating current"},
		{"5 VDC", "V", "5 V", ""},
		{"50/60 Hz", "Hz", "50–60 Hz", ""},
		{"4.7uF", "uF", "4.7 µF", ""},
		{"4k7", "Ohm", "4.7 kΩ", ""},
		{"1e-3 A", "A", "0.001 A", ""},
		{"1.000,5 V", "V", "1000.5 V", ""},
		{"three point two five", "A", "3.25 A", ""},
		{"1 h 75", "h", "", ""},
		{"1 V 30", "V", "", ""},
		{"20 W?", "W", "", ""},
		{"2x20 W", "W", "", ""},
		{"10 x 5 cm", "cm", "", ""},
		{"2 h 75 min", "h", "", ""},
		{"15 min 2 h", "h", "", ""},
		{"maxi 30 W", "W", "", ""},
		{"20 V 3 A", "V", "", ""},
		{"maximum", "V", "", ""},
	} {
		v, err := understand(tt.typed, unitOf(t, tt.unit))
		switch {
		case err != nil && tt.want != "":
			t.Errorf("%q: %v", tt.typed, err)
		case err == nil && (v.Quantity.String() != tt.want || v.Beside != tt.beside):
			t.Errorf("%q is %s, beside it %q; want %q, %q", tt.typed, v.Quantity, v.Beside, tt.want, tt.beside)
		}
	}
	// Every word of the table is understood before and behind a value, in any case.
	for _, r := range besideWords() {
		for _, text := range []string{r.Get("word") + " 20 W", strings.ToUpper(r.Get("word")) + " 20 W",
			"20 W " + r.Get("word")} {
			v, err := understand(text, "W")
			if err != nil || v.Quantity.String() != "20 W" || v.Beside != r.Get("as") {
				t.Errorf("%q: %+v, %v; want %s", text, v, err, r.Get("as"))
			}
		}
	}
}

func FuzzUnderstand(f *testing.F) {
	f.Add("~ 2 h 15 min max.")
	f.Fuzz(func(t *testing.T, text string) {
		if v, err := understand(text, "V"); err == nil && v.Quantity.Unit == "" {
			t.Errorf("%q has no unit", text)
		}
	})
}

// Pages say what is understood of what is being typed, and where what was typed
// is wrong the words stand where it was typed.
func TestUnderstoodOnPages(t *testing.T) {
	v := visit(t, Config{})
	v.get("/r/demo/understood?at="+resistance+"&typed=about+7").sees(200, "= 7 mΩ; put down with it: about")
	v.get("/r/demo/understood?at="+resistance+"&typed=soon").sees(200, "? no number is in what you typed")
	v.get("/r/demo/understood?at=" + resistance + "&typed=").sees(200)
	v.get("/r/demo/understood?at="+resistance+"&typed=10.000").sees(200, "= 10.000 mΩ; the point is the decimal sign")
	for _, plain := range []string{"10.00", "0.125", "1.000,5", "10000"} {
		v.get("/r/demo/understood?at=" + resistance + "&typed=" + plain).lacks("the point is")
	}
	v.post("/r/demo/decide", "version", "0", "at", resistance, "act", "edited", "typed", "soon", "back", "sheet").
		sees(422, "no number is in what you typed", "Levels", "Change the sync rectifier MOSFET, on resistance")
	v.post("/r/demo/decide", "version", "0", "at", resistance, "act", "typed", "typed", "about 7").sees(200)
	v.get("/r/demo/question/"+resistance).sees(200, "Decided: 7 mΩ", "about: typed as “about 7”")
}

// A value of another kind than any reading is not taken at once: it may be a slip.
// It is when the same is sent again.
func TestOtherKind(t *testing.T) {
	v := visit(t, Config{})
	r := v.desk.find("demo")
	v.get("/r/demo/understood?at="+resistance+"&typed=20+V").sees(200, "= 20 V; voltage, not resistance")
	v.get("/r/demo/understood?at="+resistance+"&typed=2+ohm").sees(200, "= 2 Ω").lacks("not resistance")
	for _, act := range []string{"typed", "edited"} {
		back := map[string]string{"typed": "", "edited": "sheet"}[act]
		post := func(typed, sure string) *visitor {
			return v.post("/r/demo/decide", "version", strconv.Itoa(r.state().version()), "at", resistance, "act", act,
				"typed", typed, "sure", sure, "back", back)
		}
		before := r.state().version()
		post("20 V", "").sees(422, "voltage, not resistance. Enter again takes it.")
		if got := v.field("sure"); got != "20 V" {
			t.Errorf("%s: what typing again takes is %q", act, got)
		}
		post("30 V", "20 V").sees(422, "voltage, not resistance. Enter again takes it.") // it is not the same
		if now := r.state().version(); now != before {
			t.Fatalf("%s: %d decisions were made", act, now-before)
		}
		post("20 V", "20 V").sees(200)
		if s := r.state(); !s.entries[s.version()-1].Sure {
			t.Errorf("%s: that it is meant is not put down", act)
		}
		if got := quantityAt(r.state().record, resistance).Quantity.String(); got != "20 V" {
			t.Errorf("%s: sent again it is %s", act, got)
		}
		// What somebody decided does not change of what kind the words were heard.
		post("25 V", "").sees(422, "voltage, not resistance")
	}
}

// Every row of the table of fields has a weight, and paths of a record find one.
func TestWorth(t *testing.T) {
	last := 2.0
	for _, w := range weights() {
		if !(w.weight > 0 && w.weight <= 1) || w.weight > last {
			t.Errorf("%q weighs %v after %v", w.path, w.weight, last)
		}
		if got := weightOf(w.path + "[0].x"); got != w.weight {
			t.Errorf("%q weighs %v, its row %v", w.path, got, w.weight)
		}
		last = w.weight
	}
	if a, b := weightOf("levels[3].current"), weightOf(""); !(a > b && b > 0) {
		t.Errorf("a level weighs %v, no field %v", a, b)
	}
}

// childDesk serves a desk in another process, for TestKilled to kill.
const childDesk = "SAYWATT_DESK_CHILD"

func TestMain(m *testing.M) {
	if path := os.Getenv(childDesk); path != "" {
		d, err := New(Config{Keep: true})
		if err != nil {
			panic(err)
		}
		f, err := os.Open(path)
		if err != nil {
			panic(err)
		}
		if _, _, err := d.OpenFile(context.Background(), path, f); err != nil {
			panic(err)
		}
		s := httptest.NewServer(d.handler())
		fmt.Println(s.URL)
		io.Copy(io.Discard, os.Stdin) // until the parent is gone
		os.Exit(0)
	}
	status := m.Run()
	sharedChromium.close()
	os.Exit(status)
}

// The desk is killed at random moments during 300 decisions: every decision that
// a browser saw acknowledged is there when it is started again.
func TestKilled(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes")
	}
	const decisions, kills = 300, 12
	folder := t.TempDir()
	path := write(t, filepath.Join(folder, "jetty.vtt"), captions())
	random := rand.New(rand.NewPCG(16, 300))
	acknowledged, killed := 0, 0
	version := func(c *http.Client, base string) string {
		r, err := c.Get(base + "/r/jetty/decisions")
		if err != nil {
			return ""
		}
		defer r.Body.Close()
		b, err := io.ReadAll(r.Body)
		if err != nil || !strings.Contains(string(b), `data-version="`) {
			return ""
		}
		_, rest, _ := strings.Cut(string(b), `data-version="`)
		v, _, _ := strings.Cut(rest, `"`)
		return v
	}
	for acknowledged < decisions {
		child := exec.Command(os.Args[0], "-test.run=^$")
		child.Env = append(os.Environ(), childDesk+"="+path)
		in, _ := child.StdinPipe()
		out, err := child.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := child.Start(); err != nil {
			t.Fatal(err)
		}
		line, err := bufio.NewReader(out).ReadString('\n')
		if err != nil {
			t.Fatal(err)
		}
		base := strings.TrimSpace(line)
		jar, _ := cookiejar.New(nil)
		c := &http.Client{Jar: jar, CheckRedirect: func(*http.Request,
			[]*http.Request) error {
			return http.ErrUseLastResponse
		}}
		v := version(c, base)
		if n := 0; v == "" || acknowledged > 0 && func() bool { fmt.Sscan(v, &n); return n < acknowledged }() {
			t.Fatalf("%d decisions were acknowledged, %q are there", acknowledged, v)
		} else {
			fmt.Sscan(v, &acknowledged)
		}
		if killed < kills {
			killed++
			after := time.Duration(random.IntN(400)) * time.Millisecond
			time.AfterFunc(after, func() { child.Process.Kill() })
		}
		for acknowledged < decisions {
			r, err := c.PostForm(base+"/r/jetty/decide",
				url.Values{"version": {fmt.Sprint(acknowledged)}, "at": {resistance}, "act": {"typed"},
					"typed": {fmt.Sprintf("%d.%d", acknowledged%9+1, acknowledged)}})
			if err != nil {
				break
			}
			io.Copy(io.Discard, r.Body)
			r.Body.Close()
			if r.StatusCode != http.StatusSeeOther {
				t.Fatalf("decision %d: status %d", acknowledged, r.StatusCode)
			}
			acknowledged++
		}
		in.Close()
		child.Wait()
	}
	text, err := os.ReadFile(path + logEnding)
	if err != nil {
		t.Fatal(err)
	}
	l := fileLog{path: path + logEnding}
	all, err := l.entries()
	if err != nil || len(all) != decisions {
		t.Fatalf("%d decisions are kept in %d lines, %v", len(all), strings.Count(string(text), "\n"), err)
	}
	for i := range all {
		if want := fmt.Sprintf("%d.%d mΩ", i%9+1, i); all[i].Quantity.String() != want {
			t.Fatalf("decision %d is %s, want %s", i, all[i].Quantity, want)
		}
	}
	t.Logf("%d decisions, killed %d times, none lost", decisions, killed)
}

func unitOf(t *testing.T, code string) schema.Unit {
	t.Helper()
	_, err := schema.ParseUnit(code)
	if err != nil {
		t.Fatal(err)
	}
	return schema.Unit(code)
}
