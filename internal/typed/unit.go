package typed

import (
	"embed"
	"strings"
	"sync"

	"saywatt/schema"
)

//go:embed tables/*.tsv
var tables embed.FS

// spellings are the ways in which people write units.
type spellings struct {
	exact  map[string]schema.Unit // symbols, codes, spellings with capitals
	folded map[string]schema.Unit // spellings and names, lower case
	names  []string               // all of them, for suggestions
}

// plainer writes a symbol with the letters of a keyboard.
var plainer = [...]*strings.Replacer{strings.NewReplacer("µ", "u"), strings.NewReplacer("Ω", "ohm"),
	strings.NewReplacer("Ω", "Ohm")}

var load = sync.OnceValue(func() *spellings {
	t := &spellings{exact: map[string]schema.Unit{}, folded: map[string]schema.Unit{}}
	for _, r := range schema.MustReadTable(tables, "tables/units.tsv").Rows {
		spelt, code := r.Get("typed"), schema.Unit(r.Get("code"))
		t.exact[spelt] = code
		if spelt == strings.ToLower(spelt) {
			t.folded[spelt] = code
		}
		t.names = append(t.names, spelt)
	}
	for _, u := range schema.Units() {
		forms := []string{u.Symbol, string(u.Unit)}
		for _, p := range plainer {
			forms = append(forms, p.Replace(u.Symbol))
		}
		for _, form := range forms {
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
	return t
})

// Unit reads a unit. Where it has capitals they count, as in mHz and MHz; all
// in lower case it is read where that means one thing only.
func Unit(text string) (schema.Unit, bool) {
	t := load()
	if u, ok := t.exact[text]; ok {
		return u, true
	}
	if u, ok := t.folded[strings.ToLower(text)]; ok {
		return u, true
	}
	if strings.ContainsAny(text, "/.[{") { // a compound, as UCUM code
		if _, err := schema.ParseUnit(text); err == nil {
			return schema.Unit(text), true
		}
	}
	return "", false
}

// Spell writes a unit so that Unit reads it again.
func Spell(u schema.Unit) string {
	if found, ok := Unit(u.Symbol()); ok && found == u {
		return u.Symbol()
	}
	return string(u)
}

// Spellings are all the ways to write units that are known, for suggestions.
// The caller may not change them.
func Spellings() []string { return load().names }
