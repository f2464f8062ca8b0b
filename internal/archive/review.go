package archive

import (
	"cmp"
	"encoding/json"
	"slices"
	"time"

	"saywatt/internal/archive/query"
	"saywatt/internal/archive/replay"
	"saywatt/internal/archive/store"
	"saywatt/internal/export/naming"
	"saywatt/schema"
	"saywatt/validate"
)

// Review is one review in the archive, as its newest version stands.
type Review struct {
	Name    string    `json:"review"`
	Version int       `json:"version"` // 1, 2, 3 …
	Record  string    `json:"record"`  // SHA-256 of the record file
	Added   time.Time `json:"added"`   // when this version was put in
	By      string    `json:"by,omitempty"`
	Product string    `json:"product,omitempty"` // as the newest version has it that names one
	Maker   string    `json:"maker,omitempty"`
	Kind    string    `json:"kind,omitempty"`
	File    string    `json:"file,omitempty"`  // name of the file read
	Given   string    `json:"title,omitempty"` // title given to it
	Path    string    `json:"path,omitempty"`  // of the file read, from the archive's folder
	// Also are other captions whose versions it has: of reviews merged into it, of
	// files that were given its name, and of its own captions at other paths.
	Also []captions `json:"also,omitempty"`

	source string   // SHA-256 of the file read
	named  string   // the product that the captions of the newest version name or named
	called []string // what the product is called and was heard as, where a person put its name right
	lines  []int64  // offsets of decisions on its quantities
	older  []string
}

// Title is the title given to it, else the product's name, else its own.
func (r *Review) Title() string { return cmp.Or(r.Given, r.Product, r.Name) }

// shown is the title for lines that people read.
func (r *Review) shown() string { return naming.ShownName(r.Title()) }

// Source is the SHA-256 of the file read.
func (r *Review) Source() string { return r.source }

// IsOf reports whether a name is that of its product, spelt alike but for case
// and signs.
func (r *Review) IsOf(product string) bool { return query.Folded(product) == query.Folded(r.Product) }

// about takes from a record what a list of reviews shows.
func (r *Review) about(rec *schema.Record) {
	r.Product = cmp.Or(rec.Product.Name, r.Product)
	r.Maker, r.Kind, r.File = rec.Product.Maker, rec.Product.Kind, rec.Source.File
	r.isCalled(rec.Product.Name, heardAs(&rec.Product)...)
}

// storedReview is a Review as the index keeps it.
type storedReview struct {
	Review
	Source string   `json:"source,omitempty"`
	Named  string   `json:"named,omitempty"`
	Called []string `json:"called,omitempty"`
	Lines  []int64  `json:"lines,omitempty"`
	Older  []string `json:"older,omitempty"`
}

func (r *Review) stored() []byte {
	b, err := json.Marshal(storedReview{*r, r.source, r.named, r.called, r.lines, r.older})
	if err != nil {
		panic(err) // strings, numbers and a time that was read from JSON
	}
	return b
}

func readStored(b []byte) (*Review, error) {
	var s storedReview
	if err := json.Unmarshal(b, &s); err != nil {
		return nil, err
	}
	r := s.Review
	r.source, r.named, r.called, r.lines, r.older = s.Source, s.Named, s.Called, s.Lines, s.Older
	return &r, nil
}

// book is the state that the log of decisions gives, replayed.
type book struct {
	reviews map[string]*Review
	removed map[string]*removal // by the name that the review had
	damages []*store.Damage
}

// A removal is a review that was taken out of the list.
type removal struct {
	*Review
	when time.Time
}

func newBook() *book { return &book{reviews: map[string]*Review{}, removed: map[string]*removal{}} }

// replay reads the whole log.
func (a *Archive) replay(to int64) (*book, error) {
	b := newBook()
	err := a.journal.Each(0, to, b.take, func(d *store.Damage) { b.damages = append(b.damages, d) })
	return b, err
}

// take replays one decision.
func (b *book) take(d *store.Decision, at int64) {
	r := b.reviews[d.Review]
	switch d.Act {
	case store.ActRemoved:
		if r != nil {
			b.removed[d.Review] = &removal{r, d.When}
		}
		delete(b.reviews, d.Review)
		return
	case store.ActRenamed, store.ActMerged:
		b.move(r, d)
		return
	}
	if r == nil {
		r = &Review{Name: d.Review}
		b.reviews[d.Review] = r
	}
	if d.Act == store.ActAdded {
		delete(b.removed, d.Review)
	}
	r.take(d, at)
}

// move gives what a review holds to another name.
func (b *book) move(r *Review, d *store.Decision) {
	if r == nil { // the lines that speak of it are damaged
		return
	}
	delete(b.reviews, d.Review)
	moved := *r
	moved.Name = d.To
	moved.Given = cmp.Or(d.Title, r.Given)
	if into := b.reviews[d.To]; into != nil && d.Act == store.ActMerged {
		moved = *into
		moved.merge(r)
	}
	b.reviews[d.To] = &moved
}

// merge takes in the versions of another review: the newest of the two stands,
// and the others are before it.
func (r *Review) merge(other *Review) {
	older, newest := other, *r
	if other.Added.After(r.Added) {
		older, newest = r, *other
	}
	newest.older = slices.Concat(older.older, []string{older.Record}, newest.older)
	newest.older = slices.DeleteFunc(newest.older, func(hash string) bool { return hash == "" })
	newest.lines = slices.Concat(older.lines, newest.lines)
	slices.Sort(newest.lines)
	newest.Name, newest.Given, newest.Version = r.Name, cmp.Or(r.Given, other.Given), r.Version+other.Version
	newest.Product = cmp.Or(newest.Product, older.Product)
	newest.isCalled("", older.called...)
	newest.keep(older.captionFiles()...)
	*r = newest
}

func (r *Review) take(d *store.Decision, at int64) {
	switch d.Act {
	case store.ActAdded:
		before, all := r.newest(), r.captionFiles()
		if r.Record != "" {
			r.older = append(r.older, r.Record)
		}
		r.Version, r.Record, r.Added, r.By, r.source = d.Version, d.Record, d.When, d.Who, d.Source
		r.Product, r.Path = cmp.Or(d.Product, r.Product), d.Path
		r.named = d.Product
		r.isCalled(d.Product, d.Called...)
		for now := r.newest(); r.named == "" && len(all) > 0; all = all[1:] { // the file may have named one before
			if all[0].same(&now) {
				r.named = all[0].Product
			}
		}
		r.Given = cmp.Or(d.Title, r.Given)
		r.keep(before)
	case store.ActCopied:
		if r.source != d.Source {
			r.keep(captions{d.Path, d.Source, d.Record, d.Product})
			break
		}
		before := r.newest() // they are where they were read last: the other path may be gone
		r.Path = d.Path
		r.keep(before)
	default:
		if d.OnWords() {
			r.lines = append(r.lines, at)
		}
	}
}

// sorted lists the reviews by name. One of which decisions are known but no
// version, since that line is damaged, is left out.
func (b *book) sorted() []*Review {
	var all []*Review
	for _, r := range b.reviews {
		if r.Record != "" {
			all = append(all, r)
		}
	}
	slices.SortFunc(all, func(x, y *Review) int { return cmp.Compare(x.Name, y.Name) })
	return all
}

// load reads the record of a review, the decisions replayed over it. Where the
// newest version is damaged the one before is served, and the damage reported.
func (a *Archive) load(rv *Review) (*schema.Record, []*store.Damage) {
	return a.loadBy(rv, a.store.Get)
}

// loadFacts is load for what needs the facts alone. A decision may take back
// another, for which the readings are needed.
func (a *Archive) loadFacts(rv *Review) (*schema.Record, []*store.Damage) {
	if len(rv.lines) > 0 {
		return a.load(rv)
	}
	return a.loadBy(rv, a.store.GetFacts)
}

func (a *Archive) loadBy(rv *Review, get func(hash string) (*schema.Record, error)) (r *schema.Record,
	damages []*store.Damage) {
	hashes := append(slices.Clone(rv.older), rv.Record)
	for i := len(hashes) - 1; i >= 0; i-- {
		var err error
		if r, err = get(hashes[i]); err == nil {
			break
		}
		damages = append(damages, damageOf(err, rv.Name))
	}
	if r == nil {
		return nil, damages
	}
	var decisions []*store.Decision
	for _, at := range rv.lines {
		d, err := a.journal.LineAt(at)
		if err != nil {
			damages = append(damages, damageOf(err, rv.Name))
			continue
		}
		decisions = append(decisions, d)
	}
	replay.Over(r, decisions)
	if len(rv.lines) > 0 {
		r.Findings = validate.Check(r)
	}
	return r, damages
}

// DecidedSince counts the reviews that were decided on after their captions were
// read. In their records the decisions stand, and findings follow them; how likely
// other values are is as it was before, since that takes the captions.
func (a *Archive) DecidedSince(reviews []*Review) int {
	n := 0
	for _, rv := range reviews {
		for _, at := range rv.lines {
			d, err := a.journal.LineAt(at) // what is damaged is reported by whoever reads the record
			if err == nil && d.Source == rv.source && d.Act != store.ActUnclear && d.Words == "" &&
				d.When.After(rv.Added) {
				n++
				break
			}
		}
	}
	return n
}

func damageOf(err error, review string) *store.Damage {
	d, ok := err.(*store.Damage)
	if !ok {
		d = &store.Damage{File: store.JournalName, Err: err}
	}
	d.Review = review
	return d
}
