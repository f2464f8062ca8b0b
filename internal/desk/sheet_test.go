package desk

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saywatt/extract/transcript"
	"saywatt/internal/demo"
	"saywatt/normalize"
	"saywatt/schema"
)

func TestSheet(t *testing.T) {
	v := visit(t, Config{})
	v.get("/r/demo/sheet").sees(200, "made by Orrindale, marked CCC",
		"Levels", "output, mains mode", "voltage USB-C USB-C PPS USB-A",
		"5 Vheard “5 volts” at 0:25, as heard", "15 V*heard “15 bolts” at 0:29, repaired", "3.25 A*heard “325 amps” at 0:33, repaired, >99 % sure",
		"cell 2 × 21700", "5000 mAh*", "main board", "fuse 3.15 A", "Ulvendor UV10068", "2.9 mΩ?heard “29 Miller homes” at 1:21, needs your ear, "+v.chance("demo", resistance, 0)+" sure",
		"10 V is not among the usual fixed voltages", "taken back by the speaker 0:29 “20V” 20 V", "100 Wh")
	// The finding stands beside the field that it is about, and leads to it.
	if i, j, k := strings.Index(v.body, `id="s-levels"`), strings.Index(v.body, "10 V is not among"), strings.Index(v.body, `id="s-claims"`); i < 0 || j < i || k < j {
		t.Error("the finding is not beside the levels")
	}
	v.get("/r/demo/sheet?edit="+resistance).sees(200, "Change the sync rectifier MOSFET, on resistance",
		"“29 Miller homes” was heard, 2.9 mΩ is read")
	if got := v.field("version"); got != "0" {
		t.Errorf("the form is made against version %s", got)
	}
	v.post("/r/demo/decide", "version", "0", "at", resistance, "back", "sheet", "act", "edited", "typed", "7", "note",
		"by the data sheet").sees(200, "“29 Miller homes”: 7 mΩ", "7 mΩ✓")
	if v.at.Path != "/r/demo/sheet" {
		t.Errorf("it led to %s", v.at.Path)
	}
	e := v.desk.find("demo").state().entries[0]
	if e.How != howEdited || e.Note != "by the data sheet" {
		t.Errorf("put down as %s, %q", e.How, e.Note)
	}
}

// Every value of every narration's record is in its sheet, and leads to a
// quantity.
func TestSheetWhole(t *testing.T) {
	files, err := filepath.Glob("../demo/narrations/*.[vst][trx]t")
	if err != nil || len(files) < 5 {
		t.Fatal(files, err)
	}
	for _, name := range files {
		v := visit(t, Config{})
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		id, err := v.desk.Open(context.Background(), filepath.Base(name), bytes.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		rec := v.desk.find(id).state().record
		v.get("/r/" + id + "/sheet").sees(200)
		for i := range rec.Quantities {
			s := &rec.Quantities[i]
			if first := firstOf(rec, s); first != s.Number {
				continue // said again; the place shows the first
			}
			if !strings.Contains(v.body, "edit="+addressOf(rec, s)+`"`) {
				t.Errorf("%s: %d %q, %s, is not in the sheet", name, s.Number, s.Heard, s.Place)
			}
		}
	}
}

// firstOf is the number of the quantity that the place of a quantity shows.
func firstOf(rec *schema.Record, s *schema.Said) int {
	if s.Place == "" {
		return s.Number
	}
	for i := range rec.Quantities {
		if rec.Quantities[i].Place == s.Place && !rec.Quantities[i].Withdrawn {
			return rec.Quantities[i].Number
		}
	}
	return s.Number
}

func TestTranscript(t *testing.T) {
	v := visit(t, Config{})
	v.get("/r/demo/transcript").sees(200, "0:01 Hello, I'm Maren Osk",
		"98 (as heard) by 64 (as heard) by 315 millimeters* (repaired)", "? needs your ear (2)", "as heard (46)")
	v.get("/r/demo/transcript?status=open").sees(200, "29 Miller homes?", "8 watts?").lacks("Hello, I'm")
	v.get("/r/demo/transcript?status=settled").sees(200, "Nothing here is settled")
	v.get("/r/demo/transcript?status=odd").sees(200, "Hello, I'm")
	v.get("/r/demo/transcript?from=-5").sees(200, "Hello, I'm")
	v.get("/r/demo/transcript?from=99999999").sees(200)
}

func TestReplace(t *testing.T) {
	v := visit(t, Config{})
	v.get("/r/demo/replace?find=BEX+home&with=Bexhome").sees(200, "1 place. Nothing is changed yet.",
		"Two bulk caps from Bex home, 400 volts")
	place := v.field("find")
	if place != "BEX home" {
		t.Errorf("the form finds %q", place)
	}
	at := func() string {
		_, rest, _ := strings.Cut(v.body, `name="place" value="`)
		p, _, _ := strings.Cut(rest, `"`)
		return p
	}
	v.post("/r/demo/replace", "version", "0", "find", "BEX home", "with", "Bexhome", "place", at()).sees(200,
		"Bex home”: the words “Bexhome”")
	v.get("/r/demo/transcript").sees(200,
		"Two bulk caps from Bex (reworded by a person) 1:10 home → Bexhome (reworded by a person), 400 volts")
	// Words that are those of one quantity are settled, if a quantity is put for them.
	v.get("/r/demo/replace?find=29+miller+homes&with=2.9+milliohms").sees(200,
		"now read as 2.9 mΩ, will be settled as 2.9 mΩ")
	v.post("/r/demo/replace", "version", "1", "find", "29 miller homes", "with", "2.9 milliohms", "place",
		at()).sees(200, "“29 Miller homes”: 2.9 mΩ")
	v.get("/r/demo/out/captions").sees(200, "from Bexhome,", "2.9 milliohms", "3.25 amps")
	v.get("/r/demo/replace?find=nowhere").sees(200, "“nowhere” is nowhere in the text")
	v.get("/r/demo/replace?find=mill").sees(200, "“mill” is nowhere in the text") // whole words only
	v.post("/r/demo/replace", "version", "2", "find", "home", "with", "").sees(422,
		"Nothing stands in the field of the new words")
	v.post("/r/demo/replace", "version", "2", "find", "home", "with", "house", "place", "1-2").sees(422,
		"Nothing was chosen")
	v.post("/r/demo/undo", "version", "2", "act", "1", "back", "decisions").sees(200, "Taken back")
	v.get("/r/demo/out/captions").lacks("Bexhome")
}

func TestOccurrences(t *testing.T) {
	for _, tt := range []struct {
		text, find string
		want       int
	}{
		{"a b a b", "a b", 2}, {"aa", "a", 0}, {"a\nb", "a  b", 1}, {"A B", "a b", 1}, {"é e é", "e", 1}, {"", "a", 0}, {"a", "", 0}, {"a-b a", "a", 2}, {"325 amps, 3325 amps", "325 amps", 1},
	} {
		if got := occurrences([]byte(tt.text), tt.find); len(got) != tt.want {
			t.Errorf("%q in %q: %v, want %d", tt.find, tt.text, got, tt.want)
		}
	}
}

func TestOut(t *testing.T) {
	v := visit(t, Config{Who: "Ines Varga"})
	v.post("/r/demo/decide", "version", "0", "at", resistance, "act", "typed", "typed", "2.9").sees(200)
	v.get("/r/demo/out").sees(200, "1 quantity is still for your ear", "Corrected captions", "Workbook", "Levels")
	for name, want := range map[string]string{
		"captions": "3.25 amps, 65 watts", "captions-with-notes": "NOTE", "changes.csv": "325 amps", "sheet.html": "<!DOCTYPE html>", "sheet.md": "# Orrindale", "sheet.txt": "Orrindale Jetty Duo",
		"record.json": `"version": "saywatt/record/1"`, "readings.jsonl": `"heard":"325 amps"`, "levels.csv": "3.25", "components.csv": "UV10068", "measurements.csv": "efficiency", "findings.csv": "pd-voltage", "decisions.jsonl": `"who":"Ines Varga"`,
	} {
		v.get("/r/demo/out/" + name)
		if v.status != 200 || !strings.Contains(v.body, want) {
			t.Errorf("%s: status %d, %q is not in it", name, v.status, want)
		}
	}
	v.get("/r/demo/out/workbook.xlsx")
	if _, err := zip.NewReader(strings.NewReader(v.body), int64(len(v.body))); err != nil {
		t.Error(err)
	}
	v.get("/r/demo/out/../../../etc/passwd").sees(404)
	v.get("/r/demo/out/other.csv").sees(404)
	// The decisions replay: the engine takes them and makes the same record.
	v.get("/r/demo/out/decisions.jsonl")
	answers, err := normalize.ReadAnswers(strings.NewReader(v.body), "decisions.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	tr, err := transcript.Parse(demo.Name, []byte(captions()))
	if err != nil {
		t.Fatal(err)
	}
	rec, err := v.desk.run(tr)
	if err != nil {
		t.Fatal(err)
	}
	if len(answers) != 1 || answers[0].Quantity.String() != "2.9 mΩ" || rec.Source.SHA256 != tr.Hash {
		t.Errorf("%v", answers)
	}
}

func TestPictures(t *testing.T) {
	v := visit(t, Config{})
	v.get("/r/demo/picture").sees(200, "operating levels", "power by mode and port", "The question that comes next")
	v.get("/r/demo/picture/levels.svg").sees(200)
	if !strings.Contains(v.body, "<svg") {
		t.Error("no drawing")
	}
	v.get("/r/demo/picture/powers.png").sees(200)
	if !strings.HasPrefix(v.body, "\x89PNG") {
		t.Error("no PNG")
	}
	v.get("/r/demo/picture/levels.exe").sees(404)
	v.get("/r/demo/evidence/1-2.svg").sees(404)
}

// A dense text of many levels has a sheet that is made and read in bounded time:
// rows and findings are as many as somebody may look at, and the rest is counted.
func TestDenseSheet(t *testing.T) {
	v := visit(t, Config{})
	var b strings.Builder
	for i := 0; b.Len() < 100_000; i++ {
		fmt.Fprintf(&b, "The USB C output gives %d volts %d amps, and fuse F%d is %d amps. ", 5+i%97, 1+i%31, i, i%15+1)
	}
	id, err := v.desk.Open(t.Context(), "dense.txt", strings.NewReader(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	v.get("/r/"+id+"/sheet").sees(200, "in the tables to take away")
	if n := len(v.body); n > 3<<20 {
		t.Errorf("%d bytes", n)
	}
}
