package normalize

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"saywatt/extract"
	"saywatt/schema"
)

// Learned is a person's own count of what captions do, review by review. It
// adds to the counts of tables/distortions.tsv wherever a Ranker is given it,
// and nowhere else. The zero value has learnt nothing.
type Learned struct {
	reviews []learnedReview // by hash
}

type learnedReview struct {
	hash, file string
	counts     distortionCounts
}

// distortionCounts says of every distortion how often it was suffered, and by
// how many quantities it could have been.
type distortionCounts struct{ n, of [distortionEnd]int }

// Learn counts the distortions of a document that a person has decided on
// with r.Answers, in the place of what was learnt of the same file before.
// Counted are the decisions, and the readings of the rest that are all but
// decided with them: decisions alone, which are asked for where captions went
// wrong, would make every distortion look common. It returns the number of
// decisions counted; one that no distortion explains, or that there was no
// quantity, is not.
//
// Answers that fit nothing in the document are an error, StrayAnswers.
func (r *Ranker) Learn(d *extract.Document, l *Learned) (int, error) {
	e, stray := r.inferred(d)
	if len(stray) > 0 {
		return 0, stray
	}
	review := learnedReview{hash: d.Transcript.Hash, file: d.Transcript.Name}
	for i := range e.nodes {
		n := &e.nodes[i]
		if n.settled {
			continue
		}
		for k := n.from; k < n.to; k++ {
			if c := &e.cands[k]; c.posterior >= loadBounds().decided && !c.nothing {
				review.counts.add(e, n, c)
			}
		}
	}
	decisions := 0
	for i := range e.decided {
		if s := &e.decided[i]; s.found {
			review.counts.add(e, &e.nodes[s.node], &s.was)
			decisions++
		}
	}
	l.put(review)
	return decisions, nil
}

// put takes a review in, in the place of an earlier count of it.
func (l *Learned) put(r learnedReview) {
	i, there := slices.BinarySearchFunc(l.reviews, r.hash,
		func(a learnedReview, hash string) int { return cmp.Compare(a.hash, hash) })
	if there {
		l.reviews[i] = r
		return
	}
	l.reviews = slices.Insert(l.reviews, i, r)
}

// Forget drops what was learnt of files of the name, or with the hash; it
// reports how many.
func (l *Learned) Forget(file string) int {
	before := len(l.reviews)
	l.reviews = slices.DeleteFunc(l.reviews, func(r learnedReview) bool { return r.file == file || r.hash == file })
	return before - len(l.reviews)
}

// Reviews lists the files learnt from, by name.
func (l *Learned) Reviews() []string {
	var names []string
	for _, r := range l.reviews {
		names = append(names, r.file)
	}
	slices.Sort(names)
	return names
}

// A Rate is how often captions do one thing, by the table and by one's own
// count.
type Rate struct {
	Words   string // what captions do
	N, Of   int    // own count
	Table   float64
	Learned float64 // with the own count
}

// Rates lists the distortions of which something was learnt, in table order.
func (l *Learned) Rates() []Rate {
	sum := l.sum()
	table := loadCosts()
	with := table.with(l)
	var rates []Rate
	for d := intact; d < distortionEnd; d++ {
		if sum.of[d] > 0 {
			rates = append(rates, Rate{table.words[d], sum.n[d], sum.of[d], math.Exp(-float64(table.cost[d])),
				math.Exp(-float64(with.cost[d]))})
		}
	}
	return rates
}

func (l *Learned) sum() distortionCounts {
	var sum distortionCounts
	for _, r := range l.reviews {
		for d := range sum.n {
			sum.n[d] += r.counts.n[d]
			sum.of[d] += r.counts.of[d]
		}
	}
	return sum
}

// with returns the costs by the table's counts and those learnt together. Beside a
// person's own counts those of the table are worth so many quantities (learned_worth).
func (c *costs) with(l *Learned) *costs {
	if l == nil || len(l.reviews) == 0 {
		return c
	}
	sum := l.sum()
	w := *c
	for d := range w.cost {
		if sum.of[d] == 0 {
			continue
		}
		worth := min(1, loadWeights().LearnedWorth/c.of[d])
		w.cost[d] = costOf(worth*c.n[d]+float64(sum.n[d]), worth*c.of[d]+float64(sum.of[d]))
	}
	w.confusion = make(map[schema.Unit][]confusion, len(c.confusion))
	for u, list := range c.confusion {
		list = slices.Clone(list)
		for i := range list {
			list[i].cost += w.cost[list[i].by] - c.cost[list[i].by]
		}
		w.confusion[u] = list
	}
	return &w
}

// costOf is -ln of a share, with the usual add-half smoothing.
func costOf(n, of float64) float32 { return float32(-math.Log((n + 0.5) / (of + 1))) }

// add counts one quantity that was said: what it suffered of what it could
// have.
func (k *distortionCounts) add(e *engine, n *node, c *candidate) {
	words := e.mention(n.last-1).Style != extract.StyleDigits
	for d := intact; d < distortionEnd; d++ {
		suffered := c.suffered(d)
		if d == intact {
			suffered = c.by == [3]distortion{}
		}
		if suffered || c.could(d, words) {
			k.of[d]++
		}
		if suffered {
			k.n[d]++
		}
	}
}

// could reports whether a quantity with such a value, shown in words or in
// digits, could have suffered a distortion.
func (c *candidate) could(d distortion, words bool) bool {
	decimal := c.lo.Exp < 0 || c.hi.Exp < 0
	switch d {
	case pointLost:
		return decimal && !words
	case pointWordLost:
		return decimal && words
	case pointShownWrong, pointMisheard:
		return decimal
	case zeroLost:
		return decimal && c.lo.Float() < 1
	case teenTy:
		return teenOrTy(c.hi)
	case toAs2, toLost, rangeMerged:
		return c.isRange
	case mergedNumbers:
		return c.kind == schema.KindVoltage || c.kind == schema.KindCurrent
	case unitSwapped:
		return c.kind == schema.KindVoltage || c.kind == schema.KindPower
	case hourLost:
		return c.kind == schema.KindEnergy || c.kind == schema.KindCharge
	case prefixLost, prefixWrong, letterCase: // of units with a prefix
		info, ok := c.unit.Info()
		return ok && info.Scale != 1
	}
	return true
}

// learnedHead is the first line of a file of counts.
const learnedHead = "sha256\tfile\tdistortion\tn\tof"

// A LearnedError says what is wrong with a file of counts.
type LearnedError struct {
	Name string
	Line int
	Err  error
}

func (e *LearnedError) Error() string { return fmt.Sprintf("%s:%d: %v", e.Name, e.Line, e.Err) }
func (e *LearnedError) Unwrap() error { return e.Err }

// What may be wrong with a file of counts.
var (
	ErrLearnedHead   = errors.New("no file of counts: the first line is not " + strconv.Quote(learnedHead))
	ErrLearnedFields = errors.New("want five fields between tabs: sha256, file, distortion, n, of")
	ErrLearnedCounts = errors.New("the counts are not two whole numbers, 0 ≤ n ≤ of ≤ 1000000000")
	ErrLearnedName   = errors.New("no distortion has this name")
	ErrLearnedTwice  = errors.New("counted twice in one file")
	ErrLearnedLong   = errors.New("the line is too long")
)

// ReadLearned reads a file that Write wrote; an empty one has learnt nothing.
// Errors are of type *LearnedError with the name given.
func ReadLearned(r io.Reader, name string) (*Learned, error) {
	l := &Learned{}
	byName := map[string]distortion{}
	for d, s := range distortionNames {
		byName[s] = distortion(d)
	}
	in := bufio.NewScanner(r)
	line := 0
	for in.Scan() {
		line++
		fail := func(err error) (*Learned, error) { return nil, &LearnedError{name, line, err} }
		if line == 1 {
			if in.Text() != learnedHead {
				return fail(ErrLearnedHead)
			}
			continue
		}
		f := strings.Split(in.Text(), "\t")
		if len(f) != 5 || f[0] == "" {
			return fail(ErrLearnedFields)
		}
		d, ok := byName[f[2]]
		if !ok {
			return fail(ErrLearnedName)
		}
		n, err1 := strconv.Atoi(f[3])
		of, err2 := strconv.Atoi(f[4])
		if err1 != nil || err2 != nil || n < 0 || n > of || of > 1e9 {
			return fail(ErrLearnedCounts)
		}
		i, there := slices.BinarySearchFunc(l.reviews, f[0],
			func(a learnedReview, hash string) int { return cmp.Compare(a.hash, hash) })
		if !there {
			l.reviews = slices.Insert(l.reviews, i, learnedReview{hash: f[0], file: f[1]})
		}
		k := &l.reviews[i].counts
		if k.of[d] > 0 || l.reviews[i].file != f[1] {
			return fail(ErrLearnedTwice)
		}
		k.n[d], k.of[d] = n, of
	}
	if err := in.Err(); err != nil {
		if errors.Is(err, bufio.ErrTooLong) {
			err = ErrLearnedLong
		}
		return nil, &LearnedError{name, line + 1, err}
	}
	return l, nil
}

// Write writes the counts, for ReadLearned: one line for every file and
// distortion, fields between tabs, sorted.
func (l *Learned) Write(w io.Writer) error {
	out := bufio.NewWriter(w)
	fmt.Fprintln(out, learnedHead)
	clean := strings.NewReplacer("\t", " ", "\n", " ", "\r", " ")
	for _, r := range l.reviews {
		for d := intact; d < distortionEnd; d++ {
			if r.counts.of[d] > 0 {
				fmt.Fprintf(out, "%s\t%s\t%s\t%d\t%d\n", r.hash, clean.Replace(r.file), distortionNames[d],
					r.counts.n[d], r.counts.of[d])
			}
		}
	}
	return out.Flush()
}
