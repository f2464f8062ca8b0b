package channel

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
)

// Learned is a person's own count of what captions do, review by review, which
// Costs.With adds to the counts of the table. The zero value has learnt nothing.
type Learned struct {
	reviews []learnedReview // by hash
}

type learnedReview struct {
	hash, file string
	counts     Counts
}

// Counts say of every distortion how often it was suffered, and by how many
// quantities it could have been.
type Counts struct{ n, of [End]int }

// Add counts one quantity that could have suffered a distortion.
func (k *Counts) Add(d Distortion, suffered bool) {
	k.of[d]++
	if suffered {
		k.n[d]++
	}
}

// Put takes the counts of a review in: of a file of that name, with the SHA-256 of its
// bytes in hexadecimal, in the place of an earlier count of the same bytes.
func (l *Learned) Put(hash, file string, counts Counts) {
	r := learnedReview{hash: hash, file: file, counts: counts}
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
	Words   string  // what captions do
	N, Of   int     // own count: so many of so many quantities
	Table   float64 // probability by the table
	Learned float64 // probability by the table and the own count
}

// Rates lists the distortions of which something was learnt, in table order.
func (l *Learned) Rates() []Rate {
	sum := l.sum()
	table := loadCosts()
	with := table.With(l)
	var rates []Rate
	for d := range End {
		if sum.of[d] > 0 {
			rates = append(rates, Rate{table.words[d], sum.n[d], sum.of[d], math.Exp(-float64(table.cost[d])),
				math.Exp(-float64(with.cost[d]))})
		}
	}
	return rates
}

func (l *Learned) sum() Counts {
	var sum Counts
	for _, r := range l.reviews {
		for d := range sum.n {
			sum.n[d] += r.counts.n[d]
			sum.of[d] += r.counts.of[d]
		}
	}
	return sum
}

// learnedHead is the first line of a file of counts.
const learnedHead = "sha256\tfile\tdistortion\tn\tof"

// A LearnedError says what is wrong with a file of counts.
type LearnedError struct {
	Name string // of the file
	Line int    // from 1
	Err  error  // one of those below, or what the file's reader says
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
		d, ok := parse(f[2])
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
		for d := range End {
			if r.counts.of[d] > 0 {
				fmt.Fprintf(out, "%s\t%s\t%s\t%d\t%d\n", r.hash, clean.Replace(r.file), d,
					r.counts.n[d], r.counts.of[d])
			}
		}
	}
	return out.Flush()
}
