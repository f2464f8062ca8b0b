package validate

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"testing"

	"saywatt/validate/testdata/notation"
)

// A rule that lacks a part is named once: many tests go through all
// of them.
func TestMain(m *testing.M) {
	lacking := false
	lacks := func(of, what string) {
		lacking = true
		fmt.Fprintf(os.Stderr, "%s: %s\n", of, what)
	}
	for _, r := range Rules() {
		if r.Find == nil || r.Test == nil || r.Explain == nil {
			lacks("rule "+r.Name, "it has no Find, Test or Explain")
		}
		if _, ok := weights()[r.Name]; !ok {
			lacks("rule "+r.Name, "no row in validate/tables/weights.tsv")
		}
		file := "validate/testdata/rules/" + r.Name + ".txtar"
		a, ok := Example(r.Name)
		if !ok {
			lacks("rule "+r.Name, "no case file "+file)
			continue
		}
		for _, f := range a.Files {
			if _, err := notation.Read(string(f.Data)); err != nil && f.Name != "findings" {
				lacks(fmt.Sprintf("%s: %q", file, f.Name), err.Error())
			}
		}
	}
	for _, v := range unlisted() {
		lacks(v.name, "a Rule that no list has: see the families in validate/rules.go and rules_product.go")
	}
	if lacking {
		os.Exit(1)
	}
	os.Exit(m.Run())
}

// variable is a variable of the package that may hold a Rule.
type variable struct{ name, of string }

// unlisted returns the variables that hold a rule and that no list names: nothing would
// run those.
func unlisted() (out []variable) {
	var values []*ast.ValueSpec
	makes := map[string]string{} // functions that return one of them
	for _, f := range sources() {
		for _, d := range f.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				if r := d.Type.Results; r != nil && len(r.List) == 1 {
					makes[d.Name.Name] = pointsTo(r.List[0].Type)
				}
			case *ast.GenDecl:
				for _, s := range d.Specs {
					if v, ok := s.(*ast.ValueSpec); ok && d.Tok == token.VAR && len(v.Values) == len(v.Names) {
						values = append(values, v)
					}
				}
			}
		}
	}
	var all []variable
	listed := map[string]bool{}
	for _, v := range values {
		for i, value := range v.Values {
			switch e := value.(type) {
			case *ast.UnaryExpr:
				if lit, ok := e.X.(*ast.CompositeLit); ok {
					all = append(all, variable{v.Names[i].Name, nameIn(lit.Type)})
				}
			case *ast.CallExpr:
				all = append(all, variable{v.Names[i].Name, makes[nameIn(e.Fun)]})
			case *ast.CompositeLit:
				for _, element := range e.Elts {
					listed[nameIn(element)] = true
				}
			}
		}
	}
	for _, v := range all {
		if v.of == "Rule" && !listed[v.name] {
			out = append(out, v)
		}
	}
	return out
}

// sources are the package's files, those of tests left out.
func sources() (files []*ast.File) {
	names, err := filepath.Glob("*.go")
	if err != nil || len(names) == 0 {
		panic("no files of the package")
	}
	for _, name := range names {
		if ok, _ := filepath.Match("*_test.go", name); ok {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
		if err != nil {
			panic(err)
		}
		files = append(files, f)
	}
	return files
}

// nameIn is the name that an expression ends in: Rule, resting of x.resting.
func nameIn(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.Ident:
		return e.Name
	case *ast.SelectorExpr:
		return e.Sel.Name
	}
	return ""
}

// pointsTo is the name of the type that a type points to.
func pointsTo(e ast.Expr) string {
	if star, ok := e.(*ast.StarExpr); ok {
		return nameIn(star.X)
	}
	return ""
}
