package sound

import "math"

// Odds weigh that a word is one misheard against that it stands for itself.
// Of a word at a distance d, seen n times for itself, the odds are
//
//	exp(-Scale·d) : (n + 1/2) / (all + 1)
//
// the add-half share of the word among all words being what it has on its own.
type Odds struct {
	Scale  float32 // nats a unit of distance
	Trade  int     // how often a word of the trade counts as seen, beyond its count
	Clear  float32 // nats up to which words sound clearly like a unit
	spare  float32 // share of what a word costs as itself that it counts where it is taken in
	all    float64
	Number Bound // for a number word
	Unit   Bound // for one word behind a number
	Units  Bound // for several
}

// Bound says from where on words count as misheard.
type Bound struct {
	perPhone float32 // the most distance a phone of the form
	reach    float32 // ln of odds, and of what is between a share and odds
	scale    float32
	all      float64
}

// Limit is the most distance to a form of so many phones at which a word that
// was seen so often for itself counts as misheard.
func (b *Bound) Limit(phones, seen int) float32 {
	own := math.Log((float64(seen) + 0.5) / (b.all + 1))
	return min(b.perPhone*float32(phones), (float32(-own)-b.reach)/b.scale)
}

// Spare is what it counts for words that stand for something that they take in
// one more word, which was seen so often for itself, in nats.
func (o *Odds) Spare(seen int) float32 {
	return o.spare * float32(-math.Log((float64(seen)+0.5)/(o.all+1)))
}

// Odds returns the odds of the model.
func (m *Model) Odds() Odds {
	o := Odds{Scale: m.weights["scale"], Trade: int(m.weights["trade"]), Clear: m.weights["clear"],
		spare: m.weights["spare"], all: float64(m.total)}
	for name, b := range map[string]*Bound{"number": &o.Number, "unit": &o.Unit, "units": &o.Units} {
		*b = Bound{m.weights["most_"+name], float32(math.Log(float64(m.weights["odds_"+name]))), o.Scale,
			float64(m.total)}
	}
	return o
}
