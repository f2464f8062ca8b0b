package desk

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"saywatt/internal/export/word"
	"saywatt/schema"
)

// Errors of decisions.
var (
	errNoReading = errors.New("this reading could not be read back")
	errNoLiteral = errors.New("the words as heard are no quantity; type what was said")
)

// decide takes an answer to one question, and shows where else it would hold
// before it holds there.
func (d *Desk) decide(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	if !d.form(w, q) {
		return
	}
	said := quantityAt(s.record, q.PostFormValue("at"))
	if said == nil {
		d.refuse(w, q, http.StatusConflict, "No quantity is read at this place any more; nothing was changed.")
		return
	}
	decided, err := decision(q, s.record, said, r.undecided(s, said))
	if err != nil {
		d.wrongTyped(w, q, r, s, said, err)
		return
	}
	decided.besides(s.stands[decided.spot()])
	entries := []entry{*decided}
	if q.PostFormValue("everywhere") != "" {
		if q.PostFormValue("confirmed") == "" {
			d.everywhere(w, q, r, s, said, decided)
			return
		}
		for _, other := range s.sameHeard(said) {
			for _, at := range q.PostForm["also"] {
				if at == addressOf(s.record, other) {
					entries = append(entries, entryLike(decided, s.record, other))
				}
			}
		}
	}
	d.commit(w, q, r, entries, func(next *state) string {
		switch q.PostFormValue("back") {
		case "sheet":
			return "/r/" + r.id + "/sheet?" + doneOf("answered", next) + "#q-" + addressOf(s.record, said)
		case "transcript":
			return "/r/" + r.id + "/transcript?" + doneOf("answered", next)
		case "places":
			return "/r/" + r.id + "/places?" + doneOf("answered", next)
		}
		// What was said there and what it belongs to are asked one after another: it
		// was heard just now.
		other := question{quantityAt(next.record, addressOf(s.record, said)), decided.How != howPlace}
		if other.said != nil && slices.Contains(r.agenda(next).order, other) {
			return r.addressOf(next, other) + "?" + doneOf("answered", next)
		}
		return "/r/" + r.id + "/question?" + doneOf("answered", next)
	})
}

// wrongTyped shows the page that was typed on again, with what is wrong beside
// the field.
func (d *Desk) wrongTyped(w http.ResponseWriter, q *http.Request, r *review, s *state, said *schema.Said, cause error) {
	typed, note := clip(q.PostFormValue("typed"), maxTyped), clip(q.PostFormValue("note"), maxNote)
	sure := ""
	if other := (*otherKind)(nil); errors.As(cause, &other) {
		sure = typed
	}
	if q.PostFormValue("back") == "sheet" {
		p := d.sheetOf(q, r, s, said)
		p.typo(cause.Error(), typed, note, sure)
		d.show(w, http.StatusUnprocessableEntity, "sheet", p)
		return
	}
	p := d.questionOf(q, r, s, question{said, q.PostFormValue("ask") == "place"})
	p.Wrong, p.Typed, p.Note, p.Sure = cause.Error(), typed, note, sure
	d.show(w, http.StatusUnprocessableEntity, "question", p)
}

func doneOf(what string, s *state) string {
	return url.Values{"done": {what}, "v": {strconv.Itoa(s.version())}}.Encode()
}

func addressOfSpan(e *entry) string {
	return fmt.Sprintf("%d-%d", e.Span.Start, e.Span.End)
}

// commit does an act and leads to where its outcome is shown, or shows what
// stands against it.
func (d *Desk) commit(w http.ResponseWriter, q *http.Request, r *review, entries []entry, then func(*state) string) {
	next, err := r.act(version(q), d.who(q), d.config.Now(), entries)
	var c *conflict
	switch {
	case errors.As(err, &c):
		d.conflictPage(w, q, r, c, entries)
	case errors.Is(err, errNothingToDo):
		d.refuse(w, q, http.StatusUnprocessableEntity, "Nothing was chosen, so nothing was changed.")
	case err != nil:
		d.refuse(w, q, http.StatusUnprocessableEntity, "Nothing was changed: "+err.Error()+".")
	default:
		http.Redirect(w, q, then(next), http.StatusSeeOther)
	}
}

// decision makes an entry of a form on a quantity; open is the quantity as if
// nobody had decided on it.
func decision(q *http.Request, rec *schema.Record, said, open *schema.Said) (*entry, error) {
	e := entryOn(rec.Source.File, rec, said)
	e.Note = clip(strings.TrimSpace(q.PostFormValue("note")), maxNote)
	var err error
	switch {
	case q.PostFormValue("place") != "" || q.PostFormValue("act") == "place":
		e.How = howPlace
		e.Place, err = chosenPlace(q)
	case q.PostFormValue("act") == "place-unclear":
		e.How, e.PlaceUnclear = howPlace, true
	case q.PostFormValue("reading") != "":
		e.How = howReading
		e.Quantity, err = readBack(q.PostFormValue("reading"))
	case q.PostFormValue("act") == "heard":
		e.How = howAsHeard
		l := literalOf(open)
		if l == nil {
			return nil, errNoLiteral
		}
		e.Quantity, err = readBack(l.Value)
	case q.PostFormValue("act") == "nothing":
		e.How, e.Nothing = howNothing, true
	case q.PostFormValue("act") == "unclear":
		e.How, e.Unclear = howUnclear, true
	default:
		e.How = howTyped
		if q.PostFormValue("back") == "sheet" {
			e.How = howEdited
		}
		v, err := understand(q.PostFormValue("typed"), open.Quantity.Unit)
		if err != nil {
			return nil, err
		}
		if err := ofOtherKind(v, open); err != nil {
			if e.Sure = q.PostFormValue("sure") == q.PostFormValue("typed"); !e.Sure {
				return nil, err
			}
		}
		e.Quantity = &v.Quantity
		if e.Note == "" {
			e.Note = v.note(q.PostFormValue("typed"))
		}
	}
	return &e, err
}

func readBack(s string) (*schema.Quantity, error) {
	var q schema.Quantity
	if len(s) > 10*maxTyped || json.Unmarshal([]byte(s), &q) != nil {
		return nil, errNoReading
	}
	return &q, nil
}

// entryLike is the same decision of another quantity.
func entryLike(e *entry, rec *schema.Record, of *schema.Said) entry {
	o := entryOn(e.File, rec, of)
	o.decidesAs(e)
	o.Note, o.How = e.Note, e.How
	return o
}

// An everywherePage shows where a decision would hold besides.
type everywherePage struct {
	*page
	At, Heard, What string
	Form            []field // the decision itself, carried on
	Places          []placeView
}

type field struct{ Name, Value string }

// A placeView is one place that a bulk act is about.
type placeView struct {
	At, Clock, From, To string
	Sentence            []part
	Now                 string // what is read there
	Status              schema.Status
	Role                string
	Chosen              bool
}

func (d *Desk) everywhere(w http.ResponseWriter, q *http.Request, r *review, s *state, said *schema.Said, e *entry) {
	p := &everywherePage{page: d.pageOf(q, r, s, "The same everywhere", "question"), At: addressOf(s.record, said),
		Heard: quoted(said.Heard), What: e.what()}
	for _, name := range []string{"reading", "act", "typed", "sure", "note", "back", "ask", "place", "to", "port",
		"part"} {
		if v := q.PostFormValue(name); v != "" {
			p.Form = append(p.Form, field{name, v})
		}
	}
	for _, o := range s.sameHeard(said) {
		// Chosen to begin with is what is of the same place, or read so already.
		from, to := r.moment(o)
		p.Places = append(p.Places, placeView{At: addressOf(s.record, o), Clock: clockOf(o.At), From: from, To: to,
			Sentence: r.sentence(s, o),
			Now:      word.Quantity(&o.Quantity), Status: o.Status,
			Role: clip(schema.RoleWords(o.Role, subjectOf(s.record, o)), 80),
			Chosen: o.Status != schema.StatusSettled &&
				(o.Role == said.Role || e.Quantity != nil && e.Quantity.Same(o.Quantity))})
	}
	d.show(w, http.StatusOK, "everywhere", p)
}

// undo takes an act back.
func (d *Desk) undo(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	if !d.form(w, q) {
		return
	}
	act, err := strconv.Atoi(q.PostFormValue("act"))
	if err != nil {
		d.refuse(w, q, http.StatusBadRequest, "There is no such act.")
		return
	}
	back := notSince(undo(s.entries, act), s.entries, act)
	d.commit(w, q, r, back, func(next *state) string {
		if to := localAddress(q.PostFormValue("back"), next, "undone"); to != "" {
			return to
		}
		if back := q.PostFormValue("back"); backTabs[back] {
			return "/r/" + r.id + "/" + back + "?" + doneOf("undone", next)
		}
		e := &back[0]
		if e.Names != "" {
			return "/r/" + r.id + "/names?" + doneOf("undone", next)
		}
		at := addressOfSpan(e)
		if e.Kind != nil {
			at += "-" + e.Kind.String()
		}
		if quantityAt(next.record, at) == nil {
			return "/r/" + r.id + "/decisions?" + doneOf("undone", next)
		}
		if slices.ContainsFunc(s.entries, func(e entry) bool { return e.Act == act && e.How == howPlace }) {
			return "/r/" + r.id + "/place/" + at + "?" + doneOf("undone", next)
		}
		return "/r/" + r.id + "/question/" + at + "?" + doneOf("undone", next)
	})
}

// backTabs are the pages of a review that taking back stays on.
var backTabs = map[string]bool{"decisions": true, "sheet": true, "transcript": true, "picture": true, "out": true,
	"names": true}

// redo does an act again that was taken back.
func (d *Desk) redo(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	if !d.form(w, q) {
		return
	}
	act, err := strconv.Atoi(q.PostFormValue("act"))
	_, undone := history(s.entries)
	if err != nil || !slices.Contains(undone, act) {
		d.refuse(w, q, http.StatusConflict,
			"This act was not taken back, or something was decided since; nothing was changed.")
		return
	}
	d.commit(w, q, r, redo(s.entries, act), func(next *state) string {
		tab := q.PostFormValue("back")
		if to := localAddress(tab, next, "redone"); to != "" {
			return to
		}
		if !backTabs[tab] {
			tab = "question"
		}
		return "/r/" + r.id + "/" + tab + "?" + doneOf("redone", next)
	})
}

// later leaves a question for later and leads to the next.
func (d *Desk) later(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	if !d.form(w, q) {
		return
	}
	if said := quantityAt(s.record, q.PostFormValue("at")); said != nil {
		r.leave(put{spotOf(s.record, said), q.PostFormValue("ask") == "place"})
	}
	to := "question"
	if q.PostFormValue("back") == "places" {
		to = "places"
	}
	http.Redirect(w, q, "/r/"+r.id+"/"+to, http.StatusSeeOther)
}

// notSince leaves out what a later act that was not taken back decided anew:
// that is not this act's to take back.
func notSince(back, entries []entry, act int) []entry {
	later := map[spot]bool{}
	done, _ := history(entries)
	for i := range entries {
		if entries[i].Act > act && slices.Contains(done, entries[i].Act) {
			later[entries[i].spot()] = true
		}
	}
	return slices.DeleteFunc(back, func(e entry) bool { return later[e.spot()] })
}

// A conflictPage shows what somebody else decided, and what was to be decided.
type conflictPage struct {
	*page
	Heard  string
	Theirs decidedView
	Mine   string
	Action string
	Form   []field
	At     string
	Leave  string // where theirs is shown
}

// conflictPage overwrites nothing: the act can be made again, against the
// version that has theirs.
func (d *Desk) conflictPage(w http.ResponseWriter, q *http.Request, r *review, c *conflict, entries []entry) {
	p := &conflictPage{page: d.pageOf(q, r, c.now, "Decided in between", "question"), Heard: quoted(c.theirs.Heard),
		Action: q.URL.Path, Mine: entries[0].what(), At: addressOfSpan(&c.theirs)}
	for i := range entries {
		if entries[i].spot() == c.theirs.spot() {
			p.Mine = entries[i].what()
		}
	}
	p.Theirs = decidedView{What: c.theirs.what(), Who: clip(c.theirs.Who, maxWho), When: whenOf(c.theirs.When),
		How: string(c.theirs.How), Note: clip(c.theirs.Note, 200)}
	if c.theirs.Kind != nil {
		p.At += "-" + c.theirs.Kind.String()
	}
	p.Leave = p.Review.Base + "/question/" + p.At
	if c.theirs.Names != "" {
		p.Leave = nameAddress(p.Review.Base, c.theirs.Names, c.theirs.Heard)
	}
	for _, name := range []string{"at", "reading", "act", "typed", "sure", "note", "back", "everywhere", "confirmed",
		"also", "find", "with", "ask", "place", "to", "port", "part", "of", "heard", "name"} {
		for _, v := range q.PostForm[name] {
			p.Form = append(p.Form, field{name, v})
		}
	}
	d.show(w, http.StatusConflict, "conflict", p)
}

// A decisionsPage lists the log, the last act first.
type decisionsPage struct {
	*page
	Acts   []actView
	Stray  []entryView // decisions that are not heeded
	Sounds []string    // files named at start
}

type actView struct {
	Act     int
	Entries []entryView
	Undo    bool // something of it stands
	Who     string
	When    string
	How     string
	Note    string
}

type entryView struct {
	Heard, What string
	Link        string
}

func (d *Desk) decisions(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	p := &decisionsPage{page: d.pageOf(q, r, s, "Decisions", "decisions")}
	for i := range s.stray {
		p.Stray = append(p.Stray, entryView{Heard: quoted(s.stray[i].Heard), What: s.stray[i].what()})
	}
	for _, m := range d.media {
		p.Sounds = append(p.Sounds, m.name)
	}
	for i := len(s.entries) - 1; i >= 0; i-- {
		e := &s.entries[i]
		if n := len(p.Acts); n == 0 || p.Acts[n-1].Act != e.Act {
			p.Acts = append(p.Acts, actView{Act: e.Act, Who: clip(e.Who, maxWho), When: whenOf(e.When),
				How: string(e.How), Note: clip(e.Note, 200)})
		}
		v := entryView{Heard: quoted(e.Heard), What: e.what()}
		at := addressOfSpan(e)
		if e.Kind != nil {
			at += "-" + e.Kind.String()
		}
		switch {
		case e.Names != "":
			v.Link = nameAddress("/r/"+r.id, e.Names, e.Heard)
		case quantityAt(s.record, at) != nil:
			v.Link = "/r/" + r.id + "/question/" + at
		}
		a := &p.Acts[len(p.Acts)-1]
		a.Entries = append(a.Entries, v)
	}
	for i := range p.Acts {
		p.Acts[i].Undo = len(notSince(undo(s.entries, p.Acts[i].Act), s.entries, p.Acts[i].Act)) > 0
	}
	d.show(w, http.StatusOK, "decisions", p)
}
