package schema

import (
	"strings"
	"sync"
)

// wording is what wording.tsv says of one name.
type wording struct{ words, means string }

var loadWording = sync.OnceValue(func() map[[2]string]wording {
	all := map[[2]string]wording{}
	for _, r := range MustReadTable(tables, "tables/wording.tsv").Rows {
		all[[2]string{r.Get("what"), r.Get("name")}] = wording{r.Get("words"), r.Get("means")}
	}
	return all
})

var blanks = strings.NewReplacer("_", " ", ".", " ")

// PropertyWords puts the name of a property in words: "no_load_power" into
// "no-load power".
func PropertyWords(name string) string {
	if w, ok := loadWording()[[2]string{"property", name}]; ok {
		return w.words
	}
	return blanks.Replace(name)
}

// RoleWords puts a role in words: "level.current" into "current of an
// operating level". subject, where it is not empty, is the kind of part a
// component's role is for.
func RoleWords(role, subject string) string {
	place, property, ok := strings.Cut(role, ".")
	if !ok {
		return PropertyWords(role)
	}
	if place == "component" && subject != "" {
		return PropertyWords(property) + " of the " + subject
	}
	w, ok := loadWording()[[2]string{"place", place}]
	if !ok {
		return blanks.Replace(role)
	}
	return strings.Replace(w.words, "%", PropertyWords(property), 1)
}

// PortWords names a port, or joined ports, as the trade does: the record's
// "pins" are contacts.
func PortWords(name string) string {
	w, ok := loadWording()[[2]string{"port", name}]
	switch {
	case ok:
		return w.words
	case !strings.Contains(name, "+"):
		return name
	}
	ports := strings.Split(name, "+")
	for i := range ports {
		if w, ok := loadWording()[[2]string{"port", ports[i]}]; ok {
			ports[i] = w.words
		}
	}
	return strings.Join(ports, "+")
}

// TermWords names a term of a reading's score in words, and says what it
// weighs; "" where that is not known.
func TermWords(name string) (words, means string) {
	if w, ok := loadWording()[[2]string{"term", name}]; ok {
		return w.words, w.means
	}
	return blanks.Replace(name), ""
}
