package name

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Kind is what an item is.
type Kind uint8

// The kinds of item.
const (
	Word Kind = iota
	Number
	Quantity // a number with its unit
	Code     // a part number
	Sign
	Para // the end of a paragraph
	kinds
)

var kindNames = [kinds]string{"#word", "#number", "#quantity", "#code", "#sign", "#para"}

// Item is a word, or a number, part number or sign, which may be several tokens.
type Item struct {
	Text  string // as written
	Fold  string // in small letters, of a word without "'s"
	Class string // what the tables take it for: "part", "package", "port", …; "" nothing
	Kind  Kind
}

// ends reports whether a sentence ends at the item.
func (t *Item) ends() bool {
	return t.Kind == Para || t.Kind == Sign && strings.IndexByte(".!?:", t.Text[0]) >= 0
}

// withUnitWord reports whether the item is a quantity whose unit is a word of its
// own, "5 watts": a name has a 5K or a 30 in it, and no such thing.
func (t *Item) withUnitWord() bool {
	return t.Kind == Quantity && strings.IndexByte(t.Text, ' ') >= 0
}

// endsTitle reports whether no name of a product goes on with the item.
func (t *Item) endsTitle() bool {
	return t.Kind == Para || t.Kind == Sign && t.Fold != "-" || t.withUnitWord() || t.foreign()
}

// foreign reports whether the item is a word in other letters than Latin ones: only
// English is read, and so no name is made of it.
func (t *Item) foreign() bool {
	if t.Kind != Word || t.Text == "" || t.Text[0] < utf8.RuneSelf {
		return false
	}
	letter, _ := utf8.DecodeRuneInString(t.Text)
	return unicode.IsLetter(letter) && !unicode.Is(unicode.Latin, letter)
}

// neighbour is how the features of a name call the item beside it.
func (t *Item) neighbour() string {
	if t.Kind == Word || t.Kind == Sign {
		return t.Fold
	}
	return kindNames[t.Kind]
}

// coarse is the neighbour by its class alone.
func (t *Item) coarse() string {
	switch {
	case t.Kind == Sign:
		return t.Fold
	case t.Kind != Word:
		return kindNames[t.Kind]
	case t.Class != "":
		return t.Class
	}
	return kindNames[Word]
}
