package part

// Type is what an element is.
type Type uint8

// The types.
const (
	Noun    Type = iota // words that name a kind of part
	Code                // a part number
	Package             // a package
	Maker               // a maker's name
	Count               // how many there are
	Rating              // a quantity
	types
)

var typeNames = [types]string{"noun", "code", "package", "maker", "count", "rating"}

func (t Type) String() string { return typeNames[t] }

// Link says how an element stands to the one before.
type Link uint8

// The links, from the closest.
const (
	LinkTight    Link = iota // nothing but a sign or two words between
	LinkNear                 // more words of the same sentence
	LinkSentence             // a sentence ended between
	LinkFar                  // several sentences, or very many words
	LinkPara                 // a paragraph or line of notes ended between
	links
)

var linkNames = [links]string{"tight", "near", "sentence", "far", "para"}

func (l Link) String() string { return linkNames[l] }

// Thing is the family of what has no electrical rating: a heatsink, a magnet.
const Thing = "thing"

// Chip is the name of a package that is the size of a two-terminal chip: 1206.
const Chip = "chip"

// Element is one thing said of a part.
type Element struct {
	Type   Type
	Name   string  // of a noun its family, of a rating "milliohms", of "two of them" the word "them", of a size Chip
	Detail string  // of a noun its kind, "bulk capacitor"; of a rating name and magnitude, "voltage:7"
	Value  string  // of a rating, code, package or count: what was said, to know the same from another
	Kinds  uint64  // of a noun the physical kinds that its ratings can have, of a rating its own
	Plural bool    // of a noun
	Number float64 // of a rating its value in SI units, 0 unknown
	Sure   int     // of a rating how probable it is that it is one, in fifths

	Link    Link     // to the element before
	Words   []string // between, those right before this element last; folded to lower case
	Signs   string   // punctuation between
	Opens   string   // the word that opens the last sentence begun between, "" where none begins; folded to lower case
	Between []string // what else stands between: "other" a quantity of no part, "board" a board named
}

// Group is a stretch of elements [First, Last) that speak of one part.
type Group struct{ First, Last int }
