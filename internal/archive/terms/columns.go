package terms

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"saywatt/internal/archive/facts"
	"saywatt/internal/archive/index"
	"saywatt/internal/archive/match"
	"saywatt/internal/archive/query"
	"saywatt/internal/export/account"
	"saywatt/schema"
)

// The columns that a review has a number in: how many of its readings wait for a
// person, and how many of its names.
const (
	ColumnOpen  = "open"
	ColumnNames = "open names"
)

// Columns are what results are counted and sorted by: the values of a review in the
// columns of the index.
func Columns(s *match.Subject) []match.Field {
	r := s.Record
	var all []match.Field
	add := func(name, value string) {
		if value = strings.TrimSpace(value); value != "" {
			all = append(all, match.Field{Name: name, Value: value})
		}
	}
	add("kind", r.Product.Kind)
	add("maker", r.Product.Maker)
	for _, f := range s.Fields {
		if slices.Contains([]string{"status", "year", "class"}, f.Name) {
			add(f.Name, f.Value)
		}
	}
	open := 0
	for i := range r.Quantities {
		if r.Quantities[i].Status == schema.StatusOpen {
			open++
		}
	}
	if open > 0 {
		add(ColumnOpen, strconv.Itoa(open))
	}
	if n := account.Of(r).Names; n > 0 {
		add(ColumnNames, strconv.Itoa(n))
	}
	add("sort name", cmp.Or(query.Folded(s.Title), query.Folded(s.Product), query.Folded(s.Name))+" "+s.Name)
	if !s.Added.IsZero() {
		add("sort added", s.Added.UTC().Format("2006-01-02T15:04:05"))
	}
	seen := map[string]bool{}
	for i := range s.Facts {
		f := &s.Facts[i]
		for _, name := range f.Fields {
			if (name == "protocol" || name == "cell") && !seen[name+f.Text] {
				seen[name+f.Text] = true
				add(name, f.Text)
			}
		}
	}
	if power, _ := facts.HighestOutput(s.Facts); power.Sign() > 0 {
		add("sort power", index.Sortable(power))
	}
	if r.Body.Mass != nil {
		if mass := facts.BaseOf(&r.Body.Mass.Quantity); mass.Kind == schema.KindMass.String() {
			add("sort mass", index.Sortable(mass.High))
		}
	}
	return all
}
