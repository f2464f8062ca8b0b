package sound

import (
	"embed"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"saywatt/schema"
)

//go:embed tables/*.tsv
var tables embed.FS

//go:embed tables/common.tsv
var commonTable string

// Phone is one sound, an index into the table of phones; 0 is none.
type Phone uint8

// maxPhones bounds the table of phones.
const maxPhones = 64

// Model is how words sound and what sounds cost.
type Model struct {
	names   []string // by phone
	vowel   [maxPhones]bool
	liquid  [maxPhones]bool
	stop    [maxPhones]bool
	swap    [maxPhones][maxPhones]float32 // cost of one phone for the other
	lose    [maxPhones]float32            // cost of a phone that only one side has
	twin    float32                       // the same of a vowel behind a vowel
	cluster float32                       // the same of a liquid heard behind a stop
	last    float32                       // share of it for consonants at the end
	said    map[string][]Phone
	rules   ['z' + 1][]rule // by first letter, longest letters first
	common  map[string]counts
	total   counts // of all words
	kinds   counts // how many words were seen in each place
	weights weights
}

// rule says what letters stand for.
type rule struct {
	letters, before, behind string
	phones                  []Phone
}

// Default returns the model of the embedded tables.
var Default = sync.OnceValue(func() *Model {
	m, err := load(nil)
	if err != nil {
		panic(err) // the tables are embedded and tested
	}
	return m
})

// WithWeights returns the model of the embedded tables with some weights
// changed: for fitting.
func WithWeights(changed map[string]float64) (*Model, error) { return load(changed) }

// Weights returns the weights of the embedded table in its order.
func Weights() (names []string, values []float64, err error) {
	t, err := schema.ReadTable(tables, "tables/weights.tsv")
	if err != nil {
		return nil, nil, err
	}
	for _, r := range t.Rows {
		v, err := strconv.ParseFloat(r.Get("value"), 64)
		if err != nil {
			return nil, nil, fmt.Errorf("weights.tsv:%d: %w", r.Line, err)
		}
		names, values = append(names, r.Get("name")), append(values, v)
	}
	return names, values, nil
}

func load(changed map[string]float64) (*Model, error) {
	m := &Model{names: []string{""}, said: map[string][]Phone{},
		common: make(map[string]counts, strings.Count(commonTable, "\n"))}
	names, values, err := Weights()
	if err != nil {
		return nil, err
	}
	w := weights{}
	for i, name := range names {
		w[name] = float32(values[i])
		if v, ok := changed[name]; ok {
			w[name] = float32(v)
		}
	}
	m.weights = w
	if err := m.loadPhones(w); err != nil {
		return nil, err
	}
	if err := m.loadSaid(); err != nil {
		return nil, err
	}
	if err := m.loadRules(); err != nil {
		return nil, err
	}
	return m, m.loadCommon()
}

// phones reads symbols apart by blanks.
func (m *Model) phones(symbols string) ([]Phone, error) {
	if symbols == "-" {
		return nil, nil
	}
	var out []Phone
	for _, s := range strings.Fields(symbols) {
		i := slices.Index(m.names, s)
		if i <= 0 {
			return nil, fmt.Errorf("no phone %q", s)
		}
		out = append(out, Phone(i))
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("no phones")
	}
	return out, nil
}

func (m *Model) loadSaid() error {
	t, err := schema.ReadTable(tables, "tables/said.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		p, err := m.phones(r.Get("phones"))
		if err != nil {
			return fmt.Errorf("said.tsv:%d: %w", r.Line, err)
		}
		m.said[r.Get("word")] = p
	}
	return nil
}

func (m *Model) loadRules() error {
	t, err := schema.ReadTable(tables, "tables/letters.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		p, err := m.phones(r.Get("phones"))
		letters := r.Get("letters")
		if err != nil || letters == "" || letters[0] < 'a' || letters[0] > 'z' {
			return fmt.Errorf("letters.tsv:%d: letters or phones: %w", r.Line, err)
		}
		m.rules[letters[0]] = append(m.rules[letters[0]], rule{letters, r.Get("before"), r.Get("behind"), p})
	}
	for c := range m.rules {
		slices.SortStableFunc(m.rules[c], func(a, b rule) int { return len(b.letters) - len(a.letters) })
	}
	return nil
}

// Where is a place in a sentence where words were counted.
type Where uint8

// The places of words.
const (
	Anywhere     Where = iota
	BeforeNumber       // right before a number
	BeforeUnit         // right before the word of a unit that has no number
	BehindNumber       // right behind a number that has no unit
	places
)

var placeNames = [places]string{"n", "number", "unit", "behind"}

// counts says how often a word was seen, by place.
type counts [places]int

func (m *Model) loadCommon() error {
	return schema.EachRow("common.tsv", commonTable, func(r schema.Row) error {
		var c counts
		for w, name := range placeNames {
			var err error
			if c[w], err = strconv.Atoi(r.Get(name)); err != nil || c[w] < 0 || c[w] > c[Anywhere] {
				return fmt.Errorf("common.tsv:%d: %s %q", r.Line, name, r.Get(name))
			}
			m.total[w] += c[w]
			if c[w] > 0 {
				m.kinds[w]++
			}
		}
		if c[Anywhere] == 0 {
			return fmt.Errorf("common.tsv:%d: n %q", r.Line, r.Get("n"))
		}
		m.common[r.Get("word")] = c
		return nil
	})
}

// Common returns how often the word, in any case, stood for itself in the
// reviews counted.
func (m *Model) Common(word []byte) int { return m.countsOf(word)[Anywhere] }

// Seen returns how often the word, in any case, was counted, and how often in a place.
func (m *Model) Seen(word []byte, at Where) (all, here int) {
	c := m.countsOf(word)
	return c[Anywhere], c[at]
}

// countsOf returns the counts of a word, in any case.
func (m *Model) countsOf(word []byte) counts {
	var room [maxWord]byte
	w := fold(room[:0], word)
	c := m.common[string(w)]
	if k := len(w) - 1; k > 2 && w[k] == 's' { // nights are as common as a night
		if one := m.common[string(w[:k])]; one[Anywhere] > c[Anywhere] {
			c = one
		}
	}
	return c
}

// Share returns the share of the word among all that stand in a place for
// themselves. Its share among all words counts there as so many words as the weight
// "backing" says, and for what "discount" takes off every word that was seen there:
// words seen once in a place are as likely others (absolute discounting, Ney, Essen and
// Kneser 1994, from memory). No share is below that of a word seen half a time.
func (m *Model) Share(word []byte, at Where) float64 {
	c := m.countsOf(word)
	share := (float64(c[Anywhere]) + 0.5) / (float64(m.total[Anywhere]) + 1)
	if at == Anywhere {
		return share
	}
	backing, discount := float64(m.weights["backing"]), float64(m.weights["discount"])
	free := backing + discount*float64(m.kinds[at])
	return (max(0, float64(c[at])-discount) + free*share) / (float64(m.total[at]) + backing)
}

// maxWord bounds the words that are sounded out, in bytes.
const maxWord = 32

// fold appends the word with its ASCII letters lower; of long ones the
// beginning.
func fold(dst, word []byte) []byte {
	for _, c := range word[:min(len(word), maxWord)] {
		if c >= 'A' && c <= 'Z' {
			c |= 0x20
		}
		dst = append(dst, c)
	}
	return dst
}
