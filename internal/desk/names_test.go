package desk

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saywatt/normalize"
	"saywatt/schema"

	"github.com/google/go-cmp/cmp"
)

// nameOf finds a name of the demonstration's newest state.
func nameOf(v *visitor, of, read string) name {
	v.Helper()
	r := v.desk.find("demo")
	for _, n := range r.names(r.state()) {
		if n.of == of && n.read == read {
			return n
		}
	}
	v.Fatalf("no %s is read as %q", of, read)
	return name{}
}

// Names are settled by forms, without script; what hangs on them follows, the log is
// an answer file, and taking back leaves what was.
func TestNames(t *testing.T) {
	v := visit(t, Config{})
	v.get("/").sees(200, "3 names to check")
	v.get("/r/demo/names").sees(200, "3 names to check", "maker heard as “Bex home”", "1:06",
		"Two bulk caps from Bex home (as heard), 400 volts",
		"1 Bex home as it was read", "2 Bexhome", "maker Drew Skane", "part number DQ65R150?",
		"name of the product Orrindale Jetty Duo")
	decide := func(pairs ...string) *visitor {
		t.Helper()
		return v.post("/r/demo/name", append([]string{"version", v.field("version"), "of", v.field("of"), "heard",
			v.field("heard")},
			pairs...)...)
	}
	decide("name", "Bexhome").sees(200, "Noted.", "“Bex home”: maker “Bexhome”.", "2 names to check",
		"maker heard as “Drew Skane”")
	decide("act", "typed", "typed", " Druskane ").sees(200, "“Drew Skane”: maker “Druskane”.", "1 name to check",
		"part number heard as “D queue 65 are 150”", "needs your ear")
	decide("act", "unclear").sees(200, "part number: cannot be made out by ear", "No name waits to be checked")
	v.get("/r/demo/names?of=product.kind&heard=").sees(200, "kind of product", "power station")
	decide("act", "typed", "typed", "charger").sees(200, "kind of product “charger”")
	v.get("/r/demo/names?of=product.name").sees(200, "heard as “Orrindale Jetty Duo”", "0:05")
	decide("act", "typed", "typed", "Orrindale Jetty Two").sees(200,
		"“Orrindale Jetty Duo”: name of the product “Orrindale Jetty Two”")

	r := v.desk.find("demo")
	rec := r.state().record
	if p := &rec.Product; p.Kind != "charger" || p.Name != "Orrindale Jetty Two" ||
		p.SettledOf("name").Heard != "Orrindale Jetty Duo" {
		t.Errorf("the product is %+v", p)
	}
	if c := rec.Components[2]; c.Maker != "Bexhome" {
		t.Errorf("the bulk capacitor is of %s", c.Maker)
	}
	v.get("/r/demo/sheet").sees(200, "Orrindale Jetty Two", "Bexhome", "Druskane", "charger")
	v.get("/r/demo/out/captions").sees(200, "is the Orrindale Jetty Two", "Two bulk caps from Bexhome,")
	v.get("/r/demo/out/record.json").sees(200, `"meant": "Druskane"`)

	// The log replays what was decided.
	v.get("/r/demo/out/decisions.jsonl")
	decisions, err := normalize.ReadDecisions(strings.NewReader(v.body), "decisions.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	stand, _ := normalize.Standing(decisions)
	if d := cmp.Diff(normalize.Names(answers(r.state().entries)), normalize.Names(stand)); d != "" ||
		len(stand) != 4 {
		t.Errorf("the log says otherwise: %s", d)
	}

	// Taken back from the page, from the strip, and done again.
	v.get("/r/demo/names?of=maker&heard=Bex+home").sees(200, "Decided: maker “Bexhome”", "Take that back",
		"1 Bexhome ✓ settled 2 Bex home as it was read")
	v.post("/r/demo/undo", "version", v.field("version"), "act", "1", "back", "names").sees(200, "Taken back.",
		"1 name to check",
		"maker heard as “Bex home”")
	if n := nameOf(v, "maker", "Bex home"); n.now != "Bex home" || n.status != schema.StatusHeard {
		t.Errorf("taken back, it is %+v", n)
	}
	v.post("/r/demo/redo", "version", v.field("version"), "act", "1", "back", "names").sees(200, "Done again.")
	if n := nameOf(v, "maker", "Bex home"); n.now != "Bexhome" {
		t.Errorf("done again, it is %+v", n)
	}
	v.get("/r/demo/decisions").sees(200, "“Drew Skane”: maker “Druskane”", "as before anybody decided")
}

// That nothing of the sort was named is a decision too, and can be taken back.
func TestNoSuchName(t *testing.T) {
	v := visit(t, Config{})
	v.get("/r/demo/names?of=maker&heard=Drew+Skane")
	v.post("/r/demo/name", "version", v.field("version"), "of", "maker", "heard", "Drew Skane", "act", "none").
		sees(200, "no maker is named", "maker none")
	r := v.desk.find("demo")
	for _, term := range r.state().record.Terms {
		if term.Meant == "Drew Skane" {
			t.Errorf("%+v", term)
		}
	}
	v.get("/r/demo/names?of=maker&heard=Drew+Skane").sees(200, "heard as “Drew Skane”", "Take that back")
	v.post("/r/demo/undo", "version", v.field("version"), "act", "1", "back", "names").sees(200, "maker Drew Skane")
}

// What is no name is refused on the page, with what was typed kept and nothing changed.
func TestNamesRefused(t *testing.T) {
	v := visit(t, Config{})
	v.get("/r/demo/names?of=maker&heard=Bex+home")
	version := v.field("version")
	post := func(pairs ...string) *visitor {
		t.Helper()
		return v.post("/r/demo/name", append([]string{"version", version, "of", "maker", "heard", "Bex home"},
			pairs...)...)
	}
	post("act", "typed", "typed", "").sees(422, "the name is empty")
	post("act", "typed", "typed", "a\u202eb").sees(422, "a character that is not printed")
	post("act", "typed", "typed", strings.Repeat("x", 20_000)).sees(422, "more than 200 letters")
	post("name", "a\nb").sees(422, "a character that is not printed")
	post("act", "typed", "typed", "<script>alert(1)</script>\a").sees(422, "not printed")
	if strings.Contains(v.body, "<script>alert") {
		t.Error("what was typed is markup")
	}
	v.post("/r/demo/name", "version", version, "of", "product.kind", "heard", "", "act", "typed", "typed",
		"powerbank").
		sees(422, `did you mean "power bank"?`)
	v.post("/r/demo/name", "version", version, "of", "maker", "heard", "Nobody", "act", "none").sees(409,
		"this name is not read any more")
	v.post("/r/demo/name", "version", "99", "of", "maker", "heard", "Bex home", "name", "Bexhome").sees(422,
		"version 99")
	v.get("/r/demo/names?of=nonsense&heard=x").sees(200, "3 names to check")
	if n := len(v.desk.find("demo").state().entries); n > 0 {
		t.Errorf("%d entries", n)
	}
}

// Two decide on one name: the second sees what the first said. Other names are no
// conflict.
func TestNamesConflict(t *testing.T) {
	v := visit(t, Config{})
	w := comer(t, v.desk)
	v.get("/r/demo/names?of=maker&heard=Bex+home")
	w.get("/r/demo/names?of=maker&heard=Bex+home")
	v.post("/r/demo/name", "version", v.field("version"), "of", "maker", "heard", "Bex home", "name",
		"Bexhome").sees(200, "Noted.")
	version := w.field("version")
	w.post("/r/demo/name", "version", version, "of", "maker", "heard", "bex home", "act", "typed", "typed",
		"Bexholm").
		sees(409, "Somebody decided in between", "maker “Bexhome”", "maker “Bexholm”", "Leave theirs")
	if !strings.Contains(w.body, `href="/r/demo/names?heard=Bex&#43;home&amp;of=maker"`) {
		t.Errorf("what theirs is cannot be seen from\n%s", w.body)
	}
	w.post("/r/demo/name", "version", version, "of", "maker", "heard", "Drew Skane", "act", "typed", "typed",
		"Druskane").sees(200, "Noted.")
	w.post("/r/demo/name", "version", version, "of", "maker", "heard", "Bex home", "name", "Bexhome").sees(200,
		"Noted.")
	if n := len(v.desk.find("demo").state().entries); n != 2 {
		t.Errorf("%d entries; the same twice is one", n)
	}
}

// The archive keeps decisions on names: they are there in the next session, and in
// what the archive serves.
func TestNamesArchived(t *testing.T) {
	a := newArchive(t)
	v := visit(t, Config{Archive: a})
	v.get("/r/demo/names?of=maker&heard=Bex+home")
	v.post("/r/demo/name", "version", v.field("version"), "of", "maker", "heard", "Bex home", "name",
		"Bexhome").sees(200, "Noted.")
	v.get("/r/demo/names?of=product.name")
	v.post("/r/demo/name", "version", v.field("version"), "of", "product.name", "heard", "Orrindale Jetty Duo",
		"act", "typed",
		"typed", "Orindale Jetty").sees(200, "Noted.")
	name := v.desk.find("demo").archived
	check := func(product, maker string) {
		t.Helper()
		_, rec, damages, err := a.Record(name)
		if err != nil || len(damages) > 0 {
			t.Fatal(err, damages)
		}
		if rec.Product.Name != product || rec.Components[2].Maker != maker {
			t.Errorf("the archive has %q by %q", rec.Product.Name, rec.Components[2].Maker)
		}
	}
	check("Orindale Jetty", "Bexhome")
	v.get("/archive?q=maker:bexhome").sees(200, "1 review")
	second := visit(t, Config{Archive: a})
	second.get("/r/demo/names?of=maker&heard=Bex+home").sees(200, "Decided: maker “Bexhome”")
	second.post("/r/demo/keep").sees(200, "in the archive")
	check("Orindale Jetty", "Bexhome")
	second.post("/r/demo/undo", "version", second.field("version"), "act", "2", "back", "names").sees(200,
		"Taken back.")
	check("Orrindale Jetty Duo", "Bexhome")
	second.post("/r/demo/undo", "version", second.field("version"), "act", "1", "back", "names").sees(200,
		"Taken back.")
	check("Orrindale Jetty Duo", "Bex home")
	all, _, err := a.Reviews()
	if err != nil || len(all) != 1 {
		t.Errorf("%d reviews, %v", len(all), err)
	}
}

// A file of decisions written by hand is taken as it is; what fits nothing is listed
// and not heeded.
func TestNamesByHand(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "demo.vtt")
	lines := `{"names":"maker","heard":"Bex home","meant":"Bexholm"}
{"names":"maker","heard":"Nobody","meant":"Anybody"}
{"names":"package","heard":"cue FN 24","span":[2,3],"meant":"QFN24"}
`
	for name, text := range map[string]string{file: captions(), file + ".decisions.jsonl": lines} {
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	d, err := New(Config{Local: true, Keep: true, Log: func(err error) { t.Log(err) }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { d.Close() })
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	id, _, err := d.OpenFile(context.Background(), file, bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	v := comer(t, d)
	v.get("/r/"+id+"/decisions").sees(200, "These fit nothing any more", "“Nobody”: maker “Anybody”",
		"“cue FN 24”: package “QFN24”")
	v.get("/r/"+id+"/names?of=maker&heard=Bex+home").sees(200, "Decided: maker “Bexholm”")
}

// Of wordings that overlap the last stands, as for whoever reads the log: both cannot be
// written. Taken back, the first stands again.
func TestWordingsOverlap(t *testing.T) {
	v := visit(t, Config{})
	r := v.desk.find("demo")
	text := string(r.transcript.Source)
	at := strings.Index(text, "Drew Skane")
	first := entry{Span: schema.Span{Start: at, End: at + len("Drew Skane")}, Heard: "Drew Skane", Words: "Druskane"}
	second := entry{Span: schema.Span{Start: at + len("Drew "), End: at + len("Drew Skane")}, Heard: "Skane",
		Words: "Skerry"}
	for i, e := range []entry{first, second} {
		if _, err := r.act(i, "", someday, []entry{e}); err != nil {
			t.Fatal(err)
		}
	}
	v.get("/r/demo/out/captions").sees(200, "Drew Skerry").lacks("Druskane")
	v.get("/r/demo/transcript").sees(200, "Skane → Skerry").lacks("Druskane.")
	if _, err := r.act(2, "", someday, undo(r.state().entries, 2)); err != nil {
		t.Fatal(err)
	}
	v.get("/r/demo/out/captions").sees(200, "Druskane").lacks("Skerry")
}
