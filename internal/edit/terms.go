package edit

import (
	"embed"
	"strings"
	"sync"

	"saywatt/schema"
)

//go:embed tables/*.tsv
var tables embed.FS

// A term is a row of tables/terms.tsv.
type term struct {
	form   []string // folded words
	said   string
	kind   string
	name   string
	source string
}

// loadTerms reads the table once, by first word; rows of one word keep their
// order, longer forms first.
var loadTerms = sync.OnceValue(func() map[string][]term {
	byFirst := map[string][]term{}
	for _, r := range schema.MustReadTable(tables, "tables/terms.tsv").Rows {
		t := term{form: strings.Fields(r.Get("form")), said: r.Get("said"), kind: r.Get("kind"), name: r.Get("term"),
			source: r.Get("source")}
		rows := byFirst[t.form[0]]
		i := len(rows)
		for i > 0 && len(rows[i-1].form) < len(t.form) {
			i--
		}
		rows = append(rows, term{})
		copy(rows[i+1:], rows[i:])
		rows[i] = t
		byFirst[t.form[0]] = rows
	}
	return byFirst
})

// terms corrects the garbles of terms that the record holds.
func (c *collector) terms() {
	table, held := loadTerms(), heldTerms(c.record)
	all := wordsOf(c.t.Text, 0)
	for i := 0; i < len(all); i++ {
		for _, t := range table[strings.ToLower(all[i].text)] {
			if !held[t.kind].has(t.name) || !matches(all[i:], t.form) {
				continue
			}
			before := all[i : i+len(t.form)]
			if c.isNamed(before) {
				break
			}
			ch := Change{Why: "captions often show " + strings.Join(t.form, " ") + " for " + t.said +
				", and the record holds " + t.name}
			if k := c.t.CueAt(before[0].span.Start); c.t.Timed && k >= 0 {
				at, end := schema.SecondsOf(c.t.Cues[k].Start), schema.SecondsOf(c.t.Cues[k].End)
				ch.At, ch.Media = &at, schema.MediaFragment(at, end)
			}
			c.add(before, capitalised(before[0].text, parse(t.said)), ch, "")
			i += len(t.form) - 1
			break
		}
	}
}

func matches(words []word, form []string) bool {
	if len(words) < len(form) {
		return false
	}
	for i, f := range form {
		if strings.ToLower(words[i].text) != f || i > 0 && words[i].glued {
			return false
		}
	}
	return true
}

// capitalised begins words with a capital where the words heard do.
func capitalised(heard string, words []word) []word {
	if heard[0] >= 'A' && heard[0] <= 'Z' && words[0].text[0] >= 'a' && words[0].text[0] <= 'z' {
		words[0].text = strings.ToUpper(words[0].text[:1]) + words[0].text[1:]
	}
	return words
}

// held are the names that a record holds in places of one kind.
type held []string

// has reports whether a name, or one that continues it, is held.
func (h held) has(name string) bool {
	for _, n := range h {
		if strings.HasPrefix(n, name) {
			return true
		}
	}
	return false
}

// heldTerms lists the ports, protocols, kinds of part and packages of a record.
func heldTerms(r *schema.Record) map[string]held {
	h := map[string]held{}
	add := func(kind string, names ...string) { h[kind] = append(h[kind], names...) }
	for _, p := range r.Ports {
		add("port", p.Name)
		add("protocol", p.Protocols...)
	}
	for i := range r.Levels {
		add("port", strings.Split(r.Levels[i].Port, "+")...)
		add("protocol", r.Levels[i].Protocol)
	}
	for i := range r.Claims {
		add("port", strings.Split(r.Claims[i].Port, "+")...)
		add("protocol", r.Claims[i].Protocol)
	}
	for i := range r.Components {
		add("part", r.Components[i].Kind)
		add("package", r.Components[i].Package)
	}
	return h
}
