package calc

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"testing"
)

// A calculator that lacks a part is named once: many tests go through all of them.
func TestMain(m *testing.M) {
	lacking := false
	lacks := func(of, what string) {
		lacking = true
		fmt.Fprintf(os.Stderr, "%s: %s\n", of, what)
	}
	for _, c := range All() {
		if c.Run == nil || c.Take == nil {
			lacks("calculator "+c.Name, "it has no Run, or no Take, which fills its inputs from a record")
		}
		if len(c.Inputs()) == 0 {
			lacks("calculator "+c.Name, "no row in validate/calc/tables/inputs.tsv")
		}
	}
	for _, name := range unlisted() {
		lacks(name, "a Calculator that no list has: see calculators in validate/calc/calculator.go")
	}
	if lacking {
		os.Exit(1)
	}
	os.Exit(m.Run())
}

// unlisted returns the variables that hold a calculator and that no list names:
// nobody would find those.
func unlisted() []string {
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) == 0 {
		panic("no files of the package")
	}
	var holding, out []string
	listed := map[string]bool{}
	for _, name := range files {
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
		if err != nil {
			panic(err)
		}
		for _, d := range f.Decls {
			d, ok := d.(*ast.GenDecl)
			if !ok || d.Tok != token.VAR {
				continue
			}
			for _, s := range d.Specs {
				v := s.(*ast.ValueSpec)
				for i, value := range v.Values {
					if isCalculator(value) {
						holding = append(holding, v.Names[i].Name)
					}
					for _, element := range elements(value) {
						listed[element] = true
					}
				}
			}
		}
	}
	for _, name := range holding {
		if !listed[name] {
			out = append(out, name)
		}
	}
	return out
}

// isCalculator reports whether an expression is &Calculator{…}.
func isCalculator(e ast.Expr) bool {
	address, ok := e.(*ast.UnaryExpr)
	if !ok {
		return false
	}
	lit, ok := address.X.(*ast.CompositeLit)
	if !ok {
		return false
	}
	of, ok := lit.Type.(*ast.Ident)
	return ok && of.Name == "Calculator"
}

// elements are the names in a list.
func elements(e ast.Expr) (names []string) {
	list, ok := e.(*ast.CompositeLit)
	if !ok {
		return nil
	}
	for _, element := range list.Elts {
		if id, ok := element.(*ast.Ident); ok {
			names = append(names, id.Name)
		}
	}
	return names
}
