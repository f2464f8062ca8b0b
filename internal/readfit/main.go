// Readfit fits the weights of readings, normalize/tables/traits.tsv, on marked
// narrations and some made from them: maximum likelihood of the right reading, with
// a pull towards the engine's terms as they stand, then the doubt on narrations that
// were left out. With -fold it says how well narrations are read that were left out.
// With -units it fits nothing and counts which units the places have.
package main

import (
	"cmp"
	"flag"
	"fmt"
	"io"
	"log"
	"math"
	"slices"
	"strings"

	"saywatt/extract"
	"saywatt/extract/place"
	"saywatt/internal/fit"
	"saywatt/internal/narration"
	"saywatt/normalize"
	"saywatt/schema"
)

func main() {
	log.SetFlags(0)
	fold := flag.Bool("fold", false, "leave out groups of narrations in turn and say how they are read")
	wrong := flag.Bool("wrong", false, "with -fold, list what is wrong")
	penalty := flag.Float64("penalty", 1.5, "inverse variance of the weights")
	doubt := flag.Float64("doubt", 8, "inverse variance of the weights of the doubt")
	made := flag.Int("made", 60, "add so `many` narrations made from those that are fitted on")
	weight := flag.Float64("weight", 0.1, "weight of a made narration")
	excerpt := flag.Float64("excerpt", 0, "weight of an excerpt of a narration")
	intact := flag.Float64("intact", 0.3, "weight of a narration as it was said, without garbles")
	rounds := flag.Int("rounds", 1, "how often to read the narrations anew with the weights found")
	models := flag.String("models", "", "find places with the weights that placefit -fold -models wrote to `DIR`")
	only := flag.String("only", "", "fit the traits whose name holds `TEXT` and leave the others as they are")
	units := flag.String("units", "", "count the units of the places to `FILE` and fit nothing")
	write := flag.String("write", "", "write the weights to `FILE`")
	flag.Parse()
	places, err := place.Folds(*models)
	if err != nil {
		log.Fatal(err)
	}
	how := settings{*rounds, *penalty, *doubt, *made, *weight, places, *only}
	all, err := read(flag.Args(), places, *excerpt, *intact)
	if err != nil {
		log.Fatal(err)
	}
	if *units != "" {
		if err := countUnits(*units, all); err != nil {
			log.Fatal(err)
		}
		return
	}
	if *fold {
		validate(all, how, *wrong)
	}
	if *write != "" {
		w, seen := fitted(all, how)
		if err := save(*write, w, seen, len(all)); err != nil {
			log.Fatal(err)
		}
	}
}

// marked is a narration with its marks and with its document.
type marked struct {
	d      *extract.Document
	at     *narration.Offsets
	truth  normalize.Truth
	n      *narration.Narration
	weight float64
	group  int
	part   bool // an excerpt of another, or another as it was said
}

// one reads a narration with the places of a model.
func one(n *narration.Narration, places *place.Model) (*marked, error) {
	tr, at, err := n.Transcript()
	if err != nil {
		return nil, err
	}
	return &marked{n: n, weight: 1, d: extract.FindUsing(tr, places), at: at,
		truth: truthOf(n, tr.Text, at)}, nil
}

// byEarWeight is the weight of narrations that a recogniser wrote: few captions are as
// bad as those of a synthetic voice.
const byEarWeight = 0.25

// read reads narrations, their excerpts of one weight and, of another, what was said
// in them: files that are clean are then known by it.
func read(files []string, places []*place.Model, excerpt, intact float64) ([]*marked, error) {
	narrations, err := narration.Read(files)
	if err != nil {
		return nil, err
	}
	var out []*marked
	for _, n := range narrations {
		add := func(n *narration.Narration, weight float64, part bool) error {
			t, err := one(n, places[n.Group(len(places))])
			if err != nil {
				return err
			}
			t.group, t.weight, t.part = n.Group(innerFolds), weight, part
			out = append(out, t)
			return nil
		}
		weight := 1.0
		if n.ByEar() {
			weight = byEarWeight
		}
		if err := add(n, weight, false); err != nil {
			return nil, err
		}
		if intact > 0 && !n.ByEar() { // a recogniser's words outside of the marks were not said
			if err := add(n.Said(), intact, true); err != nil {
				return nil, err
			}
		}
		if excerpt > 0 {
			for _, part := range n.Excerpts() {
				if err := add(part, excerpt, true); err != nil {
					return nil, err
				}
			}
		}
	}
	return out, nil
}

// whole returns what is known of whole narrations, excerpts left out.
func whole[T any](all []*marked, list []T) []T {
	var out []T
	for i, t := range all {
		if !t.part {
			out = append(out, list[i])
		}
	}
	return out
}

// withMade adds narrations made from these and no others.
func withMade(all []*marked, how settings) []*marked {
	var from []*narration.Narration
	for _, t := range whole(all, all) {
		from = append(from, t.n)
	}
	made, err := narration.Made(from, how.made, -1)
	if err != nil {
		log.Fatal(err)
	}
	out := slices.Clone(all)
	for i, n := range made {
		t, err := one(n, how.places[i%len(how.places)])
		if err != nil {
			log.Fatal(err)
		}
		t.weight = how.weight
		out = append(out, t)
	}
	return out
}

// truthOf says what the marks say. A number that stands in no mark is no quantity,
// but where captions roll and show the words of a mark again; one in a mark that is
// mostly of other words is not known.
func truthOf(n *narration.Narration, text []byte, at *narration.Offsets) normalize.Truth {
	return func(start, end int) (*schema.Quantity, bool) {
		m := n.MarkAt(at, start, end, narration.Any)
		if m == nil {
			return nil, !rolled(n, text[start:end])
		}
		if m.Kind != narration.MarkQuantity {
			return nil, true
		}
		a, b := at.Span(m)
		common := min(b, end) - max(a, start)
		return &m.Meant, common*5 >= 3*max(b-a, end-start)
	}
}

// rolled reports whether two words or more end a quantity that is marked
// somewhere.
func rolled(n *narration.Narration, words []byte) bool {
	last := strings.Join(strings.Fields(string(words)), " ")
	if !strings.Contains(last, " ") {
		return false
	}
	for i := range n.Marks {
		m := &n.Marks[i]
		shown := strings.Join(strings.Fields(n.Text[m.Start:m.End]), " ")
		if m.Kind == narration.MarkQuantity && strings.HasSuffix(" "+shown, " "+last) {
			return true
		}
	}
	return false
}

// studies studies the narrations with weights.
func studies(all []*marked, w normalize.Traits) []*normalize.Study {
	r := normalize.Ranker{Traits: w}
	var out []*normalize.Study
	for _, t := range all {
		out = append(out, r.Study(t.d, t.truth))
	}
	return out
}

// fitted fits the weights of readings, and then, on narrations read with weights that
// were fitted without them, those of the doubt.
func fitted(all []*marked, how settings) (normalize.Traits, []int) {
	w, seen := ranking(all, how)
	list := heldOut(all, how)
	count(whole(all, list), seen, nil)
	doubting(all, list, w, how)
	return w, seen
}

// settings steer a fit.
type settings struct {
	rounds         int
	penalty, doubt float64
	made           int
	weight         float64
	places         []*place.Model
	only           string // what the names of the traits to fit hold
}

// start is the weights that a fit begins with.
func (s *settings) start() normalize.Traits {
	if s.only != "" {
		return normalize.DefaultTraits()
	}
	return make(normalize.Traits, len(normalize.TraitNames()))
}

// leave takes the traits that are not fitted out of those seen.
func (s *settings) leave(in []int) {
	for i, name := range normalize.TraitNames() {
		if !strings.Contains(name, s.only) {
			in[i] = 0
		}
	}
}

// count adds how often each trait was seen, and in how many narrations.
func count(list []*normalize.Study, seen, in []int) {
	last := make([]int, len(seen))
	for k, s := range list {
		s.EachTrait(func(row int32) {
			seen[row]++
			if in != nil && last[row] != k+1 {
				last[row] = k + 1
				in[row]++
			}
		})
	}
}

// innerFolds is into how many groups narrations are cut to read each with weights
// that were fitted without it.
const innerFolds = 8

// heldOut studies each narration with weights that were fitted without its group.
func heldOut(all []*marked, how settings) []*normalize.Study {
	list := make([]*normalize.Study, len(all))
	for f := range innerFolds {
		train, test := split(all, f)
		w, _ := ranking(train, how)
		k := 0
		for _, s := range studies(test, w) {
			for all[k].group != f {
				k++
			}
			list[k] = s
			k++
		}
	}
	return list
}

// split parts the narrations into those of other groups and those of one.
func split(all []*marked, group int) (train, test []*marked) {
	for _, t := range all {
		if t.group == group {
			test = append(test, t)
		} else {
			train = append(train, t)
		}
	}
	return train, test
}

// ranking fits the weights of readings among each other.
func ranking(all []*marked, how settings) (normalize.Traits, []int) {
	w := how.start()
	size := len(w)
	var seen []int
	all = withMade(all, how)
	for range how.rounds {
		list := studies(all, w)
		seen = make([]int, size)
		in := make([]int, size)
		count(whole(all, list), seen, in)
		how.leave(in)
		solve(list, weightsOf(all), w, in, how.penalty, (*normalize.Study).LogLikelihood)
	}
	for i, name := range normalize.TraitNames() {
		if normalize.IsDoubt(name) {
			seen[i] = 0
		}
	}
	return w, seen
}

// doubting fits the weights of the doubt.
func doubting(all []*marked, list []*normalize.Study, w normalize.Traits, how settings) {
	seen, in := make([]int, len(w)), make([]int, len(w))
	count(whole(all, list), seen, in)
	for i, name := range normalize.TraitNames() {
		if !normalize.IsDoubt(name) {
			in[i] = 0
		}
	}
	how.leave(in)
	solve(list, weightsOf(all), w, in, how.doubt, (*normalize.Study).DoubtLikelihood)
}

// weightsOf lists the weights of narrations.
func weightsOf(all []*marked) []float64 {
	var w []float64
	for _, t := range all {
		w = append(w, t.weight)
	}
	return w
}

// solve fits the weights of the traits that were seen in two narrations at
// least. by weighs the narrations; nil all alike.
func solve(list []*normalize.Study, by []float64, w normalize.Traits, in []int, penalty float64,
	likelihood func(*normalize.Study, []float64, []float64) float64) {
	var rows []int32
	var mean []float64
	for r := range in {
		if in[r] >= 2 {
			rows = append(rows, int32(r))
			mean = append(mean, normalize.Start(int32(r)))
		}
	}
	number := make([]int32, len(w))
	for i := range number {
		number[i] = -1
	}
	for i, r := range rows {
		number[r] = int32(i)
	}
	only := make([]*normalize.Study, len(list))
	for i, s := range list {
		only[i] = s.Only(number, w)
	}
	full := make([]float64, len(rows))
	p := fit.Problem{Mean: mean, Penalty: penalty, Examples: len(list), Iterations: 200,
		SetWeights: func(x []float64) { copy(full, x) },
		LogLikelihood: func(i int, gradient []float64) float64 {
			if by == nil || by[i] == 1 {
				return likelihood(only[i], full, gradient)
			}
			g := make([]float64, len(full))
			v := likelihood(only[i], full, g)
			for k := range g {
				gradient[k] += by[i] * g[k]
			}
			return by[i] * v
		}}
	x, err := p.Solve()
	if err != nil {
		log.Fatal(err)
	}
	for i, r := range rows {
		w[r] = x[i]
	}
}

// tally counts how readings fare.
type tally struct {
	show bool // list what is wrong

	ll, n                                       float64
	doubt                                       bool
	all                                         float64
	bins                                        [10][2]float64
	intact, kept, garbled, repaired, wrong, off float64
	loss                                        float64 // of the decision whether the likeliest reading is right
	decisions                                   []decision
}

// decision is a likeliest reading with its probability.
type decision struct {
	sure         float64
	right, wrong bool
}

// rightAt is the share of quantities that stand and are right, in per cent, where
// readings stand from the probability on that lets so many in a hundred be wrong.
func (t *tally) rightAt(wrong float64) float64 {
	slices.SortStableFunc(t.decisions, func(a, b decision) int { return cmp.Compare(b.sure, a.sure) })
	right, bad, best := 0.0, 0.0, 0.0
	for _, d := range t.decisions {
		if d.right {
			right++
		}
		if d.wrong {
			bad++
		}
		if bad <= wrong/100*t.all {
			best = right
		}
	}
	return 100 * best / max(1, t.all)
}

// standing is the probability from which on a reading stands.
var standing = normalize.DefaultThreshold()

func (t *tally) add(s *normalize.Study, w normalize.Traits) {
	for i := range s.Nodes {
		n := &s.Nodes[i]
		best, right, said := -1, 0.0, false
		for k := range n.Readings {
			r := &n.Readings[k]
			if best < 0 || r.P > n.Readings[best].P {
				best = k
			}
			if r.Right {
				right += r.P
				said = said || !r.Nothing
			}
		}
		if n.Known {
			t.n++
			t.ll += math.Log(max(right, 1e-12))
		}
		stands := n.Readings[best].P*n.Cut*0.99 >= standing && !n.Readings[best].Nothing
		if t.doubt && n.Best >= 0 {
			best = n.Best
			sure := 1 - n.Wrong(w)
			stands = sure >= standing
			k := min(9, int(sure*10))
			t.bins[k][0] += sure
			if n.Readings[best].Right {
				t.bins[k][1]++
			}
			t.all++
			t.decisions = append(t.decisions,
				decision{sure, n.Readings[best].Right && !n.Readings[best].Nothing, !n.Readings[best].Right})
			if n.Readings[best].Right {
				t.loss -= math.Log(sure)
			} else {
				t.loss -= math.Log(max(1e-12, 1-sure))
			}
		}
		switch {
		case n.Intact:
			t.intact++
			if stands && n.Readings[best].Right {
				t.kept++
			}
		case said:
			t.garbled++
			if stands && n.Readings[best].Right {
				t.repaired++
			}
		default:
			t.off++
		}
		if t.show && !n.Known {
			fmt.Printf("  unlisted %q given %s said %s\n", n.Words, n.Readings[best].Text, n.Said)
		}
		if stands && !n.Readings[best].Right {
			t.wrong++
			if t.show {
				fmt.Printf("  wrong %v %q given %s said %s known %v\n", n.Readings[best].Literal, n.Words,
					n.Readings[best].Text, n.Said, n.Known)
			}
		}
	}
}

func (t *tally) String() string {
	ece := 0.0
	for _, b := range t.bins {
		ece += math.Abs(b[0] - b[1])
	}
	return fmt.Sprintf("ll %.1f of %.0f; intact kept %.1f %%; repaired %.1f %% of %.0f; wrong %.0f; calibration "+
		"%.4f; loss %.1f; right with 0.5, 1 and 1.5 %% wrong: %.1f, %.1f, %.1f %%",
		t.ll, t.n, 100*t.kept/t.intact, 100*t.repaired/t.garbled, t.garbled, t.wrong, ece/max(1, t.all), t.loss,
		t.rightAt(0.5), t.rightAt(1), t.rightAt(1.5))
}

// validate says how narrations are read that were left out: as the engine stands,
// with the weights of readings, and with the doubt.
func validate(all []*marked, how settings, wrong bool) {
	zero := make(normalize.Traits, len(normalize.TraitNames()))
	list := heldOut(all, how)
	plain := studies(all, zero)
	doubts := make([]normalize.Traits, innerFolds)
	for f := range doubts {
		var from []*marked
		var train []*normalize.Study
		for i, t := range all {
			if t.group != f {
				from, train = append(from, t), append(train, list[i])
			}
		}
		doubts[f] = make(normalize.Traits, len(zero))
		doubting(from, train, doubts[f], how)
	}
	before, ranked, doubted := tally{}, tally{}, tally{doubt: true, show: wrong}
	short := tally{doubt: true}
	for i, t := range all {
		if t.part {
			short.add(list[i], doubts[t.group])
			continue
		}
		before.add(plain[i], zero)
		ranked.add(list[i], zero)
		doubted.add(list[i], doubts[t.group])
	}
	fmt.Println("before:", &before)
	fmt.Println("ranked:", &ranked)
	fmt.Println("excerpts:", &short)
	fmt.Println("doubts:", &doubted)
}

// save writes the table of weights.
func save(name string, w normalize.Traits, seen []int, narrations int) error {
	h := fit.Head{What: "Weights of the traits of readings (traits.go), in nats",
		By: "./internal/readfit", From: narrations,
		Columns: "# trait   what is seen of a reading: the family, and what it is\n" +
			"# n       readings it was seen at\n" +
			"# weight  nats that it adds to the score\n"}
	return fit.Save(name, h, func(out io.Writer) error {
		fmt.Fprint(out, "trait\tn\tweight\n")
		for i, name := range normalize.TraitNames() {
			if math.Abs(w[i]) >= 0.02 {
				fmt.Fprintf(out, "%s\t%d\t%.2f\n", name, seen[i], w[i])
			}
		}
		return nil
	})
}
