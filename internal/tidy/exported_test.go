package tidy

import (
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/tools/go/packages"
)

// exported is a name that a package under internal exports.
type exported struct {
	pkg, name string
	object    types.Object
	group     token.Pos // of a constant: those declared together are used together
	used      bool      // outside of its package
}

// survey is what the tree exports and uses.
type survey struct {
	set        *token.FileSet
	names      map[string]*exported // by where it is declared
	interfaces map[string][]*types.Interface
	shown      map[string]bool // names that templates ask for
}

// TestExported: what a package under internal exports, another one uses. Types
// that something used is made of are used too; so are methods that an interface
// asks for or a template.
func TestExported(t *testing.T) {
	if testing.Short() {
		t.Skip("reading the types of the whole tree takes seconds")
	}
	pkgs, err := packages.Load(&packages.Config{Dir: root, Tests: true, Mode: packages.NeedName | packages.NeedFiles |
		packages.NeedCompiledGoFiles | packages.NeedSyntax | packages.NeedTypes | packages.NeedTypesInfo |
		packages.NeedImports | packages.NeedDeps}, "./...")
	if err != nil {
		t.Fatal(err)
	}
	if len(pkgs) < 40 {
		t.Fatalf("%d packages: this is not the tree", len(pkgs))
	}
	s := &survey{set: pkgs[0].Fset, names: map[string]*exported{}, interfaces: map[string][]*types.Interface{},
		shown: templateNames(t)}
	seen := map[*types.Package]bool{}
	for _, p := range pkgs {
		s.declare(p)
		s.note(p.Types, seen)
	}
	for _, p := range pkgs {
		s.use(p)
	}
	s.spread()
	for at, x := range s.names {
		if !x.used {
			t.Errorf("%s: nothing outside of %s uses %s: it need not be exported", strings.TrimPrefix(at, "../../"),
				x.pkg, x.name)
		}
	}
}

// declare lists what a package under internal exports: names of its own and methods
// of exported types.
func (s *survey) declare(p *packages.Package) {
	if !strings.Contains(p.PkgPath, "/internal/") || strings.HasSuffix(p.PkgPath, "_test") || p.Name == "main" {
		return
	}
	groups := map[token.Pos]token.Pos{}
	for _, f := range p.Syntax {
		for _, d := range f.Decls {
			if d, ok := d.(*ast.GenDecl); ok && d.Tok == token.CONST {
				for _, spec := range d.Specs {
					for _, id := range spec.(*ast.ValueSpec).Names {
						groups[id.Pos()] = d.Pos()
					}
				}
			}
		}
	}
	for id, o := range p.TypesInfo.Defs {
		if o == nil || !o.Exported() || strings.HasSuffix(s.set.Position(id.Pos()).Filename, "_test.go") ||
			s.names[s.at(o)] != nil {
			continue
		}
		x := &exported{pkg: p.PkgPath, name: id.Name, object: o, group: groups[id.Pos()]}
		if fn, ok := o.(*types.Func); ok {
			if r := fn.Signature().Recv(); r != nil {
				on := named(r.Type())
				if on == nil || !on.Obj().Exported() {
					continue
				}
				x.used = s.shown[id.Name]
				x.name = on.Obj().Name() + "." + id.Name
			}
		} else if o.Parent() != p.Types.Scope() {
			continue
		}
		s.names[s.at(o)] = x
	}
}

// named is the type of a receiver, nil for an interface.
func named(t types.Type) *types.Named {
	if p, ok := t.(*types.Pointer); ok {
		t = p.Elem()
	}
	n, _ := t.(*types.Named)
	if n != nil && types.IsInterface(n) {
		return nil
	}
	return n
}

// note lists the interfaces of a package and of all that it imports.
func (s *survey) note(p *types.Package, seen map[*types.Package]bool) {
	if p == nil || seen[p] {
		return
	}
	seen[p] = true
	for _, name := range p.Scope().Names() {
		o, ok := p.Scope().Lookup(name).(*types.TypeName)
		if !ok {
			continue
		}
		if i, ok := o.Type().Underlying().(*types.Interface); ok {
			for m := range i.Methods() {
				s.interfaces[m.Name()] = append(s.interfaces[m.Name()], i)
			}
		}
	}
	for _, other := range p.Imports() {
		s.note(other, seen)
	}
}

// use marks what a package uses of others; tests in a package of their own use it
// as others do.
func (s *survey) use(p *packages.Package) {
	for _, o := range p.TypesInfo.Uses {
		if fn, ok := o.(*types.Func); ok {
			o = fn.Origin()
		}
		if x := s.names[s.at(o)]; x != nil && p.PkgPath != x.pkg {
			x.used = true
		}
	}
}

// spread marks what follows from what is used, until nothing does.
func (s *survey) spread() {
	groups := map[token.Pos]bool{}
	for again := true; again; {
		again = false
		for _, x := range s.names {
			if !x.used && (x.group.IsValid() && groups[x.group] || s.asked(x)) {
				x.used, again = true, true
			}
			if !x.used {
				continue
			}
			if x.group.IsValid() && !groups[x.group] {
				groups[x.group], again = true, true
			}
			if s.reach(x.object) {
				again = true
			}
		}
	}
}

// asked reports whether an interface asks for a method, or a constant is of a type
// that is used.
func (s *survey) asked(x *exported) bool {
	switch o := x.object.(type) {
	case *types.Const:
		n := named(o.Type())
		if n == nil {
			return false
		}
		of := s.names[s.at(n.Obj())]
		return of != nil && of.used
	case *types.Func:
		r := o.Signature().Recv()
		if r == nil {
			return false
		}
		t := types.Type(named(r.Type()))
		for _, i := range s.interfaces[o.Name()] {
			if types.Implements(t, i) || types.Implements(types.NewPointer(t), i) {
				return true
			}
		}
		switch o.Name() {
		case "Error", "Unwrap", "Is": // the language and package errors ask for them
			return true
		}
	}
	return false
}

// reach marks the types that an object is made of, and reports whether one was not
// marked before.
func (s *survey) reach(o types.Object) (found bool) {
	var walk func(types.Type)
	walk = func(t types.Type) {
		switch t := t.(type) {
		case *types.Named:
			if x := s.names[s.at(t.Obj())]; x != nil && !x.used {
				x.used, found = true, true
			}
			for arg := range t.TypeArgs().Types() {
				walk(arg)
			}
		case interface{ Elem() types.Type }:
			walk(t.Elem())
			if m, ok := t.(*types.Map); ok {
				walk(m.Key())
			}
		case *types.Signature:
			walk(t.Params())
			walk(t.Results())
		case *types.Tuple:
			for v := range t.Variables() {
				walk(v.Type())
			}
		case *types.Struct:
			for f := range t.Fields() {
				if f.Exported() {
					walk(f.Type())
				}
			}
		}
	}
	if t, ok := o.(*types.TypeName); ok {
		walk(t.Type().Underlying())
	} else {
		walk(o.Type())
	}
	return found
}

func (s *survey) at(o types.Object) string {
	p := s.set.Position(o.Pos())
	rel, err := filepath.Rel(mustAbs(root), p.Filename)
	if err != nil {
		rel = p.Filename
	}
	return fmt.Sprintf("%s:%d:%d", rel, p.Line, p.Column)
}

func mustAbs(path string) string {
	abs, err := filepath.Abs(path)
	if err != nil {
		panic(err)
	}
	return abs
}

// templateNames are the fields and methods that templates ask for.
func templateNames(t *testing.T) map[string]bool {
	t.Helper()
	names := map[string]bool{}
	action, name := regexp.MustCompile(`\{\{[^}]*\}\}`), regexp.MustCompile(`[.$]([A-Z]\w*)`)
	var files []string
	for _, folders := range []string{"internal/*/templates/*", "internal/*/*/templates/*"} {
		found, err := filepath.Glob(filepath.Join(root, folders))
		if err != nil || len(found) == 0 {
			t.Fatal("no templates", folders, err)
		}
		files = append(files, found...)
	}
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range action.FindAllString(string(text), -1) {
			for _, m := range name.FindAllStringSubmatch(a, -1) {
				names[m[1]] = true
			}
		}
	}
	return names
}
