package sound

import (
	"math"
	"slices"
)

// speechRoom is the most phones that one form can be looked for in: memory is made for
// so many. How many it is looked for in is speech_window of weights.tsv.
const speechRoom = 26

// speechStep is the best way to a phone by a word of a class.
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
	After       Turn       // and behind it
}

// Decode appends the stretches of the words that are likelier numbers and units than
// the words shown. What stands before the first and behind the last is of the classes.
// The rows are good until the next call with the room.
func (s *Speech) Decode(dst []Recut, r *Room, words []ShownWord, before, behind Turn) []Recut {
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
	return s.recuts(dst, r, words, before, behind)
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
func (s *Speech) recuts(dst []Recut, r *Room, words []ShownWord, before, behind Turn) []Recut {
	for i := 0; i < len(r.said); {
		j := i + 1
		for j < len(r.said) && r.said[j].First <= r.said[j-1].Last && !r.said[j].Kept && !r.said[j-1].Kept {
			j++
		}
		c := Recut{First: r.said[i].First, Last: r.said[j-1].Last, Said: r.said[i:j]}
		if !c.Said[0].Kept {
			c.Gain = s.gain(r, words, &c, before, behind)
			dst = append(dst, c)
		}
		i = j
	}
	return dst
}

// gain is by how many nats what was said is likelier than the words shown; it notes what
// stands before and behind.
func (s *Speech) gain(r *Room, words []ShownWord, c *Recut, before, behind Turn) float32 {
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
	c.After = behind
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
	lose := s.m.beyond(room[:0], heard)
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
	for j, cost := range s.m.beyond(room[:0], r.phones[p:end]) {
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
