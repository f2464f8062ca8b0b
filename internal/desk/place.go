package desk

import (
	"cmp"
	"encoding/json"
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"saywatt/internal/export/word"
	"saywatt/normalize"
	"saywatt/schema"
)

// A belongsView is what a quantity belongs to, and may.
type belongsView struct {
	Value      string       // what is read there
	Now        string       // the field it fills, in words
	Sure       string       // how sure that is, where it is in doubt
	Settled    bool         // a person said it
	Open       bool         // the page asks for it
	Candidates bool         // it is in doubt
	Choices    []belongView // in no field among them, where that is a candidate
	Nowhere    belongView   // in no field, where it is none
	Rest       string       // the probability of what is not among the choices
	Unclear    bool         // somebody could not tell
	Classes    []belongView // every kind of place that it can have
	Ports      []belongView
	Parts      []string // kinds of parts of the record
}

type belongView struct {
	Key                   string // a number; that of no field is x, wherever it stands
	Words, Value, Percent string
	Head                  string   // of the words: what kind of place it is
	Ends                  []string // the ports behind the kind, or the part; none of them is broken across lines
	Stands                bool
}

// oneLine is how many letters of a place one line of its button has, on the least
// screen.
const oneLine = 26

// Long reports whether the words of a place take two lines, in smaller letters:
// what distinguishes two places may stand at the end.
func (v belongView) Long() bool { return utf8.RuneCountInString(v.Words) > oneLine }

// longestEnd is how many letters of a port or a part are shown.
const longestEnd = 60

// maxBelongs bounds the candidates shown: each has a key.
const maxBelongs = 5

// maxOffered bounds the ports and the kinds of parts of a record that are offered
// to be chosen.
const maxOffered = 60

// elsewhere are offered whatever the candidates are: of another product, and
// nowhere, in no field (extract/place/tables/classes.tsv).
var (
	nowhere   = schema.BelongsTo{To: "none"}
	elsewhere = []schema.BelongsTo{{To: "aside.other"}, nowhere}
)

// belongsOf gathers what a quantity may belong to: what its structure shows
// first, the likeliest before the others.
func belongsOf(s *state, said *schema.Said) *belongsView {
	rec := s.record
	v := &belongsView{Value: word.Quantity(&said.Quantity), Now: clip(rec.PlaceWords(said.Place), 80),
		Settled: said.BelongsSettled, Candidates: len(said.Belongs) > 0 && !said.BelongsSettled}
	if said.Place == "" {
		v.Now = cmp.Or(said.Aside.Words(), "in no field")
	}
	var stands schema.BelongsTo
	if e := s.stands[spotOf(rec, said)]; e != nil {
		v.Unclear = e.PlaceUnclear
		if e.Place != nil {
			stands = *e.Place
		}
	}
	add := func(b schema.BelongsTo, percent string) {
		choice := choiceOf(b, percent, b == stands)
		if slices.ContainsFunc(v.Choices, func(o belongView) bool { return o.Value == choice.Value }) {
			return
		}
		switch {
		case b != nowhere:
			choice.Key = strconv.Itoa(v.Numbers() + 1)
		case percent == "":
			v.Nowhere = choice
			return
		}
		v.Choices = append(v.Choices, choice)
	}
	shown := said.Belongs[:min(len(said.Belongs), maxBelongs)]
	percents, rest := placeShares(shown)
	for i, b := range shown {
		add(b.Place, percents[i])
	}
	if len(shown) > 0 {
		v.Rest = rest
	}
	if said.Place != "" && said.PlaceDoubt() != schema.PlaceSure {
		v.Sure = word.Percent(said.PlaceShare())
	}
	for _, b := range portsBeside(rec, shown) {
		if len(v.Choices) < maxBelongs {
			add(b, "")
		}
	}
	if stands.To != "" {
		add(stands, "")
	}
	for _, b := range elsewhere {
		add(b, "")
	}
	for _, b := range normalize.PlacesFor(said.Kind) {
		v.Classes = append(v.Classes, belongView{Words: clip(b.Words(), 80), Value: b.To})
	}
	v.Ports = append(v.Ports, belongView{Words: "of no port", Value: schema.NoPort})
	for i := range rec.Ports[:min(len(rec.Ports), maxOffered)] {
		name := rec.Ports[i].Name
		v.Ports = append(v.Ports, belongView{Words: clip(schema.PortWords(name), 60), Value: clip(name, 60)})
	}
	for i := range rec.Components {
		if len(v.Parts) == maxOffered {
			break
		}
		if kind := clip(rec.Components[i].Kind, 60); !slices.Contains(v.Parts, kind) {
			v.Parts = append(v.Parts, kind)
		}
	}
	return v
}

// choiceOf is a place to choose.
func choiceOf(b schema.BelongsTo, percent string, stands bool) belongView {
	if b == nowhere {
		return belongView{Key: "x", Head: "In no field", Words: "in no field", Value: placeJSON(b), Percent: percent,
			Stands: stands}
	}
	head, ends := b.Phrases()
	for i := range ends {
		ends[i] = clip(ends[i], longestEnd)
	}
	return belongView{Words: clip(b.Words(), 80), Head: head, Ends: ends, Value: placeJSON(b), Percent: percent,
		Stands: stands}
}

// Numbers is how many of the choices have a number for a key.
func (v *belongsView) Numbers() int {
	n := len(v.Choices)
	if slices.ContainsFunc(v.Choices, func(c belongView) bool { return c.Key == "x" }) {
		n--
	}
	return n
}

// portsBeside are the candidates that are of no port, likeliest first, with each
// port of the review: the words that named it may stand farther off.
func portsBeside(rec *schema.Record, candidates []schema.Belonging) []schema.BelongsTo {
	var all []schema.BelongsTo
	for _, c := range candidates {
		if c.Place.Port != schema.NoPort {
			continue
		}
		for i := range rec.Ports {
			b := c.Place
			b.Port = rec.Ports[i].Name
			all = append(all, b)
		}
	}
	return all
}

func placeJSON(b schema.BelongsTo) string {
	text, err := json.Marshal(b)
	if err != nil {
		return ""
	}
	return string(text)
}

var errNoPlace = errors.New("no kind of place was chosen")

// chosenPlace reads a place back that was offered, or that was put together.
func chosenPlace(q *http.Request) (*schema.BelongsTo, error) {
	var b schema.BelongsTo
	if offered := q.PostFormValue("place"); offered != "" {
		if len(offered) > 10*maxTyped || json.Unmarshal([]byte(offered), &b) != nil || b.To == "" {
			return nil, errNoPlace
		}
		return &b, nil
	}
	b = schema.BelongsTo{To: q.PostFormValue("to"), Port: q.PostFormValue("port"),
		Part: strings.TrimSpace(q.PostFormValue("part"))}
	if b.To == "" || len(b.To)+len(b.Port)+len(b.Part) > maxTyped {
		return nil, errNoPlace
	}
	return &b, nil
}

// besides takes over what stands at the place and is not decided anew: the
// quantity where it is said what it belongs to, and the other way round.
func (e *entry) besides(stands *entry) {
	if stands == nil {
		return
	}
	switch {
	case e.ofPlace() && !e.ofValue():
		e.Quantity, e.Sure, e.Unclear = stands.Quantity, stands.Sure, stands.Unclear
	case !e.ofPlace() && !e.Nothing:
		e.Place, e.PlaceUnclear = stands.Place, stands.PlaceUnclear
	}
}

// reopening puts an entry that takes back before each that says less than what
// stands: readers of answer files let a quantity and a place stand until each is
// said otherwise.
func (s *state) reopening(add []entry) []entry {
	var all []entry
	for i := range add {
		e := &add[i]
		stands := s.stands[e.spot()]
		if stands != nil && !e.Reopened && !e.spot().words && e.Names == "" && e.saysLess(stands) {
			all = append(all, entry{File: e.File, Span: e.Span, Heard: e.Heard, Kind: e.Kind, Reopened: true,
				How: e.How})
		}
		all = append(all, *e)
	}
	return all
}

// saysLess reports whether what another entry says of the value, or of the place,
// is not said anew.
func (e *entry) saysLess(stands *entry) bool {
	return stands.Place != nil && e.Place == nil || (stands.Quantity != nil || stands.Nothing) && e.Quantity == nil &&
		!e.Nothing
}

// nextPlace asks what the next quantity belongs to whose place is in doubt, for
// who decides places one after another.
func (d *Desk) nextPlace(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	all := r.placeDoubts(s)
	if len(all) == 0 {
		d.nextQuestion(w, q, r, s)
		return
	}
	p := d.questionOf(q, r, s, question{all[0], true})
	p.Back = "places"
	d.show(w, http.StatusOK, "question", p)
}

// placeQuestion asks what a quantity belongs to.
func (d *Desk) placeQuestion(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	d.ask(w, q, r, s, true)
}
