package normalize

import "saywatt/extract"

// heardWhat is what of a quantity is known by the sound of its words alone.
type heardWhat uint8

const (
	heardNone   heardWhat = iota // words of a table, or digits
	heardUnit                    // "twelve belts"
	heardNumber                  // "fife volts"
)

// heardView is what is seen of a quantity that is known by its sound: how far
// its words are from what they stand for, by the names of soundDim, and how
// often the first of them is seen standing for itself, by those of ownDim, and
// how sure it is what the quantity belongs to, by those of askedDim: where a
// place is sure, it asks for a quantity of the kind.
type heardView struct {
	what              heardWhat
	apart, own, asked int
}

// heardView looks at the words of a mention that are known by their sound.
func (e *engine) heardView(m *extract.Mention) heardView {
	switch {
	case m.From == extract.UnitOwn && m.Unit.Apart > 0:
		return heardView{heardUnit, apartBin(m.Unit.Apart), e.ownBin(e.unitStart(m)), askedBin(m)}
	case m.Style == extract.StyleSound:
		return heardView{heardNumber, apartBin(e.decoder.Sound(m.First).Apart), e.ownBin(m.First), askedBin(m)}
	}
	return heardView{}
}

// Bounds of soundDim, in nats, and of ownDim: they are in the names of traits.
const (
	clearApart, nearApart, farApart = 1, 2, 3
	seldomOwn                       = 10
)

// askedBin says how sure it is that a mention is of something of the product.
func askedBin(m *extract.Mention) int {
	switch {
	case m.Context.Class.Info().Section == "none":
		return 3
	case len(m.Places) == 0:
		return 0
	case m.Places[0].P >= loadBounds().likelyAsked:
		return 1
	}
	return 2
}

func apartBin(apart float32) int {
	switch {
	case apart <= clearApart:
		return 0
	case apart <= nearApart:
		return 1
	case apart <= farApart:
		return 2
	}
	return 3
}

// ownBin says how often the word of a token is seen for itself.
func (e *engine) ownBin(i int32) int {
	switch n := e.doc.Lexicon.Common(e.doc.Transcript.Text, e.doc.Tokens[i]); {
	case n == 0:
		return 0
	case n <= seldomOwn:
		return 1
	}
	return 2
}

// byEar reports whether a quantity is known by the sound of its words.
func (e *engine) byEar(m *extract.Mention) bool { return e.heardView(m).what != heardNone }
