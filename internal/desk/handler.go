package desk

import (
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"
)

// handler serves the desk.
func (d *Desk) handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /static/{name}", serveStatic)
	mux.HandleFunc("GET /{$}", d.home)
	mux.HandleFunc("POST /who", d.setWho)
	mux.HandleFunc("POST /add", d.addFiles)
	mux.HandleFunc("GET /events", d.events)
	mux.HandleFunc("POST /reopen/{id}", d.reopen)
	mux.HandleFunc("GET /jobs/{job}", d.jobPage)
	mux.HandleFunc("GET /jobs/{job}/events", d.jobEvents)
	mux.HandleFunc("POST /jobs/{job}/stop", d.jobStop)

	review := func(pattern string, do func(http.ResponseWriter, *http.Request, *review, *state)) {
		mux.HandleFunc(pattern, d.ofReview(do))
	}
	review("GET /r/{id}", d.nextQuestion)
	review("GET /r/{id}/question", d.nextQuestion)
	review("GET /r/{id}/question/{at}", d.question)
	review("GET /r/{id}/places", d.nextPlace)
	review("GET /r/{id}/place/{at}", d.placeQuestion)
	review("GET /r/{id}/evidence/{at}", d.evidence)
	review("POST /r/{id}/decide", d.decide)
	review("POST /r/{id}/undo", d.undo)
	review("GET /r/{id}/names", d.namesPage)
	review("POST /r/{id}/name", d.nameDecide)
	review("POST /r/{id}/keep", d.keepNow)
	review("GET /r/{id}/decisions", d.decisions)
	review("GET /r/{id}/sheet", d.sheet)
	review("GET /r/{id}/transcript", d.transcriptPage)
	review("GET /r/{id}/replace", d.replacePreview)
	review("POST /r/{id}/replace", d.replace)
	review("GET /r/{id}/picture", d.picture)
	review("GET /r/{id}/picture/{name}", d.pictureFile)
	review("GET /r/{id}/out", d.outPage)
	review("GET /r/{id}/out/{name}", d.outFile)
	review("GET /r/{id}/media", d.mediaFile)
	review("POST /r/{id}/media", d.chooseMedia)
	review("GET /r/{id}/track.vtt", d.trackFile)
	review("GET /r/{id}/understood", d.understood)
	review("POST /r/{id}/later", d.later)
	review("POST /r/{id}/redo", d.redo)
	review("GET /r/{id}/look", d.look)
	review("POST /r/{id}/look", d.lookDecide)
	review("POST /r/{id}/close", d.closeReview)

	mux.HandleFunc("GET /archive", d.ofArchive(d.search))
	mux.HandleFunc("GET /archive/compare", d.ofArchive(d.compare))
	mux.HandleFunc("GET /archive/stats", d.ofArchive(d.stats))
	mux.HandleFunc("GET /archive/stats.svg", d.ofArchive(d.statsPicture))
	mux.HandleFunc("GET /archive/queue", d.ofArchive(d.queue))
	mux.HandleFunc("GET /archive/review/{name}", d.ofArchive(d.archived))

	if d.config.API != nil {
		mux.Handle("/api/", d.config.API)
	}
	mux.HandleFunc("/", func(w http.ResponseWriter, q *http.Request) {
		d.refuse(w, q, http.StatusNotFound, "There is no such page here.")
	})
	return d.guard(mux)
}

// ofReview finds the review of an address and its newest state.
func (d *Desk) ofReview(do func(http.ResponseWriter, *http.Request, *review, *state)) http.HandlerFunc {
	return func(w http.ResponseWriter, q *http.Request) {
		r := d.find(q.PathValue("id"))
		if r == nil {
			d.refuse(w, q, http.StatusNotFound,
				"No review of this name is open: it was closed, or the desk was started anew. Nothing was changed. "+
					"What was closed just now can be opened again from the list of reviews.")
			return
		}
		s, err := r.refresh()
		if errors.Is(err, errBeingRead) {
			d.beingRead(w, q, r)
			return
		}
		if err != nil {
			d.fail(w, q, err)
			return
		}
		r.touch(d.config.Now())
		d.parkOld()
		do(w, q, r, s)
	}
}

// beingRead says that a long review has nothing to show yet; the page asks again.
func (d *Desk) beingRead(w http.ResponseWriter, q *http.Request, r *review) {
	if err := r.readingFailed(); err != nil {
		d.fail(w, q, err)
		return
	}
	w.Header().Set("Retry-After", strconv.Itoa(secondsUp(r.readingTakes())))
	p := &readingPage{d.page(q, "Being read", ""), clip(r.name, 80), secondsUp(r.readingTakes())}
	d.show(w, http.StatusServiceUnavailable, "reading", p)
}

// A readingPage says that captions are being read.
type readingPage struct {
	*page
	Name    string
	Seconds int // it takes about
}

// fail reports an error that is nobody's at the page.
func (d *Desk) fail(w http.ResponseWriter, q *http.Request, err error) {
	d.config.Log(err)
	d.refuse(w, q, http.StatusInternalServerError, err.Error())
}

// form reads the form of a request, within bounds.
func (d *Desk) form(w http.ResponseWriter, q *http.Request) bool {
	q.Body = http.MaxBytesReader(w, q.Body, bodyLimit)
	err := q.ParseForm()
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		d.refuse(w, q, http.StatusRequestEntityTooLarge, "That is more than this page takes.")
	case err != nil:
		d.refuse(w, q, http.StatusBadRequest, "The form could not be read.")
	}
	return err == nil
}

// version is the version that a form was made against, -1 where it says none.
func version(q *http.Request) int {
	v, err := strconv.Atoi(q.PostFormValue("version"))
	if err != nil {
		return -1
	}
	return v
}

// setWho puts the name of the person into a cookie of the browser.
func (d *Desk) setWho(w http.ResponseWriter, q *http.Request) {
	if !d.form(w, q) {
		return
	}
	name := clip(strings.TrimSpace(q.PostFormValue("who")), maxWho)
	http.SetCookie(w, &http.Cookie{Name: whoCookie, Value: url.QueryEscape(name), Path: "/", HttpOnly: true,
		SameSite: http.SameSiteStrictMode, MaxAge: int((365 * 24 * time.Hour).Seconds())})
	http.Redirect(w, q, "/?done=named", http.StatusSeeOther)
}

// A homePage lists the reviews on the desk.
type homePage struct {
	*page
	Find   string // which are shown
	All    int
	Closed []*reviewHead // that can be opened again
	Parts  homeParts
}

// homeParts is what the reviews on the desk come to together.
type homeParts struct{ Said, Questions int }

// fileWords parts the words of a file's name.
var fileWords = strings.NewReplacer("-", " ", "_", " ", ".", " ")

// homeOf is the page of the reviews that have some words in their names.
func (d *Desk) homeOf(q *http.Request) *homePage {
	p := &homePage{page: d.page(q, "Reviews", "home"),
		Find: clip(strings.TrimSpace(q.URL.Query().Get("find")), maxTyped)}
	for _, r := range d.all() {
		h := headOf(r, r.summary())
		p.All++
		p.Parts.Said += h.Counts.Said
		p.Parts.Questions += h.Questions.All()
		if strings.Contains(foldWords(h.Title+" "+h.Kind+" "+h.Name+" "+fileWords.Replace(h.Name)), foldWords(p.Find)) {
			p.Reviews = append(p.Reviews, h)
		}
	}
	d.mu.RLock()
	defer d.mu.RUnlock()
	for _, r := range d.closed {
		p.Closed = append(p.Closed, headOf(r, r.summary()))
	}
	return p
}

// home lists what is open.
func (d *Desk) home(w http.ResponseWriter, q *http.Request) {
	d.show(w, http.StatusOK, "home", d.homeOf(q))
}

// keepNow puts the record into the archive as it stands.
func (d *Desk) keepNow(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	if err := d.keep(r, d.who(q)); err != nil {
		d.fail(w, q, err)
		return
	}
	http.Redirect(w, q, "/r/"+r.id+"/decisions?done=kept", http.StatusSeeOther)
}

// mediaFile serves the sound or film of a review.
func (d *Desk) mediaFile(w http.ResponseWriter, q *http.Request, r *review, _ *state) {
	m := d.sound(r)
	if m == nil {
		d.refuse(w, q, http.StatusNotFound, "There is nothing to hear: start the desk with --media FILE.")
		return
	}
	m.ServeHTTP(w, q)
}
