package sound

import "math"

// Odds weigh that a word is one misheard against that it stands for itself.
// Of a word at a distance d that has a share of all words in its place, the odds
// are exp(-Scale·d) to that share: see [Model.Share].
type Odds struct {
	Scale  float32 // nats a unit of distance
	Trade  float64 // share of a word of the trade among the words of reviews, beyond what was counted
	Clear  float32 // nats up to which words sound clearly like a unit
	Unseen float64 // share of a word that was never counted, where any word may stand
	// PointSlope is what a nat of distance from "point" speaks against a word between
	// two numbers; at PointEven it speaks neither way.
	PointSlope, PointEven float32

	spare  float32 // share of what a word costs as itself that it counts where it is taken in
	Number Bound   // for a number word
	Due    Bound   // for a number word where a unit follows
	Unit   Bound   // for one word behind a number
	Units  Bound   // for several
}

// Bound says from where on words count as misheard.
type Bound struct {
	perPhone float32 // the most distance a phone of the form
	reach    float32 // ln of odds, and of what is between a share and odds
	scale    float32
}

// Limit is the most distance to a form of so many phones at which a word of that
// share counts as misheard.
func (b *Bound) Limit(phones int, share float64) float32 {
	return min(b.perPhone*float32(phones), (float32(-math.Log(share))-b.reach)/b.scale)
}

// Spare is what it counts for words that stand for something that they take in
// one more word of that share, in nats.
func (o *Odds) Spare(share float64) float32 { return o.spare * float32(-math.Log(share)) }

// Odds returns the odds of the model.
func (m *Model) Odds() Odds {
	o := Odds{Scale: m.weights["scale"], Trade: float64(m.weights["trade"]), Clear: m.weights["clear"],
		spare: m.weights["spare"], Unseen: float64(m.weights["unseen"]), PointSlope: m.weights["point_slope"],
		PointEven: m.weights["point_even"]}
	for name, b := range map[string]*Bound{"number": &o.Number, "due": &o.Due, "unit": &o.Unit, "units": &o.Units} {
		*b = Bound{m.weights["most_"+name], float32(math.Log(float64(m.weights["odds_"+name]))), o.Scale}
	}
	return o
}
