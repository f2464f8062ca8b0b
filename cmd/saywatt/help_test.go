package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/alecthomas/kong"

	"saywatt/internal/export"
	"saywatt/schema"
	"saywatt/validate/calc"
)

// Every command explains itself: how it is called, each of its flags, and an
// example last; no line is wider than 80 columns.
func TestHelpIsComplete(t *testing.T) {
	var c commands
	parser, err := newParser(&c, newWorld(nil).env)
	if err != nil {
		t.Fatal(err)
	}
	var walk func(n *kong.Node)
	walk = func(n *kong.Node) {
		var b strings.Builder
		if err := writeHelp(&b, n); err != nil {
			t.Fatal(err)
		}
		text, name := b.String(), n.FullPath()
		if text == "" {
			t.Errorf("%s: the struct of the command has no Help() string", name)
			return
		}
		for _, line := range strings.Split(text, "\n") {
			if utf8.RuneCountInString(line) > 80 {
				t.Errorf("%s: wider than 80 columns: %q", name, line)
			}
		}
		if _, example, ok := strings.Cut(text, "\nExample:\n  saywatt "); !ok || strings.Count(example, "\n") != 1 {
			t.Errorf("%s: the help does not end in one example", name)
		}
		if n.Type == kong.CommandNode {
			if !strings.HasPrefix(text, "Usage: "+name) {
				t.Errorf("%s: the help starts %.40q", name, text)
			}
			for _, f := range n.Flags {
				if !f.Hidden && !strings.Contains(text, "--"+f.Name) {
					t.Errorf("%s: the help does not speak of --%s", name, f.Name)
				}
			}
		}
		if n.Help == "" && n.Type == kong.CommandNode {
			t.Errorf("%s: no line in the list of commands", name)
		}
		for _, child := range n.Children {
			walk(child)
		}
	}
	walk(parser.Model.Node)
}

// No line of a topic, nor of the help of a calculator, is wider than 80 columns.
func TestTopicsFit(t *testing.T) {
	texts := map[string]string{}
	for _, name := range topicOrder {
		line, text, ok := topic(name)
		if !ok || len(text) == 0 {
			t.Errorf("topic %s: no text", name)
		}
		texts["topic "+name] = line + "\n" + text
	}
	for _, c := range calc.All() {
		w := newWorld(nil)
		if status := run([]string{"calc", c.Name, "--help"}, w.env); status != 0 {
			t.Errorf("calc %s --help ends with %d", c.Name, status)
		}
		texts["calc "+c.Name] = w.stdout.String()
	}
	for name, text := range texts {
		if strings.Count(text, "\n") < 3 {
			t.Errorf("%s: %q", name, text)
		}
		for n, line := range strings.Split(text, "\n") {
			if utf8.RuneCountInString(line) > 80 {
				t.Errorf("%s:%d: wider than 80 columns: %q", name, n+1, line)
			}
		}
	}
}

func TestExampleCommandLinesParse(t *testing.T) {
	for _, line := range []string{
		"read review.vtt", "read -f sheet --explain -", "read --threshold 0.9 --max-bytes 10 a b", "demo --captions", "schema --guide", "help read", "read -- -odd.vtt",
	} {
		var c commands
		parser, err := newParser(&c, newWorld(nil).env)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := parser.Parse(strings.Fields(line)); err != nil {
			t.Errorf("saywatt %s: %v", line, err)
		}
	}
}

// noResult are the commands whose output is a text and no data.
var noResult = []string{"help", "man", "completion", "notices"}

// ownFlags is the command that reads its flags itself, --json among them: calc.txt
// in the scripts has it.
const ownFlags = "calc"

// Every command that has a result has --json, by that name alone, and the topic
// says what it prints; of a command with others below it these have it.
func TestJSONEverywhere(t *testing.T) {
	var c commands
	parser, err := newParser(&c, newWorld(nil).env)
	if err != nil {
		t.Fatal(err)
	}
	_, text, ok := topic("json")
	if !ok {
		t.Fatal("there is no topic json")
	}
	words := strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) })
	for _, n := range parser.Model.Children {
		if slices.Contains(noResult, n.Name) {
			continue
		}
		if !slices.Contains(words, n.Name) {
			t.Errorf("command %s: topics/json.txt does not say what it prints as JSON", n.Name)
		}
		if n.Name == ownFlags {
			continue
		}
		leaves := n.Children
		if len(leaves) == 0 {
			leaves = []*kong.Node{n}
		}
		for _, leaf := range leaves {
			if !slices.ContainsFunc(leaf.Flags, func(f *kong.Flag) bool { return f.Name == "json" && f.IsBool() }) {
				t.Errorf("%s has no --json; where it has no result, it is for noResult in this file", leaf.FullPath())
			}
		}
	}
}

// The topic keys names every key that a page of the desk has.
func TestKeysOfTheDesk(t *testing.T) {
	_, text, ok := topic("keys")
	if !ok {
		t.Fatal("there is no topic keys")
	}
	said := map[string]bool{}
	for _, line := range strings.Split(text, "\n") {
		if keys, ok := strings.CutPrefix(line, "  "); ok && !strings.HasPrefix(keys, " ") {
			keys, _, _ = strings.Cut(keys, "  ")
			for _, key := range strings.Fields(keys) {
				said[key] = true
			}
		}
	}
	pages, err := filepath.Glob("../../internal/desk/templates/*.html")
	if err != nil || len(pages) == 0 {
		t.Fatal("no pages", err)
	}
	attribute := regexp.MustCompile(`data-key="([^{"]+)"`)
	const frame = "../../internal/desk/templates/frame.html" // around every page
	b, err := os.ReadFile(frame)
	if err != nil {
		t.Fatal(err)
	}
	everywhere := map[string]bool{}
	for _, found := range attribute.FindAllStringSubmatch(string(b), -1) {
		everywhere[found[1]] = true
	}
	for _, page := range pages {
		b, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, found := range attribute.FindAllStringSubmatch(string(b), -1) {
			if !said[found[1]] {
				t.Errorf("%s: the key %q is not in topics/keys.txt", page, found[1])
			}
			if page != frame && everywhere[found[1]] {
				t.Errorf("%s: the key %q is one of frame.html, on every page", page, found[1])
			}
		}
	}
}

// A new format has its line in the help of its command and a script that asks for
// it, a new topic its place in the list, a new command a script that uses it, a new
// field of the archive its name in the help of search.
func TestNothingIsLeftOut(t *testing.T) {
	for _, c := range []struct {
		names      []string
		help, file string
	}{
		{export.ReadNames(), outputHelp, "outputHelp in output.go"},
		{export.EmitNames(), emitCmd{}.Help(), "the help of emit.go"},
	} {
		for _, name := range c.names {
			if !strings.Contains(c.help, " "+name+" ") {
				t.Errorf("format %s: no line in %s", name, c.file)
			}
		}
	}
	files, err := topics.ReadDir("topics")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if name := strings.TrimSuffix(f.Name(), ".txt"); !slices.Contains(topicNames(), name) {
			t.Errorf("topics/%s: %q is not in topicOrder in man.go", f.Name(), name)
		}
	}
	for _, name := range topicNames() {
		if _, _, ok := topic(name); !ok {
			t.Errorf("topic %q: no file topics/%s.txt with a first line", name, name)
		}
	}
	var scripts strings.Builder
	paths, err := filepath.Glob("testdata/script/*.txt")
	if err != nil || len(paths) == 0 {
		t.Fatal("no scripts", err)
	}
	for _, path := range paths {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		scripts.Write(b)
	}
	var c commands
	parser, err := newParser(&c, newWorld(nil).env)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range parser.Model.Children {
		if !strings.Contains(scripts.String(), "saywatt "+n.Name) {
			t.Errorf("command %s: no file of testdata/script uses it", n.Name)
		}
	}
	for _, name := range export.ReadNames() {
		if !strings.Contains(scripts.String(), "saywatt read --format "+name+" ") &&
			!strings.Contains(scripts.String(), "saywatt read -f "+name+" ") {
			t.Errorf("format %s: testdata/script/formats.txt does not read into it", name)
		}
	}
	for _, name := range export.EmitNames() {
		if !strings.Contains(scripts.String(), "saywatt emit --to "+name+" ") {
			t.Errorf("format %s: testdata/script/emit.txt does not emit it", name)
		}
	}
	fields, err := schema.ReadTable(os.DirFS("../../internal/archive/query"), "tables/fields.tsv")
	if err != nil {
		t.Fatal(err)
	}
	_, listed, _ := strings.Cut(searchCmd{}.Help(), "Fields: ")
	listed, _, _ = strings.Cut(listed, ".\n")
	for _, r := range fields.Rows {
		if !slices.Contains(strings.Fields(listed), r.Get("field")) {
			t.Errorf("field %s: it is not under \"Fields:\" in the help of search.go", r.Get("field"))
		}
	}
}
