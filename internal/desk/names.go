package desk

import (
	"cmp"
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"saywatt/extract"
	"saywatt/extract/product"
	"saywatt/internal/edit"
	"saywatt/normalize"
	"saywatt/schema"
)

// A name is one thing that is named in a review and that a person can put right: a
// field of the product, or a maker, part number, package, protocol or port, wherever
// it was named.
type name struct {
	of     string // one of schema.Nameables
	read   string // as it is read without a person; "" where nothing is
	now    string // as it stands; "" where there is none
	status schema.Status
	heard  []string // the words, each once, in the order heard
	offers []string // what else it may be
	at     *schema.Seconds
	span   schema.Span // of the first words; zero where they are not known
	check  bool        // somebody should look how it is written
}

// maxNames bounds the names of one page, and maxOffers what is offered for one.
const (
	maxNames  = 200
	maxOffers = 5
)

// words is what a name names, for people.
func (n *name) words() string { return nameWords(n.of) }

// nameWords is what a name is of, for people.
func nameWords(of string) string {
	switch of {
	case schema.NameOfProduct:
		return "name of the product"
	case schema.NameOfMaker:
		return "maker of the product"
	case schema.NameOfKind:
		return "kind of product"
	case schema.NameOfModel:
		return "model"
	case schema.TermPart.String():
		return "part number"
	}
	return of
}

// spot is what an entry on the name is about.
func (n *name) spot() spot { return spotOfName(n.of, n.read) }

// spotOfName is what an entry on a name is about: the product has one of each, others
// are known by what was heard, or by what that is read as.
func spotOfName(of, heard string) spot {
	if _, ok := schema.ProductField(of); ok {
		return spot{name: of}
	}
	return spot{name: of + "\n" + extract.FoldName(heard)}
}

// entry starts an entry on the name.
func (n *name) entry(file string) entry { return entry{File: file, Names: n.of, Heard: n.read} }

// hear adds the words of a term that names it.
func (n *name) hear(t *schema.SaidTerm) {
	if words := strings.Join(strings.Fields(t.Heard), " "); !slices.Contains(n.heard, words) {
		n.heard = append(n.heard, words)
	}
}

// names lists what a review names: those of the product, then the others in the order
// said. Nobody changes the list.
func (r *review) names(s *state) []name {
	s.namesOnce.Do(func() { s.names = r.findNames(s) })
	return s.names
}

func (r *review) findNames(s *state) []name {
	rec := s.record
	var all []name
	for _, of := range []string{schema.NameOfProduct, schema.NameOfMaker, schema.NameOfKind, schema.NameOfModel} {
		if n := r.productName(rec, of); of != schema.NameOfModel || n.read != "" || n.now != "" {
			all = append(all, n)
		}
	}
	place := map[spot]int{}
	able := schema.Nameables()
	for i := range rec.Terms {
		t := &rec.Terms[i]
		if !slices.Contains(able, t.Kind.String()) || t.Place == schema.NameOfMaker {
			continue
		}
		n := name{of: t.Kind.String(), read: t.Read(), now: t.Meant, status: t.Status, at: t.At, span: t.Span}
		k, ok := place[n.spot()]
		if !ok {
			k = len(all)
			place[n.spot()] = k
			all = append(all, n)
		}
		have := &all[k]
		have.check = have.check || t.Status == schema.StatusOpen
		have.hear(t)
		for _, o := range t.Readings {
			have.offers = append(have.offers, o.Meant)
		}
	}
	check := func(n *name, c *schema.NameToCheck) {
		if n.read == c.Name && n.status != schema.StatusSettled {
			n.check, n.at = true, cmp.Or(n.at, c.At)
			n.heard = append(n.heard, without(c.Heard, n.heard)...)
		}
	}
	for i := range rec.NamesToCheck {
		switch c := &rec.NamesToCheck[i]; c.Kind {
		case "product":
			check(&all[0], c)
		default:
			if k, ok := place[spotOfName(c.Kind, c.Name)]; ok {
				check(&all[k], c)
			}
			check(&all[1], c) // the maker of the product may be one of them
		}
	}
	all = r.gone(s, all)
	for k := range all {
		if e := s.stands[all[k].spot()]; e != nil {
			all[k].check = false
		}
	}
	return all
}

// gone adds the names of which a person said that nothing of the sort was named: the
// record has them no more, and that can be taken back.
func (r *review) gone(s *state, all []name) []name {
	for i := range s.entries {
		e := &s.entries[i]
		if e.Names == "" || !e.Nothing || s.stands[e.spot()] != e ||
			slices.ContainsFunc(all, func(n name) bool { return n.spot() == e.spot() }) {
			continue
		}
		all = append(all, name{of: e.Names, read: e.Heard, heard: []string{e.Heard}, status: schema.StatusSettled})
	}
	return all
}

// without is what one list has and another has not.
func without(list, other []string) []string {
	return slices.DeleteFunc(slices.Clone(list), func(s string) bool { return slices.Contains(other, s) })
}

// productName is a name of the product.
func (r *review) productName(rec *schema.Record, of string) name {
	field, _ := schema.ProductField(of)
	n := name{of: of, now: rec.Product.Field(field), status: schema.StatusHeard}
	n.read = n.now
	if settled := rec.Product.SettledOf(field); settled != nil {
		n.read, n.status, n.at = settled.Heard, schema.StatusSettled, settled.At
		if settled.Span != nil {
			n.span = *settled.Span
		}
	}
	if of == schema.NameOfMaker {
		for i := range rec.Terms {
			t := &rec.Terms[i]
			if t.Place != schema.NameOfMaker {
				continue
			}
			n.hear(t)
			if n.span.Empty() {
				n.at, n.span = t.At, t.Span
			}
		}
	}
	if len(n.heard) == 0 && n.read != "" {
		n.heard = []string{n.read}
	}
	if n.span.Empty() && n.read != "" && r.transcript != nil {
		n.span, n.at = r.firstSaid(n.read)
	}
	return n
}

// firstBytes are the captions in which the name of the product is looked for.
const firstBytes = 1 << 16

// firstSaid is where words first stand in the captions, whatever their case.
func (r *review) firstSaid(words string) (schema.Span, *schema.Seconds) {
	t := r.transcript
	fields := strings.Fields(words)
	tokens := extract.Words().Scan(nil, t.Text[:min(len(t.Text), firstBytes)])
	for i := range tokens {
		end, k := i, 0
		for ; end < len(tokens) && k < len(fields); end++ {
			if tokens[end].Kind == extract.TokenBreak {
				continue
			}
			if !strings.EqualFold(string(t.Text[tokens[end].Start:tokens[end].End]), fields[k]) {
				break
			}
			k++
		}
		if k < len(fields) || k == 0 {
			continue
		}
		text := schema.Span{Start: int(tokens[i].Start), End: int(tokens[end-1].End)}
		spans := t.SourceSpans(text)
		if len(spans) == 0 {
			continue
		}
		return spans[0], t.Moment(text.Start)
	}
	return schema.Span{}, nil
}

// namesToCheck is how many names wait for somebody to look how they are written.
func (r *review) namesToCheck(s *state) int {
	n := 0
	for _, o := range r.names(s) {
		if o.check {
			n++
		}
	}
	return n
}

// A namesPage has one name to decide, and lists the others.
type namesPage struct {
	*page
	Ask     *nameView // nil where there is none
	Waiting []nameLink
	Others  []nameLink
}

// A nameView is the name that the page asks about.
type nameView struct {
	Of, Heard, What string // what an entry says of it, and what it names in words
	Now             string
	Clock, From, To string
	Sentence        []part
	Quoted          string // the words heard
	Choices         []nameChoice
	Kinds           []string // where one of a list is to be chosen
	Product         bool     // a name of the product
	Decided         *decidedView
	Undo            string // number of the act that decided it
	Wrong, Typed    string
	Position        string
}

type nameChoice struct {
	Key, Text string
	Tag       string // as heard, settled
	Chosen    bool
}

type nameLink struct {
	Clock, From, To  string
	What, Now, Heard string
	Link             string
	Status           schema.Status
	Here             bool
}

// namesPage asks for the name of an address, or for the first that waits.
func (d *Desk) namesPage(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	of, heard := q.URL.Query().Get("of"), q.URL.Query().Get("heard")
	d.show(w, http.StatusOK, "names", d.namesOf(q, r, s, of, heard))
}

// namesOf makes the page of a name, or of the first that waits where none is said.
func (d *Desk) namesOf(q *http.Request, r *review, s *state, of, heard string) *namesPage {
	p := &namesPage{page: d.pageOf(q, r, s, "Names", "names")}
	all := r.names(s)
	at := slices.IndexFunc(all, func(n name) bool { return of != "" && n.spot() == spotOfName(of, heard) })
	if at < 0 {
		at = slices.IndexFunc(all, func(n name) bool { return n.check })
	}
	if at < 0 && q.URL.Query().Get("done") == "" && len(all) > 0 {
		at = 0
	}
	waiting := 0
	for i := range all[:min(len(all), maxNames)] {
		n := &all[i]
		l := nameLink{Clock: clockOf(n.at), What: n.words(), Now: clip(n.now, 80), Status: n.status, Here: i == at,
			Link: nameAddress(p.Review.Base, n.of, n.read)}
		l.From, l.To = r.nameMoment(n)
		if len(n.heard) > 0 && n.heard[0] != n.now {
			l.Heard = quoted(n.heard[0])
		}
		if n.check {
			waiting++
			p.Waiting = append(p.Waiting, l)
		} else {
			p.Others = append(p.Others, l)
		}
	}
	if at >= 0 {
		p.Ask = d.nameView(r, s, &all[at])
		switch p.Ask.Position = strconv.Itoa(waiting) + " names to check"; waiting {
		case 0:
			p.Ask.Position = "no name waits"
		case 1:
			p.Ask.Position = "1 name to check"
		}
	}
	return p
}

// nameMoment is when to hear a name.
func (r *review) nameMoment(n *name) (from, to string) {
	if n.at == nil {
		return "", ""
	}
	return r.moment(r.saidAt(n))
}

// saidAt is the words of a name in the form of a quantity, for what shows the place of
// one.
func (r *review) saidAt(n *name) *schema.Said {
	said := &schema.Said{Span: n.span, At: n.at}
	if n.at == nil {
		return said
	}
	to := *n.at
	if t := r.transcript; t != nil && !n.span.Empty() {
		if c := t.CueAt(edit.TextSpan(t, n.span).Start); c >= 0 && c < len(t.Cues) {
			to = schema.SecondsOf(t.Cues[c].End)
		}
	}
	said.Media = schema.MediaFragment(*n.at, to)
	return said
}

// nameSentence is the words around a name, its own marked.
func (r *review) nameSentence(n *name) []part {
	t := r.transcript
	if t == nil || n.span.Empty() {
		return nil
	}
	own := edit.TextSpan(t, n.span)
	if own.Empty() {
		return nil
	}
	shown := around(t.Text, own, sentenceReach, sentenceReach)
	text := func(from, to int) string { return clip(string(t.Text[from:to]), 1<<16) }
	parts := []part{{Text: text(shown.Start, own.Start)},
		{Text: text(own.Start, own.End), Class: classOf(n.status), Word: wordOf(n.status), Now: true},
		{Text: text(own.End, shown.End)}}
	if shown.Start > 0 {
		parts[0].Text = "… " + parts[0].Text
	}
	if shown.End < len(t.Text) {
		parts[2].Text += " …"
	}
	return parts
}

func (d *Desk) nameView(r *review, s *state, n *name) *nameView {
	v := &nameView{Of: n.of, Heard: n.read, What: n.words(), Now: clip(n.now, 80), Clock: clockOf(n.at),
		Sentence: r.nameSentence(n)}
	_, v.Product = schema.ProductField(n.of)
	v.From, v.To = r.nameMoment(n)
	var quotes []string
	for _, h := range n.heard[:min(len(n.heard), maxOffers)] {
		quotes = append(quotes, quoted(h))
	}
	v.Quoted = strings.Join(quotes, ", ")
	switch n.of {
	case schema.NameOfKind:
		v.Kinds = product.Kinds()
	case schema.TermPort.String():
		v.Kinds = extract.PortNames()
	}
	e := s.stands[n.spot()]
	for _, offer := range n.offered() {
		c := nameChoice{Key: strconv.Itoa(len(v.Choices) + 1), Text: offer}
		c.Chosen = e != nil && e.Meant == offer
		switch {
		case c.Chosen:
			c.Tag = "✓ settled"
		case offer == n.read:
			c.Tag = "as it was read"
		case slices.Contains(n.heard, offer):
			c.Tag = "as heard"
		}
		v.Choices = append(v.Choices, c)
	}
	if e != nil {
		v.Decided = &decidedView{What: e.what(), Who: clip(e.Who, maxWho), When: whenOf(e.When), How: string(e.How),
			Note: clip(e.Note, 200)}
		v.Undo = strconv.Itoa(e.Act)
	}
	return v
}

// offered are the spellings to choose from, that which stands first. A maker in several
// words may be one, and a name is written with a capital.
func (n *name) offered() []string {
	tries := slices.Concat([]string{n.now, n.read}, n.offers, n.heard)
	if n.of == schema.TermMaker.String() || n.of == schema.NameOfMaker {
		if words := strings.Fields(n.read); len(words) > 1 {
			tries = append(tries, capital(strings.ToLower(strings.Join(words, ""))))
		}
		tries = append(tries, capital(n.read))
	}
	var all []string
	for _, o := range tries {
		if len(all) < maxOffers && normalize.CheckName(n.of, o) == nil && !slices.Contains(all, o) {
			all = append(all, o)
		}
	}
	return all
}

// capital begins a name with a capital letter.
func capital(s string) string {
	if s == "" || s[0] < 'a' || s[0] > 'z' {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// The ways in which a name is decided.
const (
	howOffered how = "spelling" // one of the spellings shown was chosen
	howNoName  how = "no name"  // nothing of the sort was named
)

// errNoName refuses a form on a name that the review has not.
var errNoName = errors.New("this name is not read any more")

// nameDecide takes what a person says of a name.
func (d *Desk) nameDecide(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	if !d.form(w, q) {
		return
	}
	of, heard := q.PostFormValue("of"), q.PostFormValue("heard")
	all := r.names(s)
	i := slices.IndexFunc(all, func(n name) bool { return n.spot() == spotOfName(of, heard) })
	if i < 0 {
		d.refuse(w, q, http.StatusConflict, "Nothing was changed: "+errNoName.Error()+".")
		return
	}
	e := all[i].entry(s.record.Source.File)
	e.Note = clip(strings.TrimSpace(q.PostFormValue("note")), maxNote)
	switch {
	case q.PostFormValue("name") != "":
		e.How, e.Meant = howOffered, q.PostFormValue("name")
	case q.PostFormValue("act") == "none":
		e.How, e.Nothing = howNoName, true
	case q.PostFormValue("act") == "unclear":
		e.How, e.Unclear = howUnclear, true
	default:
		e.How, e.Meant = howTyped, strings.TrimSpace(q.PostFormValue("typed"))
	}
	if !e.Nothing && !e.Unclear {
		if err := normalize.CheckName(e.Names, e.Meant); err != nil {
			p := d.namesOf(q, r, s, of, heard)
			p.Ask.Wrong, p.Ask.Typed = clip(err.Error(), 400), clip(q.PostFormValue("typed"), maxTyped)
			d.show(w, http.StatusUnprocessableEntity, "names", p)
			return
		}
	}
	d.commit(w, q, r, []entry{e}, func(next *state) string {
		return "/r/" + r.id + "/names?" + doneOf("answered", next)
	})
}

// nameAddress is the page on which a name can be decided.
func nameAddress(base, of, heard string) string {
	return base + "/names?" + queryOf("of", of, "heard", heard)
}

// whatName says what an entry on a name decides.
func (e *entry) whatName() string {
	what := nameWords(e.Names)
	switch {
	case e.Meant != "":
		return what + " " + quoted(e.Meant)
	case e.Nothing:
		return "no " + what + " is named"
	case e.Unclear:
		return what + ": cannot be made out by ear"
	}
	return what + " as before anybody decided"
}

// Sound is the player, at the words that the page is about.
func (p *namesPage) Sound() soundView {
	if p.Ask == nil {
		return soundView{p.Media, p.Review.Base, "", ""}
	}
	return soundView{p.Media, p.Review.Base, p.Ask.From, p.Ask.To}
}

// Sign is the mark of the status.
func (l nameLink) Sign() string { return l.Status.Mark() }

// Word is the status in words.
func (l nameLink) Word() string { return wordOf(l.Status) }

// Class is the class of the mark.
func (l nameLink) Class() string { return classOf(l.Status) }
