package archive

import (
	"embed"
	"strings"
	"sync"

	"saywatt/schema"
)

//go:embed tables/*.tsv
var tables embed.FS

// unitTable knows how people write units.
type unitTable struct {
	exact  map[string]schema.Unit // symbols, codes, typed forms with capitals
	folded map[string]schema.Unit // typed forms and names, lower case
	names  []string               // all of them, for suggestions
	bases  map[schema.Kind]schema.Unit
}

var loadUnits = sync.OnceValue(func() *unitTable {
	t := &unitTable{exact: map[string]schema.Unit{}, folded: map[string]schema.Unit{}, bases: map[schema.Kind]schema.Unit{}}
	for _, r := range schema.MustReadTable(tables, "tables/typed.tsv").Rows {
		typed, code := r.Get("typed"), schema.Unit(r.Get("code"))
		t.exact[typed] = code
		if typed == strings.ToLower(typed) {
			t.folded[typed] = code
		}
		t.names = append(t.names, typed)
	}
	for _, u := range schema.Units() {
		for _, form := range []string{u.Symbol, string(u.Unit)} {
			if _, taken := t.exact[form]; !taken && form != "" && form != "1" {
				t.exact[form] = u.Unit
				t.names = append(t.names, form)
			}
		}
		for _, name := range []string{u.One, u.Many} {
			if name = strings.ToLower(name); t.folded[name] == "" && name != "" {
				t.folded[name] = u.Unit
				t.names = append(t.names, name)
			}
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/bases.tsv").Rows {
		k, err := schema.ParseKind(r.Get("kind"))
		if err != nil {
			panic(err)
		}
		t.bases[k] = schema.Unit(r.Get("base"))
	}
	return t
})

// find reads a unit as typed.
func (t *unitTable) find(s string) (schema.Unit, bool) {
	if u, ok := t.exact[s]; ok {
		return u, true
	}
	if u, ok := t.folded[strings.ToLower(s)]; ok {
		return u, true
	}
	if strings.ContainsAny(s, "/.[{") { // a compound, as UCUM code
		if _, err := schema.ParseUnit(s); err == nil {
			return schema.Unit(s), true
		}
	}
	return "", false
}

// spell writes a unit so that find reads it again.
func (t *unitTable) spell(u schema.Unit) string {
	if found, ok := t.find(u.Symbol()); ok && found == u {
		return u.Symbol()
	}
	return string(u)
}

// si gives a number in the base unit of its kind, with the kind; a unit of no
// kind known is its own base.
func si(v schema.Decimal, u schema.Unit) (schema.Decimal, string) {
	kind := u.Kind()
	if base, ok := loadUnits().bases[kind]; ok {
		if c, err := u.Convert(v, base); err == nil {
			return c, kind.String()
		}
	}
	if u == "" {
		return v, numberKind
	}
	return v, "other " + string(u)
}

// numberKind is the kind of what is counted without a unit.
const numberKind = "number"
