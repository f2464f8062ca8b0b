package schema

import (
	"bufio"
	"fmt"
	"io"
	"reflect"
	"strings"
)

// WriteGuide writes the field guide of the record in Markdown: every field
// with its path, type, whether it is always there, and its meaning, then the
// closed sets and the units. It is made from the same types, tags and tables
// as the JSON Schema, so the two cannot disagree. Errors are those of w.
//
// A type that stands in one place is shown in that place, with its whole
// path; one that stands in several has a section of its own.
func WriteGuide(w io.Writer) error {
	b := bufio.NewWriter(w)
	g := guide{w: b, uses: map[reflect.Type]int{}}
	root := reflect.TypeFor[Record]()
	g.count(root)
	fmt.Fprintf(b, "# Field guide of the record (%s)\n\n", RecordVersion)
	fmt.Fprintf(b, "`[]` marks a list. Fields that are not required are left out when there is nothing to "+
		"say.\n\n## Record\n\n")
	g.table(root)
	for i := 0; i < len(g.sections); i++ { // a section may ask for more
		fmt.Fprintf(b, "\n## %s\n\n", g.sections[i].Name())
		g.table(jsonForm(g.sections[i]))
	}
	g.sets()
	g.units()
	return b.Flush()
}

type guide struct {
	w        io.Writer
	uses     map[reflect.Type]int // in how many places a struct stands
	sections []reflect.Type       // the structs with a section of their own, in order of mention
}

// jsonForm returns the struct whose tags describe t in JSON.
func jsonForm(t reflect.Type) reflect.Type {
	if t == reflect.TypeFor[Quantity]() {
		return reflect.TypeFor[quantityJSON]()
	}
	return t
}

// structOf returns the struct that a field holds one or many of; false for
// fields of plain or own JSON form.
func structOf(t reflect.Type) (reflect.Type, bool) {
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	own := (&schemaBuilder{}).ownForm(t) != nil && t != reflect.TypeFor[Quantity]()
	return t, t.Kind() == reflect.Struct && !own
}

func (g *guide) count(t reflect.Type) {
	for _, f := range fieldsOf(jsonForm(t)) {
		if s, ok := structOf(f.typ); ok {
			if g.uses[s]++; g.uses[s] == 1 {
				g.count(s)
			}
		}
	}
}

func (g *guide) table(t reflect.Type) {
	fmt.Fprintf(g.w, "| path | type | required | meaning |\n| --- | --- | --- | --- |\n")
	g.rows("", t)
}

func (g *guide) rows(prefix string, t reflect.Type) {
	for _, f := range fieldsOf(t) {
		path := prefix + f.name
		if f.typ.Kind() == reflect.Slice {
			path += "[]"
		}
		s, isStruct := structOf(f.typ)
		required := "no"
		if f.required {
			required = "yes"
		}
		name := typeName(s)
		if f.required && f.typ.Kind() == reflect.Pointer {
			name += " or null"
		}
		if isStruct && g.uses[s] > 1 {
			name = fmt.Sprintf("[%s](#%s)", s.Name(), strings.ToLower(s.Name()))
			g.ask(s)
		}
		fmt.Fprintf(g.w, "| `%s` | %s | %s | %s |\n", path, name, required, strings.ReplaceAll(f.doc, "|", `\|`))
		if isStruct && g.uses[s] == 1 {
			g.rows(path+".", jsonForm(s))
		}
	}
}

// ask makes sure that s gets a section.
func (g *guide) ask(s reflect.Type) {
	for _, t := range g.sections {
		if t == s {
			return
		}
	}
	g.sections = append(g.sections, s)
}

// typeName names a type in the words of JSON, with its name here where that
// says more.
func typeName(t reflect.Type) string {
	switch t {
	case reflect.TypeFor[Decimal]():
		return "number, exact"
	case reflect.TypeFor[Seconds]():
		return "number, seconds"
	case reflect.TypeFor[Span]():
		return "[start, end)"
	case reflect.TypeFor[Unit]():
		return "UCUM code"
	}
	if t.Kind() == reflect.Uint8 {
		return fmt.Sprintf("[%s](#%s)", strings.ToLower(t.Name()), strings.ToLower(t.Name()))
	}
	switch t.Kind() {
	case reflect.String:
		return "text"
	case reflect.Int:
		return "whole number"
	case reflect.Float64:
		return "number"
	case reflect.Bool:
		return "true or false"
	}
	return "object"
}

// sets lists the closed sets by their name tables.
func (g *guide) sets() {
	for _, set := range []struct {
		name  string
		names []string
	}{
		{"Kind", kindNames[:]}, {"Status", statusNames[:]}, {"Basis", basisNames[:]}, {"Qualifier", qualifierNames[:]},
		{"Severity", severityNames[:]},
		{"TermKind", termKindNames[:]}, {"Aside", asideNames[:]},
	} {
		fmt.Fprintf(g.w, "\n## %s\n\nOne of `%s`.\n", set.name, strings.Join(set.names[1:], "`, `"))
	}
}

// units lists the units of the trade.
func (g *guide) units() {
	fmt.Fprintf(g.w, "\n## Units\n\nUCUM codes, case-sensitive. Others that are valid may stand too.\n\n| code | in "+
		"print | spoken | kind |\n| --- | --- | --- | --- |\n")
	for _, u := range Units() {
		fmt.Fprintf(g.w, "| `%s` | %s | %s | %s |\n", u.Unit, u.Symbol, u.Many, u.Kind)
	}
}
