package desk

import (
	"html/template"
	"net/http"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"saywatt/internal/export/account"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// A page is what every page has.
type page struct {
	Title    string
	Tab      string // of the tabs of a review, the one shown
	Review   *reviewHead
	Reviews  []*reviewHead // all that are open
	Archive  bool
	Who      string
	Fault    string
	Done     string // what was done just now
	Cautions []string
	Asks     bool // there is a token, hence somebody else's machine
	Local    bool // files may be opened by their path
	Live     bool // the page is drawn again when the review changes
	Media    *mediaView
	Strip    *strip // what was decided last, and what comes next
	Care     bool   // the cautions are unfolded: nobody saw them yet
	Skip     string // where the skip link leads
}

// A reviewHead is what pages say of a review besides their own.
type reviewHead struct {
	ID, Name, Title, Kind string
	Base                  string // address of its pages: /r/ID
	Version, Shown        int
	Behind                int // seconds that the reading takes which goes on; 0: none does
	Failed                string
	Counts                schema.Counts
	Waiting               int // quantities for an ear
	Names                 int // names for an ear
	ToCheck               int // those, and names to look at how they are written
	Questions             asking
	Kept                  string // where decisions are kept
	Unsaved               bool   // they are in memory
	Captions              bool   // they are at hand
}

// Stand says how the quantities stand, in the words of the sheet.
func (h *reviewHead) Stand() string {
	return account.InWords(&h.Counts, account.Account{Changed: h.Counts.Repaired, Ear: h.Waiting + h.Names,
		Unplaced: max(0, h.Waiting-h.Counts.Open), Names: h.Names})
}

// Asks says what the questions are about; they add up with what stands.
func (h *reviewHead) Asks() string {
	parts := []string{}
	add := func(n int, words string) {
		if n > 0 {
			parts = append(parts, strconv.Itoa(n)+" "+words)
		}
	}
	add(h.Questions.Values, "for your ear")
	add(h.Questions.Places, "“belongs to”")
	text := strings.Join(parts, " + ")
	parts = parts[:0]
	add(h.Questions.Unclear, "that nobody could tell")
	add(h.Questions.Quiet, "like what you found right as heard")
	add(h.Questions.Lost, "“belongs to” that nobody could tell")
	if len(parts) > 0 {
		text += "; not asked any more: " + strings.Join(parts, " and ")
	}
	return strings.TrimPrefix(text, "; ")
}

// A mediaView is what there is to hear, and whether captions go with it.
type mediaView struct {
	Film, Track bool
	Name        string
}

// page starts a page of no review.
func (d *Desk) page(q *http.Request, title, tab string) *page {
	p := &page{Title: title, Tab: tab, Archive: d.config.Archive != nil, Who: d.who(q), Cautions: d.cautions,
		Asks: d.entry.asks, Local: d.config.Local, Done: done(q), Skip: "main"}
	p.Strip = d.deskStrip(q, tab)
	_, err := q.Cookie(careCookie)
	p.Care = err != nil
	return p
}

// pageOf starts a page of a review.
func (d *Desk) pageOf(q *http.Request, r *review, s *state, title, tab string) *page {
	p := d.page(q, title, "")
	p.Tab = tab
	p.Cautions = s.record.Cautions
	if m := d.sound(r); m != nil {
		p.Media = &mediaView{Film: m.film(), Track: r.transcript != nil && r.transcript.Timed, Name: m.name}
	}
	p.Strip = d.stripOf(q, r, s, tab)
	p.Review = p.Strip.Review
	if d.hasTwin(r) {
		p.Review.Title = clip(nearFile(r.name), 40) + ": " + p.Review.Title
	}
	return p
}

// hasTwin reports whether another review that is open has the same title: pages
// then name the file too.
func (d *Desk) hasTwin(r *review) bool {
	title := r.summary().title
	return slices.ContainsFunc(d.all(), func(o *review) bool { return o != r && o.summary().title == title })
}

func head(r *review, s *state) *reviewHead {
	p := &s.record.Product
	a := r.agenda(s)
	h := headOf(r, summary{title: p.Name, kind: p.Kind, counts: s.record.Counts, waiting: len(a.values),
		names: account.Of(s.record).Names, toCheck: r.namesToCheck(s), questions: a.asking(),
		version: s.version(), shown: s.shown})
	if s.whole == nil {
		return h
	}
	if err := r.readingFailed(); err != nil {
		h.Failed = clip(err.Error(), 300)
	} else {
		h.Behind = secondsUp(r.readingTakes())
	}
	return h
}

// secondsUp is a time in whole seconds, at least one.
func secondsUp(d time.Duration) int { return max(1, int((d+time.Second-1)/time.Second)) }

// headOf is head without anything being read.
func headOf(r *review, s summary) *reviewHead {
	h := &reviewHead{ID: r.id, Name: clipPath(r.name, 80), Title: clip(s.title, 80), Kind: clip(s.kind, 60),
		Base: "/r/" + r.id, Version: s.version, Shown: s.shown,
		Counts: s.counts, Waiting: s.waiting, Names: s.names, ToCheck: s.toCheck, Questions: s.questions,
		Captions: r.transcript != nil}
	if h.Title == "" {
		h.Title = "Product without a name"
	}
	switch l := r.log.(type) {
	case *archiveLog:
		h.Kept = "in the archive, as " + l.review
	case *fileLog:
		h.Kept, h.Unsaved = "in the file "+l.path, l.path == ""
		if h.Unsaved {
			h.Kept = "in memory only: write them out before you leave"
		}
	}
	return h
}

// careCookie says that the cautions were seen; from then on they are folded.
const careCookie = "saywatt-care"

// whoCookie keeps the name of the person at this browser.
const whoCookie = "saywatt-who"

// who is the person that a request is from.
func (d *Desk) who(q *http.Request) string {
	if c, err := q.Cookie(whoCookie); err == nil {
		if name := unescapeCookie(c.Value); name != "" {
			return name
		}
	}
	return clip(d.config.Who, maxWho)
}

// done is what the address says was done just now: one of a few known texts.
func done(q *http.Request) string { return tidings[q.URL.Query().Get("done")] }

var tidings = map[string]string{
	"answered": "Noted.",
	"undone":   "Taken back.",
	"kept":     "The record is in the archive as it stands here.",
	"reworded": "Noted; the captions written from here say so.",
	"redone":   "Done again.",
	"closed":   "Closed. What was decided on it is where it was kept.",
	"media":    "That is heard from now on.",
	"named":    "Your name goes with what you decide from now on.",
}

// A part is a piece of text that may be a mark, a link, or both.
type part struct {
	Text  string
	Link  string
	Class string
	Word  string // the status in words, for those who do not see the mark
	From  string // seconds, for hearing
	To    string
	Now   bool // what the page is about
}

// clip shortens hostile text to so many characters.
func clip(s string, most int) string {
	if len(s) <= most {
		return word.Printable(s)
	}
	s = strings.ToValidUTF8(s, "\uFFFD")
	n := 0
	for i := range s {
		if n == most {
			return word.Printable(s[:i]) + "…"
		}
		n++
	}
	return word.Printable(s)
}

// nearFile is a file with the folder that it is in, without those above.
func nearFile(path string) string {
	if dir := filepath.Base(filepath.Dir(path)); dir != "." && dir != string(filepath.Separator) {
		return filepath.Join(dir, filepath.Base(path))
	}
	return filepath.Base(path)
}

// clipPath shortens the path of a file to so many characters of its end: the file
// and the nearest folders.
func clipPath(s string, most int) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	n := utf8.RuneCountInString(s)
	if n <= most {
		return word.Printable(s)
	}
	for i := range s {
		if n == most {
			return "…" + word.Printable(s[i:])
		}
		n--
	}
	return ""
}

// around returns the bounds of so many bytes before and after a stretch of
// text, cut where characters and, if near, words begin.
func around(text []byte, s schema.Span, before, after int) schema.Span {
	from, to := max(0, s.Start-before), min(len(text), s.End+after)
	for from > 0 && from < s.Start && !utf8.RuneStart(text[from]) {
		from++
	}
	for to < len(text) && to > s.End && !utf8.RuneStart(text[to]) {
		to--
	}
	if from > 0 {
		if i := strings.IndexAny(string(text[from:min(from+40, s.Start)]), " \n"); i >= 0 {
			from += i + 1
		}
	}
	if to < len(text) {
		if i := strings.LastIndexAny(string(text[max(to-40, s.End):to]), " \n"); i >= 0 {
			to = max(to-40, s.End) + i
		}
	}
	return schema.Span{Start: from, End: to}
}

// quoted puts words between quotation marks, clipped.
func quoted(s string) string { return "“" + clip(strings.Join(strings.Fields(s), " "), 80) + "”" }

// wordOf is the word beside the sign of a status: never colour alone.
func wordOf(s schema.Status) string {
	switch s {
	case schema.StatusHeard:
		return "as heard"
	case schema.StatusRepaired:
		return "repaired"
	case schema.StatusOpen:
		return "needs your ear"
	case schema.StatusSettled:
		return "settled"
	}
	return ""
}

// functions are those that templates may call.
var functions = template.FuncMap{
	"percent": word.Percent,
	"static":  func(name string) string { return staticAddress()[name] },
	"sign":    schema.Status.Mark,
	"word":    wordOf,
	"signed": func(class string) string {
		st, _ := schema.ParseStatus(class)
		return st.Mark()
	},
	"sentence": func(s string) string { return strings.TrimRight(s, ".") + "." },
	"plural":   word.Plural,
	"add":      func(a, b int) int { return a + b },
}

// A soundView is the player of a page, and the moment it begins with.
type soundView struct {
	Media          *mediaView
	Base, From, To string
}

// Sound is the player of a page that is about no one moment.
func (p *page) Sound() soundView {
	s := soundView{Media: p.Media}
	if p.Review != nil {
		s.Base = p.Review.Base
	}
	return s
}
