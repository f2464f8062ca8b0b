package tidy

import (
	"go/ast"
	"go/parser"
	"go/scanner"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

const root = "../.."

// A function has so many branches at the most, that of a test too: an if, a for, a
// case that is not the default, && and || are one each.
const mostBranches = 25

func TestBranches(t *testing.T) {
	for path, f := range files(t) {
		for _, d := range f.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok || fn.Body == nil {
				continue
			}
			if n := branches(fn.Body); n > mostBranches {
				t.Errorf("%s: %s has %d branches, more than %d: name its steps", path, fn.Name.Name, n, mostBranches)
			}
		}
	}
}

// branches counts the branches of a piece of code.
func branches(code ast.Node) int {
	n := 0
	ast.Inspect(code, func(x ast.Node) bool {
		switch x := x.(type) {
		case *ast.IfStmt, *ast.ForStmt, *ast.RangeStmt:
			n++
		case *ast.CaseClause:
			if x.List != nil {
				n++
			}
		case *ast.CommClause:
			if x.Comm != nil {
				n++
			}
		case *ast.BinaryExpr:
			if x.Op == token.LAND || x.Op == token.LOR {
				n++
			}
		}
		return true
	})
	return n
}

func TestBranchesAreCounted(t *testing.T) {
	for _, c := range []struct {
		code string
		want int
	}{
		{"", 0},
		{"if a && b || c { }", 3},
		{"for range x { if y { } }", 2},
		{"switch { case a: case b, c: default: }", 2},
		{"select { case <-a: default: }", 1},
		{"func() { if a { } }()", 1},
	} {
		f, err := parser.ParseFile(token.NewFileSet(), "", "package p; func f() {"+c.code+"}", 0)
		if err != nil {
			t.Fatal(err)
		}
		if got := branches(f); got != c.want {
			t.Errorf("%s: %d, want %d", c.code, got, c.want)
		}
	}
}

// mostFields is how many fields a struct has at the most.
const mostFields = 29

// wide are the structs that have more, and why: none changes after it was made.
var wide = map[string]string{
	"cmd/saywatt/main.go commands": "the command line, a field a command, filled by the parser of flags",
	"extract/cue.go cueTable":      "what the tables of cues say, read once",
	"normalize/weights.go Weights": "the rows of weights.tsv, read once",
}

func TestFields(t *testing.T) {
	seen := map[string]bool{}
	for path, f := range files(t) {
		ast.Inspect(f, func(x ast.Node) bool {
			spec, ok := x.(*ast.TypeSpec)
			if !ok {
				return true
			}
			s, ok := spec.Type.(*ast.StructType)
			if !ok || s.Fields.NumFields() <= mostFields {
				return true
			}
			name := path + " " + spec.Name.Name
			if wide[name] == "" {
				t.Errorf("%s has %d fields, more than %d: group them", name, s.Fields.NumFields(), mostFields)
			}
			seen[name] = true
			return true
		})
	}
	for name := range wide {
		if !seen[name] {
			t.Errorf("%s has no more than %d fields: take it off the list", name, mostFields)
		}
	}
}

// mostColumns is how wide a line is at the most, with four columns a tab.
const mostColumns = 120

// Only what cannot be broken is wider: text between backquotes, such as the tag
// of a field, and a row of a test's table, which is easier to read in one line.
func TestColumns(t *testing.T) {
	for path := range files(t) {
		src, err := os.ReadFile(filepath.Join(root, path))
		if err != nil {
			t.Fatal(err)
		}
		raw := rawLines(src)
		for i, line := range strings.Split(string(src), "\n") {
			row := strings.TrimLeft(line, "\t")
			if strings.HasSuffix(path, "_test.go") && row != "" && strings.ContainsRune("{\"", rune(row[0])) || raw[i] {
				continue
			}
			if n := utf8.RuneCountInString(strings.ReplaceAll(line, "\t", "    ")); n > mostColumns {
				t.Errorf("%s:%d: %d columns, more than %d: break the line", path, i+1, n, mostColumns)
			}
		}
	}
}

// rawLines are the lines, from 0, that have text between backquotes.
func rawLines(src []byte) map[int]bool {
	lines := map[int]bool{}
	set := token.NewFileSet()
	file := set.AddFile("", -1, len(src))
	var s scanner.Scanner
	s.Init(file, src, nil, 0)
	for {
		pos, tok, text := s.Scan()
		if tok == token.EOF {
			return lines
		}
		if tok == token.STRING && text[0] == '`' {
			first := file.Line(pos) - 1
			for i := range 1 + strings.Count(text, "\n") {
				lines[first+i] = true
			}
		}
	}
}

// Files are named for what they hold.
func TestFileNames(t *testing.T) {
	vague := []string{"util", "utils", "helper", "helpers", "common", "misc", "types", "stuff", "joint", "belongs",
		"placewhole", "portalike", "cueload", "rules_parts"}
	for path := range files(t) {
		name := strings.TrimSuffix(strings.TrimSuffix(filepath.Base(path), ".go"), "_test")
		if slices.Contains(vague, name) {
			t.Errorf("%s: the name does not say what is in it", path)
		}
	}
}

// files parses the Go files of the tree, by their paths below its root.
func files(t *testing.T) map[string]*ast.File {
	t.Helper()
	all := map[string]*ast.File{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && strings.HasPrefix(d.Name(), ".") && path != root {
			return fs.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") {
			return nil
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, path)
		all[filepath.ToSlash(rel)] = f
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(all) < 500 {
		t.Fatalf("%d files: this is not the tree", len(all))
	}
	return all
}
