package desk

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"saywatt/internal/export/word"
	"saywatt/internal/picture"
	"saywatt/schema"
)

// A questionPage is about one quantity.
type questionPage struct {
	*page
	At       string // address of the quantity
	Clock    string
	From, To string
	Heard    string
	As       string // what it was read for, in words
	Place    string // the field it fills, in words
	Status   schema.Status
	Sentence []part
	Readings []readingView
	AsHeard  *literal
	Decided  *decidedView
	Same     int      // how many other places were heard so
	Why      [][]part // of the reading chosen, beside what the terms say
	Findings []findingView
	Position string // "2 of 5", or why it is not asked
	Belongs  *belongsView
	Left     string // about how long the questions left take
	Likely   int    // how many can be looked through together
	Shares   shares // the probabilities, as shown
	Wrong    string // what is wrong with what was typed
	Typed    string // what was typed and could not be taken
	Sure     string // the same, where typing it again takes it
	Unit     string // that a number without one is in; "" where none is known
	Note     string
	Back     string // where the page was come from: sheet, transcript
	Evidence bool
}

type literal struct {
	Text, Value string
	Shown       bool // among the readings
	at          int  // which of them
}

// A decidedView is what a person decided of a quantity.
type decidedView struct{ What, Who, When, How, Note string }

// A lastView is the act that u takes back, what it did where it was done just
// now, and the act that can be done again.
type lastView struct {
	Did        *didView
	Fresh      bool // it led to this page
	Effects    []effectView
	Undo, Redo string // numbers of acts
	Again      string // what would be done again
}

type didView struct {
	Act   int
	What  string
	Heard string
	At    string
	More  int // further places of the act
}

type effectView struct {
	At, Clock, Heard string
	From, To         string
	Before, After    string
	Was, Is          schema.Status
	Settled          bool // it waited for a person and does no more
	Waits            bool // it waits now and did not before
	Lost             bool
	WasIn, IsIn      string // the fields, in words
	Moved            bool   // into another field
	PlaceSettled     bool   // what it belongs to was asked and is no more
	PlaceWaits       bool   // what it belongs to is asked now and was not before
}

type findingView struct {
	Severity, Message, Source string
	Others                    []part
	Number                    int
}

// nextQuestion leads to the question whose answer is worth most.
func (d *Desk) nextQuestion(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	switch order := r.agenda(s).order; {
	case len(order) == 0:
		d.done(w, q, r, s)
	case q.URL.Query().Has("done"): // an answer was taken: its outcome and the next question are one page
		d.show(w, http.StatusOK, "question", d.questionOf(q, r, s, order[0]))
	default:
		http.Redirect(w, q, r.addressOf(s, order[0]), http.StatusSeeOther)
	}
}

// addressOf is where a question is asked.
func (r *review) addressOf(s *state, ask question) string {
	what := "question"
	if ask.place {
		what = "place"
	}
	return "/r/" + r.id + "/" + what + "/" + addressOf(s.record, ask.said)
}

// done shows that no question is left, and what else there is to decide.
func (d *Desk) done(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	p := &donePage{page: d.pageOf(q, r, s, "Nothing waits", "question")}
	for _, o := range r.questions(s) {
		if s.later(o) == askedQuiet {
			p.Quiet = append(p.Quiet, r.momentPart(s, o))
		} else {
			p.Unclear = append(p.Unclear, r.momentPart(s, o))
		}
	}
	for _, o := range r.agenda(s).lost {
		link := r.momentPart(s, o)
		link.Link = r.addressOf(s, question{o, true})
		p.Lost = append(p.Lost, link)
	}
	p.Next = d.nextReview(r)
	d.show(w, http.StatusOK, "done", p)
}

// A donePage says that no question is left.
type donePage struct {
	*page
	Unclear []part      // what nobody could tell
	Lost    []part      // the same of what it belongs to
	Next    *reviewHead // another review with questions
	Quiet   []part      // what is left alone, since the like of it was right as heard
}

// question shows one quantity and asks what was said.
func (d *Desk) question(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	d.ask(w, q, r, s, false)
}

func (d *Desk) ask(w http.ResponseWriter, q *http.Request, r *review, s *state, place bool) {
	said := quantityAt(s.record, q.PathValue("at"))
	if said == nil {
		d.refuse(w, q, http.StatusNotFound,
			"No quantity is read at this place any more. What was decided since may have joined it to another.")
		return
	}
	d.show(w, http.StatusOK, "question", d.questionOf(q, r, s, question{said, place}))
}

// questionOf is the page of a question.
func (d *Desk) questionOf(q *http.Request, r *review, s *state, ask question) *questionPage {
	rec, said := s.record, ask.said
	heard := strings.Join(strings.Fields(said.Heard), " ")
	p := &questionPage{page: d.pageOf(q, r, s, quoted(heard), "question"), At: addressOf(rec, said),
		Clock: clockOf(said.At), Heard: clip(heard, maxMarked),
		Place: clip(rec.PlaceWords(said.Place), 80), Status: said.Status, Sentence: r.sentence(s, said)}
	p.From, p.To = r.moment(said)
	p.Skip = "answer"
	if said.Role != "" {
		p.As = clip(schema.RoleWords(said.Role, subjectOf(rec, said)), 80)
	}
	open := r.undecided(s, said)
	p.Readings = readingsOf(open)
	for i := range p.Readings {
		v := &p.Readings[i]
		v.Decided = said.Status == schema.StatusSettled && open.Readings[i].Quantity.Same(said.Quantity)
		v.Stands = v.Decided || v.Chosen && said.Status != schema.StatusSettled
	}
	if p.AsHeard = literalOf(open); p.AsHeard != nil && p.AsHeard.Shown {
		p.Readings[p.AsHeard.at].Literal = true
	}
	p.Unit = open.Quantity.Unit.Symbol()
	p.Decided = decidedOf(s, said)
	p.Same = len(s.sameHeard(said))
	for _, why := range open.Why {
		p.Why = append(p.Why, r.linkedWhy(s, said, why))
	}
	for i := range rec.Findings {
		if f := &rec.Findings[i]; slices.Contains(f.Said, said.Number) {
			p.Findings = append(p.Findings, r.findingOf(s, f, said, len(p.Findings)+1))
		}
	}
	p.Shares = sharesOf(open)
	p.Belongs = belongsOf(s, said)
	p.Belongs.Open = ask.place
	if from := q.URL.Query().Get("from"); from == "sheet" || from == "transcript" || from == "places" {
		p.Back = from
	}
	_, p.Evidence = picture.Evidence(open)
	p.queue(r, s, ask)
	return p
}

// queue says which question of how many this is, those that were decided among
// them, and how long the others take.
func (p *questionPage) queue(r *review, s *state, ask question) {
	a := r.agenda(s)
	settled := s.decisions()
	total := settled + a.asking().All()
	p.Likely = len(a.likely)
	if n := s.minutes(a.asking().All()); n == 1 {
		p.Left = "about a minute left"
	} else if n > 1 {
		p.Left = fmt.Sprintf("about %d minutes left", n)
	}
	switch said := ask.said; {
	case slices.Contains(a.order, ask):
		p.Position = fmt.Sprintf("%d of %d", settled+1, total)
	case ask.place && p.Belongs.Unclear, !ask.place && said.Status == schema.StatusOpen && s.unclear(said):
		p.Position = "nobody could tell"
	case ask.place && said.BelongsSettled:
		p.Position = wordOf(schema.StatusSettled)
	case ask.place:
		p.Position = "no question"
	case said.Status == schema.StatusOpen:
		p.Position = "left alone"
	default:
		p.Position = wordOf(said.Status)
	}
}

// decisions counts what was decided and stands: what was said, and what that
// belongs to.
func (s *state) decisions() int {
	n := 0
	for _, e := range s.stands {
		if e.Quantity != nil || e.Nothing {
			n++
		}
		if e.Place != nil {
			n++
		}
	}
	return n
}

// subjectOf is the kind of part that a quantity is said of, "" where none.
func subjectOf(rec *schema.Record, said *schema.Said) string {
	if c := rec.ComponentOf(said.Place); c != nil {
		return c.Kind
	}
	return ""
}

func asJSON(q *schema.Quantity) string {
	b, err := json.Marshal(q)
	if err != nil {
		return ""
	}
	return string(b)
}

// literalNote is the note of the channel term of a reading that takes the words
// as they stand (normalize/channel/tables/distortions.tsv, intact).
const literalNote = "taken as heard"

func isLiteral(r *schema.Reading) bool {
	return slices.ContainsFunc(r.Terms,
		func(t schema.Term) bool { return t.Name == "channel" && t.Note == literalNote })
}

// literalOf is what the words say as they stand, nil where that is no quantity.
func literalOf(said *schema.Said) *literal {
	for i := range said.Readings {
		if isLiteral(&said.Readings[i]) {
			q := &said.Readings[i].Quantity
			return &literal{word.Quantity(q), asJSON(q), i < maxReadings, i}
		}
	}
	if q, err := typedQuantity(said.Heard, ""); err == nil {
		l := &literal{Text: word.Quantity(q), Value: asJSON(q)}
		for i := range said.Readings[:min(len(said.Readings), maxReadings)] {
			if said.Readings[i].Quantity.Same(*q) {
				l.Shown, l.at = true, i
				break
			}
		}
		return l
	}
	return nil
}

// decidedOf says what stands decided of a quantity, nil where nothing is.
func decidedOf(s *state, said *schema.Said) *decidedView {
	e := s.stands[spotOf(s.record, said)]
	if e == nil {
		return nil
	}
	return &decidedView{What: e.what(), Who: clip(e.Who, maxWho), When: whenOf(e.When), How: string(e.How),
		Note: clip(e.Note, 200)}
}

// whenOf writes when something was decided; answer files made elsewhere need not
// say it.
func whenOf(t time.Time) string {
	if t.IsZero() {
		return "at a time not given"
	}
	return t.UTC().Format("2 January 2006, 15:04 UTC")
}

// what puts an entry in words.
func (e *entry) what() string {
	if e.Names != "" {
		return e.whatName()
	}
	said, belongs := "", ""
	switch {
	case e.Quantity != nil:
		said = word.Quantity(e.Quantity)
	case e.Nothing:
		said = "no quantity"
	case e.Unclear:
		said = "cannot be made out by ear"
	}
	switch {
	case e.Place != nil:
		belongs = "of: " + clip(e.Place.Words(), 80)
	case e.PlaceUnclear:
		belongs = "what it belongs to cannot be known"
	}
	switch {
	case said != "" && belongs != "":
		return said + ", " + belongs
	case said+belongs != "":
		return said + belongs
	case e.Words != "":
		return "the words " + quoted(e.Words)
	case e.Reopened:
		return "as before anybody decided"
	}
	return ""
}

// sameHeard lists the other quantities that the same words were heard for.
func (s *state) sameHeard(said *schema.Said) []*schema.Said {
	var all []*schema.Said
	for _, i := range s.heardSo()[foldWords(said.Heard)] {
		if q := &s.record.Quantities[i]; q.Span != said.Span && !shared(s.record, q) {
			all = append(all, q)
		}
	}
	return all
}

// heardSo finds the quantities by the words heard for them.
func (s *state) heardSo() map[string][]int {
	s.heardOnce.Do(func() {
		if s.whole != nil { // the same quantities, some of them decided
			s.heard = s.whole.heardSo()
			return
		}
		s.heard = make(map[string][]int, len(s.record.Quantities))
		for i := range s.record.Quantities {
			words := foldWords(s.record.Quantities[i].Heard)
			s.heard[words] = append(s.heard[words], i)
		}
	})
	return s.heard
}

func foldWords(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }

// clocks finds the quantities by when they were said, as reasons write it.
func (s *state) clocks() map[string][]int {
	s.clockOnce.Do(func() {
		if s.whole != nil { // the same quantities, some of them decided
			s.clock = s.whole.clocks()
			return
		}
		s.clock = map[string][]int{}
		for i := range s.record.Quantities {
			if at := s.record.Quantities[i].At; at != nil {
				s.clock[at.Clock()] = append(s.clock[at.Clock()], i)
			}
		}
	})
	return s.clock
}

// linkedWhy makes links of the other quantities that a reason names: "20 V at
// 0:33".
func (r *review) linkedWhy(s *state, said *schema.Said, why string) []part {
	const before = " at "
	var parts []part
	done := 0
	for from := 0; ; {
		at := strings.Index(why[from:], before)
		if at < 0 {
			break
		}
		at += from
		end := at + len(before)
		for end < len(why) && (why[end] >= '0' && why[end] <= '9' || why[end] == ':') {
			end++
		}
		from = at + len(before)
		for _, i := range s.clocks()[why[from:end]] {
			q := &s.record.Quantities[i]
			words := q.Quantity.String()
			if q == said || !strings.HasSuffix(why[done:at], words) {
				continue
			}
			p := r.momentPart(s, q)
			p.Text = clip(why[at-len(words):end], 80)
			parts = append(parts, part{Text: clip(why[done:at-len(words)], 300)}, p)
			done = end
			break
		}
	}
	return append(parts, part{Text: clip(why[done:], 300)})
}

// momentPart is a link to a quantity, which hears it too.
func (r *review) momentPart(s *state, said *schema.Said) part {
	text := word.Quantity(&said.Quantity)
	if said.At != nil {
		text += " at " + said.At.Clock()
	}
	from, to := r.moment(said)
	return part{Text: text, Link: r.addressOf(s, question{said: said}), Class: classOf(said.Status),
		Word: wordOf(said.Status), From: from, To: to}
}

func (r *review) findingOf(s *state, f *schema.Finding, of *schema.Said, n int) findingView {
	v := findingView{Severity: f.Severity.String(), Message: clip(f.Message, 400), Number: n,
		Source: clip(schema.PlainSource(f.Source), 200)}
	for _, number := range f.Said {
		if o := s.record.Quantity(number); o != nil && o != of {
			v.Others = append(v.Others, r.momentPart(s, o))
		}
	}
	return v
}

// lastAct names the act that u takes back. What else it changed is there on
// the page that it led to, unless others acted since.
func (d *Desk) lastAct(q *http.Request, r *review, s *state) *lastView {
	done, undone := history(s.entries)
	v := &lastView{Undo: lastOf(done), Redo: lastOf(undone)}
	if len(undone) > 0 {
		v.Again = didOf(s.entries, undone[len(undone)-1]).What
	}
	at, err := strconv.Atoi(q.URL.Query().Get("v"))
	switch {
	case err == nil && at == s.version() && at > 0:
		v.Fresh, v.Did = true, didOf(s.entries, s.entries[at-1].Act)
		for _, e := range s.last {
			v.Effects = append(v.Effects, r.effectOf(s, e))
		}
	case len(done) > 0:
		v.Did = didOf(s.entries, done[len(done)-1])
	}
	return v
}

// didOf puts an act in words.
func didOf(entries []entry, act int) *didView {
	var did *didView
	spots := map[spot]bool{}
	for i := range entries {
		e := &entries[i]
		switch {
		case e.Act != act:
		case did != nil:
			// An entry that says anew what stands at a place is no further place.
			if spots[e.spot()] = true; len(spots) > 1 {
				did.More = len(spots) - 1
			} else {
				did.What = e.what()
			}
		default:
			spots[e.spot()] = true
			did = &didView{Act: act, What: e.what(), Heard: quoted(e.Heard), At: addressOfSpan(e)}
			if e.Kind != nil {
				did.At += "-" + e.Kind.String()
			}
		}
	}
	return did
}

func (r *review) effectOf(s *state, e effect) effectView {
	var v effectView
	if e.Before != nil {
		v.Before, v.Was, v.Clock, v.Heard = word.Quantity(&e.Before.Quantity), e.Before.Status, clockOf(e.Before.At),
			quoted(e.Before.Heard)
	}
	if e.After != nil {
		v.After, v.Is, v.Clock, v.Heard = word.Quantity(&e.After.Quantity), e.After.Status, clockOf(e.After.At),
			quoted(e.After.Heard)
		v.At = addressOf(s.record, e.After)
		v.From, v.To = r.moment(e.After)
	}
	v.Settled = v.Was == schema.StatusOpen && v.Is != schema.StatusOpen
	v.Waits = v.Was != schema.StatusOpen && v.Is == schema.StatusOpen
	v.Lost = e.After == nil
	if e.Before != nil && e.After != nil {
		v.WasIn, v.IsIn = clip(e.WasIn, 80), clip(e.IsIn, 80)
		v.Moved = e.WasIn != e.IsIn
		v.PlaceSettled = placeInDoubt(e.Before) && !placeInDoubt(e.After)
		v.PlaceWaits = !placeInDoubt(e.Before) && placeInDoubt(e.After)
	}
	return v
}

// evidence draws what speaks for each reading.
func (d *Desk) evidence(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	said := quantityAt(s.record, strings.TrimSuffix(q.PathValue("at"), ".svg"))
	if said == nil {
		d.refuse(w, q, http.StatusNotFound, "No quantity is read at this place.")
		return
	}
	pic, ok := picture.Evidence(r.undecided(s, said))
	if !ok {
		d.refuse(w, q, http.StatusNotFound, "There is nothing to draw.")
		return
	}
	writePicture(d, w, pic, "svg")
}

// Sound is the player, at the words that the page is about.
func (p *questionPage) Sound() soundView {
	return soundView{p.Media, p.Review.Base, p.From, p.To}
}
