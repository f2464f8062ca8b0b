package sound

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"saywatt/schema"
)

// Speech finds numbers and units that captions show as other words, cut where no
// word was: "ply into belts" is "point two volts". It weighs what may have been
// said as a noisy channel does: how often words of a class follow others, how often
// each is said (tables/turns.tsv, tables/spoken.tsv), and how far the sounds heard are
// from it, against the words shown standing for themselves. The likeliest row of
// words is found by the algorithm of Viterbi (1967) over the phones.
type Speech struct {
	m      *Model
	tree   []treeNode
	swap   [maxPhones][maxPhones]int32       // that of the model, finely
	forms  []spokenForm                      // by ID
	turn   [turnClasses][turnClasses]float32 // -ln of the share of what follows
	into   [turnClasses]float32              // the least of turn from any class
	err    float32
	scale  float32
	reach  float32 // most distance a phone of a form
	least  float32 // gain that counts of what begins with a unit
	number float32 // and with a number
	added  float32 // how much dearer sounds heard beyond a form are than elsewhere
	share  float32 // least of units heard anew in a text written by ear
	few    int     // the least of them
	ahead  int     // phones that one form is looked for in
	band   int     // how many phones more or fewer are heard than a form has
	short  int     // phones that a form has at least
	starts int     // phones of a word at which another may start
	slack  float32 // distance that the first phones may be beyond those of a form within reach
	common float32 // -ln of the share from which on down a word is seldom said
	rare   float32 // -ln of the share of a unit that is no form among units
	lost   float32 // the same of those of a form that were not heard
}

// Least is the gain from which on a [Recut] counts: of a unit it is known where it
// must stand, behind a number, of a number it is not.
func (s *Speech) Least(c *Recut) float32 {
	if s.Turn(c.Said[0].Form) == TurnUnit {
		return s.least
	}
	return s.number
}

// ByEar reports whether a text was written by ear, where so many stretches were heard
// anew beside so many units that stand as shown.
func (s *Speech) ByEar(anew, units int) bool {
	return anew >= s.few && float32(anew) >= s.share*float32(anew+units)
}

// Common is what a word costs as itself that is commonly said: less.
func (s *Speech) Common() float32 { return s.common }

// Turn is the class of a form.
func (s *Speech) Turn(form int) Turn { return s.forms[form].turn }

// Rare is what a unit costs that is no form.
func (s *Speech) Rare() float32 { return s.rare }

// Turn is a class of words that follow one another.
type Turn uint8

// The classes of words said.
const (
	TurnOther Turn = iota
	TurnDigit
	TurnTeen
	TurnTens
	TurnHundred
	TurnThousand
	TurnPoint
	TurnUnit
	turnClasses
)

var turnNames = [turnClasses]string{"other", "digit", "teen", "tens", "hundred", "thousand", "point", "unit"}

func (t Turn) String() string { return turnNames[t] }

// Number reports whether a word of the class is part of a number, and no point.
func (t Turn) Number() bool { return TurnDigit <= t && t <= TurnThousand }

// Form is a number word or a unit as spoken.
type Form struct {
	Words  string // as tables/spoken.tsv has it, a dash between its parts
	Phones []Phone
	Turn   Turn
}

type spokenForm struct {
	turn  Turn
	prior float32 // -ln of its share of its class
	form  *form
	limit int32 // the most distance of it
	dear  int32 // prior as a distance
}

// ShownWord is one word that captions show.
type ShownWord struct {
	Phones []Phone
	Own    float32 // -ln of its share among words that stand for themselves
	Turn   Turn    // of a number word or unit, that stands as it is
	Form   int     // of those: which, -1 none
	Closed bool    // no sound of it is part of another word
	Far    bool    // it stands far from numbers and units
}

// SaidWord is a form that was said where words were shown.
type SaidWord struct {
	Form        int
	First, Last int     // words [First, Last) that it was made of, in whole or in part
	From, To    int     // phones of the text
	Apart       float32 // nats that the sounds are apart
	Kept        bool    // a word that stands as shown
}

// NewSpeech makes a decoder of the forms; the ID of one is its place in the list.
func (m *Model) NewSpeech(forms []Form) (*Speech, error) {
	w := m.weights
	s := &Speech{m: m, err: w["speech_error"], scale: w["speech_scale"], reach: w["speech_reach"],
		least: w["speech_gain"], number: w["speech_number"], added: w["speech_added"], lost: w["speech_lost"],
		rare: w["speech_rare"], common: w["speech_common"], share: w["speech_share"], few: int(w["speech_few"]),
		ahead: int(w["speech_window"]), band: int(w["speech_band"]), short: int(w["speech_shortest"]),
		starts: int(w["speech_starts"]), slack: w["speech_slack"]}
	if s.ahead > speechRoom {
		return nil, fmt.Errorf("weights.tsv: speech_window %d, the most is %d", s.ahead, speechRoom)
	}
	if s.band != speechBand {
		return nil, fmt.Errorf("weights.tsv: speech_band %d, rows are written out for %d", s.band, speechBand)
	}
	if err := s.loadTurns(); err != nil {
		return nil, err
	}
	t, err := schema.ReadTable(tables, "tables/spoken.tsv")
	if err != nil {
		return nil, err
	}
	counts := map[string]float64{}
	for _, r := range t.Rows {
		n, err := strconv.Atoi(r.Get("n"))
		if err != nil || n < 1 {
			return nil, fmt.Errorf("spoken.tsv:%d: n %q", r.Line, r.Get("n"))
		}
		counts[r.Get("form")] = float64(n)
	}
	var total [turnClasses]float64
	for i := range forms {
		total[forms[i].Turn] += counts[forms[i].Words] + 0.5
	}
	phones := make([][]Phone, len(forms))
	for i := range forms {
		f := &forms[i]
		phones[i] = f.Phones
		p := (counts[f.Words] + 0.5) / total[f.Turn]
		s.forms = append(s.forms, spokenForm{turn: f.Turn, prior: float32(-math.Log(p))})
	}
	s.plant(m.NewIndex(phones))
	if deepest := s.deepest() + s.band; deepest > s.ahead {
		return nil, fmt.Errorf("weights.tsv: speech_window %d, forms reach %d phones ahead", s.ahead, deepest)
	}
	return s, nil
}

// finely is a distance in whole hundred thousandths. Whole numbers are added and compared
// in a fraction of the time that floats take, and those of weights with three decimals
// are exact.
func finely(d float32) int32 { return int32(math.Round(float64(d) * fine)) }

const fine = 100_000

// treeNode is a phone of the forms that begin alike up to it. Nodes lie before all that
// go on from them, in the order of the forms.
type treeNode struct {
	phone Phone
	depth int8    // how many phones it ends
	lose  int32   // what it costs where it was not heard
	most  int32   // beyond it no form that goes on from here is tried
	next  int32   // the node behind all that go on from it
	dear  int32   // the least prior of the forms that go on from here, as a distance
	turn  Turn    // their class, turnClasses where they have several
	forms []int16 // those that end here
}

// plant makes the tree of the forms.
func (s *Speech) plant(x *Index) {
	for a := range s.m.names {
		for b := range s.m.names {
			s.swap[a][b] = finely(s.m.swap[a][b])
		}
	}
	var path []int32 // the nodes of the form before
	for i := range x.forms {
		f := &x.forms[i]
		limit := finely(s.reach * float32(len(f.phones)))
		o := &s.forms[f.id]
		o.form, o.limit, o.dear = f, limit, finely(o.prior/s.scale)
		for _, node := range path[f.shared:] {
			s.tree[node].next = int32(len(s.tree))
		}
		path = path[:f.shared]
		for d := f.shared; d < len(f.phones); d++ {
			path = append(path, int32(len(s.tree)))
			s.tree = append(s.tree, treeNode{phone: f.phones[d], depth: int8(d + 1), lose: finely(f.lose[d] * s.lost),
				dear: o.dear, turn: o.turn})
		}
		end := &s.tree[path[len(path)-1]]
		end.forms = append(end.forms, int16(f.id))
		for _, node := range path {
			t := &s.tree[node]
			t.most, t.dear = max(t.most, limit), min(t.dear, o.dear)
			if t.turn != o.turn {
				t.turn = turnClasses
			}
		}
	}
	for i := range s.tree {
		t := &s.tree[i]
		t.most = min(t.most, finely(s.reach*float32(t.depth-1)+s.slack))
	}
	for _, node := range path {
		s.tree[node].next = int32(len(s.tree))
	}
}

// deepest is how many phones the longest form has.
func (s *Speech) deepest() int {
	most := 0
	for i := range s.tree {
		most = max(most, int(s.tree[i].depth))
	}
	return most
}

func (s *Speech) loadTurns() error {
	t, err := schema.ReadTable(tables, "tables/turns.tsv")
	if err != nil {
		return err
	}
	var n [turnClasses][turnClasses]float64
	for _, r := range t.Rows {
		a, b := slices.Index(turnNames[:], r.Get("from")), slices.Index(turnNames[:], r.Get("to"))
		k, err := strconv.Atoi(r.Get("n"))
		if a < 0 || b < 0 || err != nil {
			return fmt.Errorf("turns.tsv:%d: from %q to %q n %q", r.Line, r.Get("from"), r.Get("to"), r.Get("n"))
		}
		n[a][b] = float64(k)
	}
	for a := range n {
		sum := 0.0
		for b := range n[a] {
			n[a][b] += 0.5
			sum += n[a][b]
		}
		for b := range n[a] {
			s.turn[a][b] = float32(-math.Log(n[a][b] / sum))
		}
	}
	s.into = s.turn[0]
	for a := range s.turn {
		for b, cost := range s.turn[a] {
			s.into[b] = min(s.into[b], cost)
		}
	}
	return nil
}
