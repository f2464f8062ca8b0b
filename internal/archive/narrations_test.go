package archive

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saywatt/extract/transcript"
	"saywatt/internal/archive/facts"
	"saywatt/internal/archive/index"
	"saywatt/internal/archive/query"
	"saywatt/internal/archive/terms"
	"saywatt/internal/pipeline"
	"saywatt/internal/typed"
)

// Records of the narrations that come with the program, as they are read: each
// is found by every value and name of its own.
func TestNarrationsAreFoundByAllTheySay(t *testing.T) {
	files, err := filepath.Glob("../demo/narrations/*")
	if err != nil {
		t.Fatal(err)
	}
	a := empty(t)
	w := begin(t, a)
	for _, file := range files {
		if strings.HasSuffix(file, ".json") {
			continue
		}
		f, err := os.Open(file)
		if err != nil {
			t.Fatal(err)
		}
		tr, err := transcript.Read(f, transcript.Options{Name: file})
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		r, err := pipeline.Run(tr, pipeline.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Add(file, r, "Ada", day, false); err != nil {
			t.Fatal(err)
		}
	}
	finish(t, w)
	reviews, _, err := a.Reviews()
	if err != nil || len(reviews) < 6 {
		t.Fatalf("%d reviews, %v", len(reviews), err)
	}
	asked := 0
	for _, rv := range reviews {
		_, r, _, err := a.Record(rv.Name)
		if err != nil {
			t.Fatal(err)
		}
		said := facts.Of(r)
		for i := range said {
			f := &said[i]
			for _, q := range queriesFor(f) {
				asked++
				if found, err := finds(a, q, rv.Name); err != nil || !found {
					t.Errorf("%s is not found by its own %s: %s, %v", rv.Name, f.Path, q, err)
				}
			}
		}
	}
	t.Log(fmt.Sprint(asked, " queries"))
}

// queriesFor are the queries that find what a record says.
func queriesFor(f *Fact) []string {
	var queries []string
	property := strings.ReplaceAll(f.Property, "_", " ")
	switch {
	case f.Quantity == nil:
		if len(query.Tokens(f.Text)) > 0 && (len(f.Fields) == 0 || f.Fields[0] != "file") {
			queries = append(queries, quote(f.Text))
		}
		for _, field := range f.Fields {
			if len(query.Tokens(f.Text)) > 0 {
				queries = append(queries, field+":"+quote(f.Text))
			}
		}
	case f.Base.Kind == query.NumberKind && f.Property != "":
		queries = append(queries, f.Property+" = "+f.Quantity.Low.String())
	case f.Quantity.Unit != "":
		value := f.Quantity.Low.String()
		if f.Quantity.Range {
			value += ".." + f.Quantity.High.String()
		}
		value += " " + typed.Spell(f.Quantity.Unit)
		queries = append(queries, value)
		if _, known := query.Known().Properties[property]; known && f.OfProduct &&
			query.Known().Properties[property].Has(f.Base.Kind) {
			queries = append(queries, property+" "+value)
		}
		if kind := f.Groups; len(kind) > 1 && kind[0] == "part" {
			queries = append(queries, kind[len(kind)-1]+" "+value,
				"part:"+quote(kind[len(kind)-1]+" "+strings.ReplaceAll(value, "= ", "")))
		}
	}
	if f.Heard != "" && len(query.Tokens(f.Heard)) > 0 {
		queries = append(queries, quote(f.Heard))
	}
	return queries
}

// finds reports whether a query finds a review, without listing what it finds.
func finds(a *Archive, asked, name string) (found bool, err error) {
	_, err = a.with(func(v *index.View) error {
		q, err := query.Parser{Parts: terms.PartsOf(v)}.Parse(asked)
		if err != nil {
			return err
		}
		all, err := (&terms.Finder{View: v}).Eval(q.Root)
		if err != nil {
			return err
		}
		all.Each(func(n uint64) bool {
			var id string
			id, err = v.Name(n)
			found = err == nil && id == name
			return err == nil && !found
		})
		return err
	})
	return found, err
}

func quote(s string) string { return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"` }
