package desk

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"saywatt/extract/transcript"
	"saywatt/internal/archive"
	"saywatt/internal/export/account"
	"saywatt/internal/pipeline"
	"saywatt/normalize"
	"saywatt/normalize/channel"
	"saywatt/schema"
)

// A review is one product review that is open at the desk.
type review struct {
	id         string                 // in addresses
	name       string                 // of the file, as given
	path       string                 // of the file on this machine, "" where it was sent
	transcript *transcript.Transcript // nil where the captions are not at hand
	archive    *archive.Archive       // nil where it is in none
	archived   string                 // name in the archive
	reader     *pipeline.Reader       // of the transcript
	options    readOptions
	log        decisionLog
	media      *media // its sound or film, nil where there is none; guarded by Desk.mu
	changed    func() // of every new state

	mu       sync.Mutex   // of acts: one at a time
	stateMu  sync.RWMutex // of what follows
	now      *state       // nil where it has to be read anew
	shown    int          // states so far
	known    summary
	deferred []put // questions left for later, the last left last
	puts     int   // how often one was
	behind   behind
}

// A summary is what is known of a review without reading it anew.
type summary struct {
	title, kind string
	counts      schema.Counts
	waiting     int // quantities for an ear
	names       int // names for an ear
	toCheck     int // those, and names to look at how they are written
	questions   asking
	version     int
	shown       int       // states so far: news is a greater number
	used        time.Time // when somebody looked at it last
	acted       time.Time // when somebody decided on it last
}

// readOptions are those of the engine that hold for a whole session.
type readOptions struct {
	threshold float64
	learned   *channel.Learned
	patience  time.Duration // a reading that takes longer is made behind the pages
	gate      *pipeline.Gate
}

// A state is what the captions say with what was decided so far.
type state struct {
	entries []entry
	record  *schema.Record
	stands  map[spot]*entry
	last    []effect // what the last act settled besides
	stray   []entry  // decisions that fit nothing in the captions as they are read now
	whole   *state   // the last one that was read whole, where this one was not (behind.go); else nil
	shown   int      // the how manieth of its review

	once   sync.Once
	marked []markedPlace // of the text

	quietOnce sync.Once
	quiet     map[like]bool // see quieted

	agendaMu sync.Mutex
	agenda   *agenda // see review.agenda

	heardOnce sync.Once
	heard     map[string][]int // see heardSo

	namesOnce sync.Once
	names     []name // see review.names

	clockOnce sync.Once
	clock     map[string][]int // see clocks

	undecidedMu sync.Mutex
	undecided   map[spot]*schema.Said // see review.undecided
}

// version is what acts are made against.
func (s *state) version() int { return len(s.entries) }

// An effect is what an act changed besides the places it was about.
type effect struct {
	Before, After *schema.Said // one of them nil where a quantity went or came
	WasIn, IsIn   string       // the fields they are in, in words
}

// state is the newest one known.
func (r *review) state() *state {
	r.stateMu.RLock()
	defer r.stateMu.RUnlock()
	return r.now
}

func (r *review) setState(s *state) {
	a := r.agenda(s)
	toCheck := r.namesToCheck(s)
	r.stateMu.Lock()
	defer r.stateMu.Unlock()
	r.shown++
	r.now, s.shown = s, r.shown
	p := &s.record.Product
	r.known = summary{p.Name, p.Kind, s.record.Counts, len(a.values), account.Of(s.record).Names, toCheck,
		a.asking(), s.version(), s.shown, r.known.used, time.Time{}}
	if n := len(s.entries); n > 0 {
		r.known.acted = s.entries[n-1].When
	}
	if r.changed != nil {
		r.changed()
	}
}

// summary is what is known of the newest state.
func (r *review) summary() summary {
	r.stateMu.RLock()
	defer r.stateMu.RUnlock()
	return r.known
}

// park lets go of what was read, and of nothing that was decided.
func (r *review) park() {
	r.stateMu.Lock()
	defer r.stateMu.Unlock()
	r.now = nil
	if r.reader != nil {
		r.reader.Forget()
	}
}

// touch notes that somebody looks at the review.
func (r *review) touch(now time.Time) {
	r.stateMu.Lock()
	defer r.stateMu.Unlock()
	r.known.used = now
}

// refresh takes in what others added to the log.
func (r *review) refresh() (*state, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.catchUp()
}

// catchUp is refresh for the holder of mu.
func (r *review) catchUp() (*state, error) {
	entries, err := r.log.entries()
	if err != nil {
		return nil, err
	}
	now := r.state()
	if now != nil && now.version() == len(entries) {
		return now, nil
	}
	if r.slow() {
		return r.catchUpBehind(now, entries)
	}
	next, err := r.readLenient(entries)
	if err != nil {
		return nil, err
	}
	r.setState(next)
	return next, nil
}

// readLenient makes the state of a log that was kept. Captions may have been
// changed since, or be read in another way: a decision that fits nothing any more
// is not heeded, stays in the log, and is listed.
func (r *review) readLenient(entries []entry) (*state, error) {
	s, err := r.read(entries)
	var stray normalize.StrayAnswers
	if !errors.As(err, &stray) {
		return s, err
	}
	spans, names := map[schema.Span]bool{}, map[spot]bool{}
	for _, a := range stray {
		if n := a.Answer.Name; n != nil {
			names[(&entry{Span: n.Span, Names: n.Of, Heard: n.Heard}).spot()] = true
		} else {
			spans[a.Answer.Span] = true
		}
	}
	out := func(e *entry) bool { return e.Names == "" && spans[e.Span] || names[e.spot()] }
	fit := slices.DeleteFunc(slices.Clone(entries), func(e entry) bool { return out(&e) })
	if s, err = r.read(fit); err != nil {
		return nil, err
	}
	s.entries = entries
	for _, e := range standing(entries) {
		if out(e) {
			s.stray = append(s.stray, *e)
		}
	}
	slices.SortFunc(s.stray, func(a, b entry) int {
		return cmp.Or(cmp.Compare(a.Span.Start, b.Span.Start), cmp.Compare(a.Names, b.Names),
			cmp.Compare(a.Heard, b.Heard))
	})
	return s, nil
}

// read makes the state of a log.
func (r *review) read(entries []entry) (*state, error) {
	s := &state{entries: entries, stands: standing(entries)}
	var err error
	if r.transcript == nil {
		_, s.record, _, err = r.archive.Record(r.archived)
		return s, err
	}
	start := time.Now()
	s.record, err = r.reader.Run(pipeline.Options{Threshold: r.options.threshold, Answers: answers(entries),
		Learned: r.options.learned, Gate: r.options.gate})
	r.took(time.Since(start))
	return s, err
}

// undecided is a quantity as it would be read had nobody decided on it: with
// all its readings, and those weighed in the light of what else was decided.
func (r *review) undecided(s *state, said *schema.Said) *schema.Said {
	place := spotOf(s.record, said)
	if e := s.stands[place]; said.Status != schema.StatusSettled || e == nil || r.transcript == nil {
		return said
	}
	if r.slow() {
		return r.asItWas(place, said)
	}
	s.undecidedMu.Lock()
	defer s.undecidedMu.Unlock()
	if was := s.undecided[place]; was != nil {
		return was
	}
	others := slices.DeleteFunc(slices.Clone(s.entries), func(e entry) bool { return e.spot() == place })
	was := said
	if before, err := r.read(others); err == nil {
		was = cmp.Or(quantityAt(before.record, addressOf(s.record, said)), said)
	}
	if s.undecided == nil {
		s.undecided = map[spot]*schema.Said{}
	}
	s.undecided[place] = was
	return was
}

// A conflict says that somebody decided on the same place in between.
type conflict struct {
	theirs entry
	now    *state
}

func (c *conflict) Error() string {
	return fmt.Sprintf("%s was decided on in between", quoted(c.theirs.Heard))
}

// errNothingToDo refuses an act on no place.
var errNothingToDo = errors.New("there is nothing to decide")

// act adds what was decided against a version, and reads everything anew.
// Nothing is added where that fails. A *conflict is of an entry made since
// that version on one of the same places.
func (r *review) act(version int, who string, when time.Time, entries []entry) (*state, error) {
	if len(entries) == 0 {
		return nil, errNothingToDo
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	for {
		now, err := r.catchUp()
		if err != nil {
			return nil, err
		}
		if version < 0 || version > now.version() {
			return nil, fmt.Errorf("version %d is not one of this log", version)
		}
		c, add := now.since(version, entries)
		if c != nil {
			return nil, c
		}
		add = now.reopening(add)
		if len(add) == 0 { // all of it was decided just so in between
			return now, nil
		}
		for i := range add {
			add[i].Who, add[i].When, add[i].Act = who, when.UTC(), lastAct(now.entries)+1
		}
		next, err := r.after(now, add)
		if err != nil {
			return nil, err
		}
		if err := r.log.add(now.version(), add); errors.Is(err, errMoved) {
			continue
		} else if err != nil {
			return nil, err
		}
		if r.transcript == nil { // the archive replays what it now has
			if next, err = r.read(next.entries); err != nil {
				return nil, err
			}
		}
		if next.whole == nil {
			next.last = effects(now.record, next.record, add)
		}
		r.setState(next)
		if next.whole != nil {
			r.keepAsItWas(now, add)
			r.readBehind()
		}
		return next, nil
	}
}

// after is the state that entries would make.
func (r *review) after(now *state, add []entry) (*state, error) {
	entries := append(slices.Clone(now.entries), add...)
	if r.transcript == nil {
		return &state{entries: entries, record: now.record}, nil
	}
	if r.slow() {
		if err := now.misplaced(add); err != nil {
			return nil, err
		}
		return now.with(add), nil
	}
	if len(now.stray) > 0 {
		return r.readLenient(entries)
	}
	return r.read(entries)
}

// since finds an entry later than a version on a place of those given that
// decides otherwise, and leaves out of those given what was decided just so.
func (s *state) since(version int, entries []entry) (*conflict, []entry) {
	later := map[spot]*entry{}
	for i := version; i < len(s.entries); i++ {
		later[s.entries[i].spot()] = &s.entries[i]
	}
	var add []entry
	for i := range entries {
		switch o := later[entries[i].spot()]; {
		case o == nil:
			add = append(add, entries[i])
		case !o.same(&entries[i]):
			return &conflict{*o, s}, nil
		}
	}
	return nil, add
}

// same reports whether two entries on a place decide the same.
func (e *entry) same(o *entry) bool {
	if (e.Place == nil) != (o.Place == nil) || e.Place != nil && *e.Place != *o.Place {
		return false
	}
	if (e.Quantity == nil) != (o.Quantity == nil) || e.Quantity != nil && !e.Quantity.Same(*o.Quantity) {
		return false
	}
	return e.Nothing == o.Nothing && e.Unclear == o.Unclear && e.PlaceUnclear == o.PlaceUnclear &&
		e.Reopened == o.Reopened && e.Words == o.Words && e.Meant == o.Meant
}

// effects lists what changed between two records besides the places of entries.
func effects(before, after *schema.Record, of []entry) []effect {
	decided := map[schema.Span]bool{}
	for i := range of {
		decided[of[i].Span] = true
	}
	type key struct {
		span schema.Span
		nth  int
	}
	keyed := func(r *schema.Record) (map[key]*schema.Said, []key) {
		m, order := map[key]*schema.Said{}, []key{}
		for i := range r.Quantities {
			s := &r.Quantities[i]
			k := key{span: s.Span}
			for m[k] != nil {
				k.nth++
			}
			m[k] = s
			order = append(order, k)
		}
		return m, order
	}
	was, gone := keyed(before)
	is, order := keyed(after)
	var all []effect
	for _, k := range order {
		a, b := was[k], is[k]
		switch {
		case decided[k.span]:
		case a == nil:
			all = append(all, effect{After: b})
		default:
			e := effect{a, b, before.PlaceWords(a.Place), after.PlaceWords(b.Place)}
			if a.Status != b.Status || !a.Quantity.Same(b.Quantity) || e.WasIn != e.IsIn ||
				placeInDoubt(a) != placeInDoubt(b) {
				all = append(all, e)
			}
		}
	}
	for _, k := range gone {
		if is[k] == nil && !decided[k.span] {
			all = append(all, effect{Before: was[k]})
		}
	}
	return all
}
