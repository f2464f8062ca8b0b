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

// speechRoom is the most phones that one form can be looked for in: memory is made for
// so many. How many it is looked for in is speech_window of weights.tsv.
const speechRoom = 26

// step is the best way to a phone by a word of a class.
type speechStep struct {
	cost float32
	from int16 // phone
	turn Turn  // class before
	form int16 // -1: a word that stands as shown
	kept bool  // it is a word shown, or several
}

// Room is what [Speech.Decode] works in.
type Room struct {
	phones []Phone
	starts []int   // phone of each word, and the end
	swap   []int32 // what each phone costs for that of a form: [phone of the form][speechBand + phone heard]
	stride int     // of swap
	rows   [maxForm + 1]bandRow

	asShown []float32 // what each word and those behind it, up to the next closed one, cost as shown
	steps   [][turnClasses]speechStep
	said    []SaidWord
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
	s.compare(r, words)
	s.stand(r, words)
	asShown := float32(far) // what the words up to the next closed one cost as shown
	for p, k := 0, 0; p < n; p++ {
		for r.starts[k+1] <= p {
			k++
		}
		whole := r.starts[k] == p
		anew := !words[k].Closed && s.mayStart(r, p, k)
		if !whole && !anew {
			continue
		}
		l, reached := s.leads(&r.steps[p])
		if whole {
			asShown = l.cost[words[k].Turn] + r.asShown[k]
		}
		if reached && whole {
			s.keep(r, &l, words, k)
		}
		if reached && anew {
			s.hear(r, &l, words, p, k, asShown)
		}
	}
	best := TurnOther
	for c := range turnClasses {
		if r.steps[n][c].cost < r.steps[n][best].cost {
			best = c
		}
	}
	s.back(r, words, n, best)
	return s.recuts(dst, r, words, before)
}

// compare works out what each phone heard costs for each that forms have, for the words that
// forms are looked for in. The first phone of another, and what comes behind the last word,
// is farther than any.
func (s *Speech) compare(r *Room, words []ShownWord) {
	n := len(r.phones)
	r.stride = speechBand + n + 1
	size := len(s.m.names)*r.stride + maxForm + bandRoom
	r.swap = slices.Grow(r.swap[:0], size)[:size]
	for a := range s.m.names {
		row, swap := r.swap[a*r.stride+speechBand:][:n+1], &s.swap[a]
		for k := range words {
			from, to := r.starts[k], r.starts[k+1]
			if words[k].Closed {
				row[from] = far
				continue
			}
			for j, b := range r.phones[from:to] {
				row[from+j] = swap[b]
			}
		}
		row[n] = far
	}
}

// stand works out what each word costs as shown, with those behind it up to the next closed
// one, which no form reaches beyond, and with the turn to that: by how much it is dearer
// than the cheapest to it. Infinite where a word without phones is among them.
func (s *Speech) stand(r *Room, words []ShownWord) {
	n := len(words)
	r.asShown = slices.Grow(r.asShown[:0], n)[:n]
	for k := n - 1; k >= 0; k-- {
		w := &words[k]
		cost := s.own(w)
		switch {
		case r.starts[k] == r.starts[k+1], k+1 < n && r.starts[k+1] == r.starts[k+2]:
			cost = float32(math.Inf(1))
		case k+1 == n:
		case words[k+1].Closed:
			cost += s.turn[w.Turn][words[k+1].Turn] - s.into[words[k+1].Turn]
		default:
			cost += s.turn[w.Turn][words[k+1].Turn] + r.asShown[k+1]
		}
		r.asShown[k] = cost
	}
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

// lead is the cheapest way on from a phone to a word of each class: what it costs so
// far with the class that follows, and the class before it.
type lead struct {
	cost [turnClasses]float32
	turn [turnClasses]Turn
}

// leads works out the ways on from a phone once for all forms that are tried there; it
// reports whether any way leads to it.
func (s *Speech) leads(steps *[turnClasses]speechStep) (l lead, reached bool) {
	far := float32(math.Inf(1))
	for t := range l.cost {
		l.cost[t] = far
	}
	for c := range steps {
		cost := steps[c].cost
		if cost == far {
			continue
		}
		reached = true
		for t := range l.cost {
			if sum := cost + s.turn[c][t]; sum < l.cost[t] {
				l.cost[t], l.turn[t] = sum, Turn(c)
			}
		}
	}
	return l, reached
}

// to improves the step from phone p to q by a word of a class that costs so much.
func (r *Room) to(l *lead, p, q int, turn Turn, form int, cost float32, kept bool) {
	if sum := l.cost[turn] + cost; sum < r.steps[q][turn].cost {
		r.steps[q][turn] = speechStep{sum, int16(p), l.turn[turn], int16(form), kept}
	}
}

// keep goes on by word k as it is shown.
func (s *Speech) keep(r *Room, l *lead, words []ShownWord, k int) {
	w := &words[k]
	q := r.starts[k+1]
	if q == r.starts[k] {
		return
	}
	r.to(l, r.starts[k], q, w.Turn, w.Form, s.own(w), true)
}

// mayStart reports whether a form may start at phone p of word k: at one of its first, or
// at its last.
func (s *Speech) mayStart(r *Room, p, k int) bool {
	return p < r.starts[k]+s.starts || p+1 == r.starts[k+1]
}

// window is where the phones end that forms are looked for in from phone p, of word k, on.
func (s *Speech) window(r *Room, words []ShownWord, p, k int) int {
	end := min(p+s.ahead, len(r.phones))
	for j := k; j < len(words) && r.starts[j] < end; j++ {
		if words[j].Closed {
			end = r.starts[j]
		}
	}
	return end
}

// apart is how far the sounds of a form are from those heard, in nats: to the last digit
// that floats have.
func (s *Speech) apart(r *Room, words []ShownWord, w *SaidWord) float32 {
	heard := r.phones[w.From:s.window(r, words, w.From, w.First)]
	var room [MaxHeard]float32
	lose := s.m.losing(room[:0], heard)
	var rows [2][speechRoom + 2]float32
	for j := range lose {
		lose[j] *= s.added
		rows[0][j+1] = far
		if j < s.band {
			rows[0][j+1] = rows[0][j] + lose[j]
		}
	}
	f := s.forms[w.Form].form
	for i, p := range f.phones {
		var swap [speechRoom]float32
		for j, h := range heard {
			swap[j] = s.m.swap[p][h]
		}
		step(s.band, &rows[i%2], &rows[(i+1)%2], i+1, swap[:len(heard)], f.lose[i]*s.lost, lose)
	}
	return s.scale * rows[len(f.phones)%2][w.To-w.From]
}

// spare is how far forms of a class may be from the sounds heard, with their priors, finely,
// for a way by them to be as cheap as the words shown, and behind the classes the most of
// them. The words shown, with the way to them, cost asShown.
func (s *Speech) spare(l *lead, asShown float32) (spare [turnClasses + 1]int32) {
	most := int32(-far)
	for t, cost := range l.cost {
		d := (asShown + sameCost - s.err - cost) / s.scale
		spare[t] = finely(max(-far/fine, min(d, far/fine)))
		most = max(most, spare[t])
	}
	spare[turnClasses] = most
	return spare
}

// sameCost is more than sums of the same costs differ by for being added in another order.
const sameCost = 0.01

// hear goes on from phone p, of word k, by every form that sounds near enough: by itself,
// and for its way to be cheaper than the words shown. Those that sound the same as words
// shown cost no error, and are always gone on by.
func (s *Speech) hear(r *Room, l *lead, words []ShownWord, p, k int, asShown float32) {
	spare := s.spare(l, asShown)
	end := s.window(r, words, p, k)
	n := end - p
	var lose [speechBand + speechRoom + maxForm + bandRoom]int32 // by band and phone heard
	var room [MaxHeard]float32
	for j, cost := range s.m.losing(room[:0], r.phones[p:end]) {
		lose[speechBand+j] = finely(cost * s.added)
	}
	lose[speechBand+n] = far
	first := &r.rows[0]
	for k := range first {
		first[k] = far
	}
	first[speechBand] = 0
	for j := range min(speechBand, n) {
		first[speechBand+j+1] = first[speechBand+j] + lose[speechBand+j]
	}
	tree, swaps, stride := s.tree, r.swap[p:], r.stride
	for i := 0; i < len(tree); {
		t := &tree[i]
		depth := int(t.depth)
		row := &r.rows[depth]
		swap := (*[bandWidth]int32)(swaps[int(t.phone)*stride+depth-1:])
		least := row.step(&r.rows[depth-1], swap, t.lose, (*[bandWidth]int32)(lose[depth-1:]))
		if least > min(t.most, max(0, spare[t.turn]-t.dear)) { // no form is nearer than the least of a row
			i = int(t.next)
			continue
		}
		for _, f := range t.forms {
			o := &s.forms[f]
			if limit := min(o.limit, max(0, spare[o.turn]-o.dear)); least <= limit {
				s.ends(r, l, p, k, int(f), depth, row, limit)
			}
		}
		i++
	}
}

// speechBand is how many phones more or fewer may be heard than a form has: the row
// speech_band of weights.tsv says why.
const (
	speechBand = 4
	bandWidth  = 2*speechBand + 1
	bandRoom   = bandWidth + 1
)

// A bandRow is a row of distances near the diagonal: of the first phones of a form, so many
// as its depth, from those heard, at place speechBand + j - depth from the first j of them,
// and far behind the last of the band.
type bandRow [bandRoom]int32

// step is step for a row of a band, with whole numbers, each place written out: a loop over
// so few takes twice as long. It returns the least of the row. What swap and lose have for
// phones before the first heard does not matter; for the one behind the last it is far, and
// nothing is less from there on.
func (r *bandRow) step(above *bandRow, swap *[bandWidth]int32, cost int32, lose *[bandWidth]int32) int32 {
	left := min(above[0]+swap[0], above[1]+cost)
	least := left
	r[0] = left
	left = min(above[1]+swap[1], above[2]+cost, left+lose[1])
	least = min(least, left)
	r[1] = left
	left = min(above[2]+swap[2], above[3]+cost, left+lose[2])
	least = min(least, left)
	r[2] = left
	left = min(above[3]+swap[3], above[4]+cost, left+lose[3])
	least = min(least, left)
	r[3] = left
	left = min(above[4]+swap[4], above[5]+cost, left+lose[4])
	least = min(least, left)
	r[4] = left
	left = min(above[5]+swap[5], above[6]+cost, left+lose[5])
	least = min(least, left)
	r[5] = left
	left = min(above[6]+swap[6], above[7]+cost, left+lose[6])
	least = min(least, left)
	r[6] = left
	left = min(above[7]+swap[7], above[8]+cost, left+lose[7])
	least = min(least, left)
	r[7] = left
	left = min(above[8]+swap[8], above[9]+cost, left+lose[8])
	least = min(least, left)
	r[8] = left
	r[9] = far
	return least
}

// step is [Model.step] near the diagonal: row i of a form, for so many phones heard as
// are within the band. The phones heard cost as much for that of the form (swap), it costs
// as much where it was not heard, and they where the form lacks them (lose).
func step(band int, above, row *[speechRoom + 2]float32, i int, swap []float32, cost float32, lose []float32) {
	first := max(1, i-band)
	last := min(len(swap), i+band)
	left := float32(far)
	if i <= band {
		left = above[0] + cost
		row[0] = left
	}
	if first <= last {
		above, row, swap := above[first-1:last+1], row[first:last+1], swap[first-1:last]
		for j, added := range lose[first-1 : last] {
			left = min(above[j]+swap[j], above[j+1]+cost, left+added)
			row[j] = left
		}
	}
	row[last+1] = far // the row below looks one farther
}

// far is farther than any two rows of sounds are apart, finely or not. Several of it are
// a number still.
const far = 1 << 28

// ends goes on from phone p, of word k, to where a form of so many phones may end within a
// limit.
func (s *Speech) ends(r *Room, l *lead, p, k, id, size int, row *bandRow, limit int32) {
	if size < s.short {
		return
	}
	o := &s.forms[id]
	for at, d := range row {
		j := size - speechBand + at
		switch {
		case d > limit, j < 1:
		case d > 0:
			r.to(l, p, p+j, o.turn, id, o.prior+s.err+s.scale*float32(d)/fine, false)
		case r.starts[k] == p && slices.Contains(r.starts[k+1:], p+j): // several words of one unit
			r.to(l, p, p+j, o.turn, id, o.prior, true)
		}
	}
}

// back follows the best steps from the end to the beginning.
func (s *Speech) back(r *Room, words []ShownWord, p int, turn Turn) {
	r.said = r.said[:0]
	for p > 0 {
		t := &r.steps[p][turn]
		if t.form >= 0 {
			from := int(t.from)
			first, _ := slices.BinarySearch(r.starts, from+1)
			last, _ := slices.BinarySearch(r.starts, p)
			w := SaidWord{Form: int(t.form), First: first - 1, Last: last, From: from, To: p, Kept: t.kept}
			if !w.Kept {
				w.Apart = s.apart(r, words, &w)
			}
			r.said = append(r.said, w)
		}
		p, turn = int(t.from), t.turn
	}
	slices.Reverse(r.said)
}
