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
	index  *Index
	forms  []spokenForm                      // by ID of the index
	turn   [turnClasses][turnClasses]float32 // -ln of the share of what follows
	err    float32
	scale  float32
	reach  float32 // most distance a phone of a form
	least  float32 // gain that counts of what begins with a unit
	number float32 // and with a number
	added  float32 // how much dearer sounds heard beyond a form are than elsewhere
	share  float32 // least of units heard anew in a text written by ear
	few    int     // the least of them
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

// Form is a number word or a unit as spoken.
type Form struct {
	Words  string // as tables/spoken.tsv has it, a dash between its parts
	Phones []Phone
	Turn   Turn
}

type spokenForm struct {
	turn  Turn
	prior float32 // -ln of its share of its class
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
		rare: w["speech_rare"], common: w["speech_common"], share: w["speech_share"], few: int(w["speech_few"])}
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
		s.forms = append(s.forms, spokenForm{f.Turn, float32(-math.Log(p))})
	}
	s.index = m.NewIndex(phones)
	return s, nil
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
	return nil
}

// speechReach bounds the phones that one form is looked for in, and leastSpeech is how
// many a form has at least that others are shown for: much is near "oh".
const (
	speechReach = 26
	leastSpeech = 2
	speechBand  = 4   // how many phones more or fewer are heard than a form has
	speechSlack = 1.2 // distance that the first phones may be beyond those of a form within reach
	speechStart = 2   // phones of a word at which another may start; or at its last
)

// step is the best way to a phone by a word of a class.
type speechStep struct {
	cost  float32
	from  int16 // phone
	turn  Turn  // class before
	form  int16 // -1: a word that stands as shown
	apart float32
}

// Room is what [Speech.Decode] works in.
type Room struct {
	phones []Phone
	starts []int // phone of each word, and the end
	steps  [][turnClasses]speechStep
	said   []SaidWord
}

// Recut is a stretch of words that are likelier others, cut elsewhere.
type Recut struct {
	First, Last int        // of the words
	Said        []SaidWord // what was said instead
	Gain        float32    // by how many nats it is likelier
	Before      Turn       // class of what was said before it
	After       Turn       // and behind it, TurnOther at the end
}

// Decode appends the stretches of the words that are likelier numbers and units than
// the words shown. The one before the first is of the class. The rows are good until
// the next call with the room.
func (s *Speech) Decode(dst []Recut, r *Room, words []ShownWord, before Turn) []Recut {
	r.phones, r.starts = r.phones[:0], r.starts[:0]
	for i := range words {
		r.starts = append(r.starts, len(r.phones))
		r.phones = append(r.phones, words[i].Phones...)
	}
	n := len(r.phones)
	r.starts = append(r.starts, n)
	if n == 0 {
		return dst
	}
	r.steps = slices.Grow(r.steps[:0], n+1)[:n+1]
	far := float32(math.Inf(1))
	for i := range r.steps {
		for c := range r.steps[i] {
			r.steps[i][c] = speechStep{cost: far}
		}
	}
	r.steps[0][before] = speechStep{form: -1}
	for p, k := 0, 0; p < n; p++ {
		for r.starts[k+1] <= p {
			k++
		}
		if r.starts[k] == p {
			s.keep(r, words, k)
		}
		if !words[k].Closed && (p < r.starts[k]+speechStart || p+1 == r.starts[k+1]) && s.reached(r, p) {
			s.hear(r, words, p, k)
		}
	}
	best := TurnOther
	for c := range turnClasses {
		if r.steps[n][c].cost < r.steps[n][best].cost {
			best = c
		}
	}
	s.back(r, n, best)
	return s.recuts(dst, r, words, before)
}

// recuts appends the stretches of what was said that differ from the words shown.
func (s *Speech) recuts(dst []Recut, r *Room, words []ShownWord, before Turn) []Recut {
	for i := 0; i < len(r.said); {
		j := i + 1
		for j < len(r.said) && r.said[j].First <= r.said[j-1].Last && !r.said[j].Kept && !r.said[j-1].Kept {
			j++
		}
		c := Recut{First: r.said[i].First, Last: r.said[j-1].Last, Said: r.said[i:j]}
		if !c.Said[0].Kept {
			c.Gain = s.gain(r, words, &c, before)
			dst = append(dst, c)
		}
		i = j
	}
	return dst
}

// gain is by how many nats what was said is likelier than the words shown; it notes what
// stands before and behind.
func (s *Speech) gain(r *Room, words []ShownWord, c *Recut, before Turn) float32 {
	if c.First > 0 {
		before = s.turnAt(r, words, c.First-1)
	}
	c.Before = before
	shown, said := float32(0), float32(0)
	last := before
	for k := c.First; k < c.Last; k++ {
		shown += s.turn[last][words[k].Turn] + s.own(&words[k])
		last = words[k].Turn
	}
	then := before
	for i := range c.Said {
		w := &c.Said[i]
		f := &s.forms[w.Form]
		said += s.turn[then][f.turn] + f.prior
		if !w.Kept {
			said += s.err + w.Apart
		}
		then = f.turn
	}
	if c.Last < len(words) {
		c.After = s.turnAt(r, words, c.Last)
		shown += s.turn[last][c.After]
		said += s.turn[then][c.After]
	}
	return shown - said
}

// turnAt is the class of what was said at word k.
func (s *Speech) turnAt(r *Room, words []ShownWord, k int) Turn {
	for i := range r.said {
		if w := &r.said[i]; w.First <= k && k < w.Last {
			return s.forms[w.Form].turn
		}
	}
	return words[k].Turn
}

// own is what a word costs as itself.
func (s *Speech) own(w *ShownWord) float32 {
	if w.Form >= 0 {
		return s.forms[w.Form].prior
	}
	return w.Own
}

func (s *Speech) reached(r *Room, p int) bool {
	for c := range r.steps[p] {
		if !math.IsInf(float64(r.steps[p][c].cost), 1) {
			return true
		}
	}
	return false
}

// to improves the step to phone q by a word of a class that costs so much.
func (s *Speech) to(r *Room, p, q int, turn Turn, form int, cost, apart float32) {
	t := &r.steps[q][turn]
	for c := range r.steps[p] {
		if sum := r.steps[p][c].cost + s.turn[c][turn] + cost; sum < t.cost {
			*t = speechStep{sum, int16(p), Turn(c), int16(form), apart}
		}
	}
}

// keep goes on by word k as it is shown.
func (s *Speech) keep(r *Room, words []ShownWord, k int) {
	w := &words[k]
	q := r.starts[k+1]
	if q == r.starts[k] {
		return
	}
	s.to(r, r.starts[k], q, w.Turn, w.Form, s.own(w), -1)
}

// hear goes on from phone p, of word k, by every form that sounds near enough.
func (s *Speech) hear(r *Room, words []ShownWord, p, k int) {
	end := min(p+speechReach, len(r.phones))
	for j := k; j < len(words) && r.starts[j] < end; j++ {
		if words[j].Closed {
			end = r.starts[j]
		}
	}
	heard := r.phones[p:end]
	n := len(heard)
	var room [MaxHeard]float32
	lose := s.m.losing(room[:0], heard)
	var rows [maxForm + 1][speechReach + 1]float32
	for j := range min(speechBand, n) {
		lose[j] *= s.added
		rows[0][j+1] = rows[0][j] + lose[j]
	}
	for j := speechBand; j < n; j++ {
		lose[j] *= s.added
	}
	x := s.index
	done := 0
	for f := 0; f < len(x.forms); f++ {
		w := &x.forms[f]
		done = min(done, w.shared)
		beyond := false
		for ; done < len(w.phones); done++ {
			least := s.step(&rows[done], &rows[done+1], done+1, w.phones[done], w.lose[done]*s.lost, heard, lose)
			if least > s.reach*float32(done)+speechSlack {
				beyond = true
				break
			}
		}
		if beyond {
			for f+1 < len(x.forms) && x.forms[f+1].shared > done {
				f++
			}
			continue
		}
		s.ends(r, p, k, n, w, rows[len(w.phones)][:n+1])
	}
}

// step is [Model.step] near the diagonal: row i of a form, for so many phones heard as
// are within the band.
func (s *Speech) step(above, row *[speechReach + 1]float32, i int, p Phone, cost float32,
	heard []Phone, lose []float32) float32 {
	swap := &s.m.swap[p]
	first := max(0, i-speechBand)
	least := float32(math.Inf(1))
	left := least
	if first == 0 {
		left = above[0] + cost
		row[0], least = left, left
	}
	last := min(len(heard), i+speechBand)
	for j := max(1, first); j <= last; j++ {
		d := above[j-1] + swap[heard[j-1]]
		if j < i+speechBand {
			d = min(d, above[j]+cost)
		}
		d = min(d, left+lose[j-1])
		row[j], left = d, d
		least = min(least, d)
	}
	return least
}

// ends goes on from phone p, of word k, to where a form may end of n phones heard.
func (s *Speech) ends(r *Room, p, k, n int, w *form, row []float32) {
	o := &s.forms[w.id]
	size := len(w.phones)
	if size < leastSpeech {
		return
	}
	limit := s.reach * float32(size)
	for j := max(1, size-speechBand); j <= min(n, size+speechBand); j++ {
		d := row[j]
		switch {
		case d > limit:
		case d > 0:
			s.to(r, p, p+j, o.turn, w.id, o.prior+s.err+s.scale*d, s.scale*d)
		case r.starts[k] == p && slices.Contains(r.starts[k+1:], p+j): // several words of one unit
			s.to(r, p, p+j, o.turn, w.id, o.prior, -1)
		}
	}
}

// back follows the best steps from the end to the beginning.
func (s *Speech) back(r *Room, p int, turn Turn) {
	r.said = r.said[:0]
	for p > 0 {
		t := &r.steps[p][turn]
		if t.form >= 0 {
			from := int(t.from)
			first, _ := slices.BinarySearch(r.starts, from+1)
			last, _ := slices.BinarySearch(r.starts, p)
			r.said = append(r.said, SaidWord{Form: int(t.form), First: first - 1, Last: last, From: from, To: p,
				Apart: max(0, t.apart), Kept: t.apart < 0})
		}
		p, turn = int(t.from), t.turn
	}
	slices.Reverse(r.said)
}
