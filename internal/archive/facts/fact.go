package facts

import (
	"saywatt/internal/archive/query"
	"saywatt/schema"
)

// A Fact is one thing that a record says: a value in its place, a name, or
// words. Everything found, shown, compared or counted is a fact.
type Fact struct {
	Path     string           // field of the record: levels[5].current
	Label    string           // what it is, in words: "USB-C PPS level current"
	Property string           // as in the record: current, on_resistance, capacity
	Quantity *schema.Quantity // nil for names and words
	Text     string           // a name or words as said, "" for values
	Heard    string           // the words heard
	Context  string           // the words around them
	Said     int              // number of the quantity it rests on, 0 for none
	At       *schema.Seconds
	Media    string // W3C Media Fragment of the moment
	Status   schema.Status
	Basis    schema.Basis
	// Place says how sure it is that the value belongs there.
	Place schema.PlaceDoubt

	Groups    []string // what it is a value of, as queries call that: level, output, fuse
	Fields    []string // by what names queries ask for a text: maker, protocol
	Item      Item     // the level or part that it is a value of
	OfProduct bool     // a value of the product; else only said, or a condition of a test
	Base      Base     // the quantity, to compare
}

// Mark is the sign behind the fact: of its status, and of its place where that
// is in doubt.
func (f *Fact) Mark() string { return f.Doubt().Mark() }

// Value writes what the fact says.
func (f *Fact) Value() string {
	if f.Quantity != nil {
		return f.Quantity.String()
	}
	return f.Text
}

// Texts are the words of a fact, as the index has them.
func (f *Fact) Texts() []string {
	if f.Follows() {
		return nil
	}
	if f.Quantity != nil {
		return []string{f.Context, f.Heard, f.Quantity.String()}
	}
	if f.IsFile() {
		return nil
	}
	return []string{f.Context, f.Text}
}

// IsFile reports whether the fact is the name of the file, which is asked for as a field
// and is not among the words of a review.
func (f *Fact) IsFile() bool { return len(f.Fields) > 0 && f.Fields[0] == "file" }

// Paths are the index paths of the fact's value, as group and name: the kind
// of quantity and the property, alone and in each group; what is no value of
// the product has one path only, and the temperature of the room is not among
// those of the product.
func (f *Fact) Paths(each func(group, name string)) {
	each(query.SaidGroup, f.Base.Kind)
	if !f.OfProduct {
		return
	}
	names := [2]string{f.Base.Kind, query.PropertyPath(f.Property, f.Base.Kind)}
	n := 2
	switch {
	case names[1] == f.Base.Kind || f.Property == "":
		n = 1
	case f.Property == ofRoom:
		names[0], n = names[1], 1
	}
	if f.Base.Kind == query.NumberKind { // cells, pieces: by what they count only
		names[0], n = f.Property, 1
	}
	for _, name := range names[:n] {
		each("", name)
		for _, g := range f.Groups {
			each(g, name)
		}
	}
}

// ofRoom is the property of a measurement that is no temperature of the product.
const ofRoom = "ambient"
