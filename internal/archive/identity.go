package archive

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"saywatt/internal/archive/query"
	"saywatt/internal/archive/store"
	"saywatt/internal/export/naming"
	"saywatt/schema"
)

// An Addition is a record to put in, and what is known of whose review it is.
type Addition struct {
	Record *schema.Record
	ID     string // name given to the review; "" where none was
	Title  string // title given to it
	// Path is where the captions are, seen from the folder of the archive
	// (PathFrom), so that an archive can move along with them; "" where it is
	// not known.
	Path    string
	Who     string
	When    time.Time
	Replace bool // the review with the name takes it, whatever it was of
}

// PathFrom is the path of a file as the archive keeps it: relative to the
// archive's folder, with slashes. It is "" where there is no such way.
func (a *Archive) PathFrom(file string) string {
	dir, err := filepath.Abs(a.dir)
	if err != nil {
		return ""
	}
	if file, err = filepath.Abs(file); err != nil {
		return ""
	}
	way, err := filepath.Rel(dir, file)
	if err != nil {
		return ""
	}
	return filepath.ToSlash(way)
}

// PathHere is a path as the archive keeps it, seen from the current folder where
// it is below that, or as the folder of the archive is named.
func (a *Archive) PathHere(kept string) string {
	if kept == "" {
		return ""
	}
	name := filepath.Join(a.dir, filepath.FromSlash(kept))
	if here, err := os.Getwd(); err == nil && filepath.IsAbs(name) {
		if way, err := filepath.Rel(here, name); err == nil && filepath.IsLocal(way) {
			return way
		}
	}
	return name
}

// PathOf is where the captions of a review are, seen from the archive; ""
// where that is not known.
func (w *Writer) PathOf(name string) string {
	if b, err := w.replayed(); err == nil && b.reviews[name] != nil {
		return b.reviews[name].Path
	}
	return ""
}

// errDoubt says that a record may be of a review that the archive has, or of
// another, and that a person must say which.
var errDoubt = errors.New("it is not certain whose review this is")

// A DoubtError is an errDoubt with what to say.
type DoubtError struct {
	File   string
	Review string // that it may be of
	Why    string
	New    string // a name that is free
}

func (e *DoubtError) Error() string {
	return fmt.Sprintf("%s: %v: %s; --id %s makes it the next version of that, --id %s a review of its own",
		e.File, errDoubt, e.Why, e.Review, e.New)
}

func (e *DoubtError) Unwrap() error { return errDoubt }

// Put puts a record in: as the next version of the review that it is of, or as
// a new one. It is acknowledged by Commit.
//
// Whose review it is goes by what is certain. The name that was given says it,
// but the review of another product is taken only with Replace (else
// ErrTaken). Without one, captions that the archive has already, byte for
// byte, are of the review that has them; so is a file at the same path that
// speaks of the same product, or, where no name says so, of the same maker and kind and
// mostly the same values. Another path is another review, whatever the file
// is called: many folders hold an en.vtt. Captions that the archive has already,
// and that read as they did, make no new version at another path: the path is
// noted. Where the path is the same and the product is not, where there is no path
// and a review of the product is there, or where a review is too old for its path
// to be known, nothing is certain: a *DoubtError.
func (w *Writer) Put(p Addition) (Added, error) {
	book, err := w.replayed()
	if err != nil {
		return Added{}, err
	}
	into, name, err := book.reviewOf(&p, w.another)
	if err != nil {
		return Added{}, err
	}
	hash, text, err := store.Written(p.Record)
	if err != nil {
		return Added{}, err
	}
	d := &store.Decision{When: p.When.UTC(), Who: p.Who, Act: store.ActAdded, Review: name, Version: 1, Record: hash,
		Source: p.Record.Source.SHA256, Product: p.Record.Product.Name, Called: heardAs(&p.Record.Product),
		Path: p.Path, Title: p.Title}
	if into != nil {
		if p.ID == "" && p.Title == "" && w.partOf(into, p.Path, p.Record) {
			return Added{}, book.doubt(&p, into, into.Name+" was read from several parts, and this is one of them")
		}
		if has := w.has(into, p.Path, hash, p.Record); has != "" && (p.Title == "" || p.Title == into.Given) {
			same := Added{Review: name, Version: into.Version, Record: has, Same: true, Title: into.Title()}
			if has == hash {
				same.Anew, err = w.a.store.Keep(hash, text)
			}
			return same, err
		}
		if c := w.copied(into, p.Record); c != nil && (p.Title == "" || p.Title == into.Given) {
			same := Added{Review: name, Version: into.Version, Record: c.Record, Same: true, CopyOf: c.Path,
				Title: into.Title()}
			if p.Path == "" { // nobody can find them there again
				return same, nil
			}
			d.Act, d.Version, d.Title, d.Record = store.ActCopied, 0, "", c.Record
			return same, w.append(d)
		}
		d.Version = into.Version + 1
	}
	if _, err := w.a.store.Keep(hash, text); err != nil {
		return Added{}, err
	}
	added := Added{Review: name, Version: d.Version, Record: hash, Title: titleAfter(into, d)}
	if into == nil {
		added.Removed = book.removedAt(name, d)
	}
	return added, w.append(d)
}

// titleAfter is the title of a review when a version was added to it.
func titleAfter(r *Review, d *store.Decision) string {
	after := Review{Name: d.Review, Product: d.Product, Given: d.Title}
	if r != nil {
		after.Given = cmp.Or(d.Title, r.Given)
	}
	return after.Title()
}

// removedAt is when the review that a version begins was removed: one of its
// name, or of its captions; the latest where several were.
func (b *book) removedAt(name string, d *store.Decision) time.Time {
	var latest time.Time
	for _, r := range b.removed {
		if (r.Name == name || r.of(d.Source) || r.at(d.Path)) && r.when.After(latest) {
			latest = r.when
		}
	}
	return latest
}

// replayed is the state of all reviews with what was written so far.
func (w *Writer) replayed() (*book, error) {
	if w.book != nil {
		return w.book, nil
	}
	size, err := w.a.journal.Size()
	if err != nil {
		return nil, err
	}
	if w.book, err = w.a.replay(size); err != nil {
		return nil, err
	}
	for _, p := range w.pending {
		w.ahead(p.d)
	}
	return w.book, nil
}

// ahead takes a decision into the state before it is on disk, but for those on
// words, which are known by their place in the log.
func (w *Writer) ahead(d *store.Decision) {
	if w.book == nil || d.OnWords() {
		return
	}
	w.book.take(d, 0)
	w.touched[d.Review] = w.book.reviews[d.Review]
	if d.To != "" {
		w.touched[d.To] = w.book.reviews[d.To]
	}
}

// reviewOf finds the review that a record is of, nil for a new one, and its name.
// another says why captions may be of another product than a review that was read
// from their path, "" where nothing speaks for that.
func (b *book) reviewOf(p *Addition, another func(*Review, *Addition) string) (*Review, string, error) {
	given := p.ID
	if given == "" {
		given = p.Title
	}
	if given != "" {
		return b.given(p, naming.Slug(given))
	}
	same := b.first(func(r *Review) bool { return r.of(p.Record.Source.SHA256) }, p.Path)
	if same == nil && p.Path != "" {
		same = b.first(func(r *Review) bool { return r.at(p.Path) }, p.Path)
		if same != nil && !sameProduct(same, p.Record) {
			return nil, "", b.doubt(p, same,
				fmt.Sprintf("%s was read from this file and spoke of %q, and now it speaks of %q",
					same.Name, same.shown(), naming.ShownName(p.Record.Product.Name)))
		}
		if same != nil {
			if why := another(same, p); why != "" {
				return nil, "", b.doubt(p, same, same.Name+" was read from this file, and "+why)
			}
		}
	}
	if same != nil {
		return same, same.Name, nil
	}
	name := naming.ReviewName(&p.Record.Source)
	product := query.Folded(p.Record.Product.Name)
	if p.Path == "" && product != "" {
		of := func(r *Review) bool { return query.Folded(r.Product) == product || calledAlike(r, p.Record) }
		if r := b.first(of, ""); r != nil {
			return nil, "", b.doubt(p, r,
				fmt.Sprintf("%s is of %q too, and where these captions are is not known", r.Name, r.shown()))
		}
	}
	if r := b.reviews[name]; r != nil && r.Path == "" && sameProduct(r, p.Record) {
		return nil, "", b.doubt(p, r,
			fmt.Sprintf("%s has this name and product, and where its captions are is not known", r.Name))
	}
	if name == "" {
		name = naming.Slug(p.Record.Product.Name)
	}
	if name == "" {
		return nil, "", fmt.Errorf("%s: the review has no name, and speaks of no product; --id or --title gives it one",
			p.Record.Source.File)
	}
	return nil, b.freeFor(name, &p.Record.Source), nil
}

// freeFor is the name, or where another review has it one with more of the path
// of the file.
func (b *book) freeFor(name string, s *schema.Source) string {
	if name == naming.ReviewName(s) && s.Review == "" && s.Title == "" {
		for _, longer := range naming.Longer(s) {
			if b.reviews[longer] == nil {
				return longer
			}
		}
	}
	return b.free(name)
}

// given finds the review with a name that was given.
func (b *book) given(p *Addition, name string) (*Review, string, error) {
	if name == "" {
		return nil, "", errors.New("a review needs a name with letters or digits")
	}
	r := b.reviews[name]
	if r != nil && r.Record != "" {
		if !p.Replace && !r.of(p.Record.Source.SHA256) && !sameProduct(r, p.Record) {
			return nil, "", fmt.Errorf("%s: %w: of %q, and this is of %q", name, ErrTaken, r.shown(),
				naming.ShownName(p.Record.Product.Name))
		}
		return r, name, nil
	}
	has := b.first(func(r *Review) bool { return r.of(p.Record.Source.SHA256) }, p.Path)
	switch {
	case has == nil || p.Replace:
	case len(has.Others()) > 0:
		return nil, "", fmt.Errorf("%s: the archive has these captions and others as the review %s; --replace makes "+
			"them a review of their own, %s",
			p.Record.Source.File, has.Name, name)
	default:
		return nil, "", fmt.Errorf("%s: the archive has these captions as the review %s; \"saywatt rename %s %s\" "+
			"gives that the name",
			p.Record.Source.File, has.Name, has.Name, name)
	}
	return nil, name, nil
}

// sameProduct reports whether a review speaks of the product of a record, or one
// of them does not say.
func sameProduct(r *Review, rec *schema.Record) bool {
	return sameNames(r.products(), rec.Product.Called("name"))
}

// heardAs is what a product was heard as where a person put its name right: by
// that its review is known to what was read before, or is read without that.
func heardAs(p *schema.Product) []string {
	if s := p.SettledOf("name"); s != nil && query.Folded(s.Heard) != "" {
		return []string{s.Heard}
	}
	return nil
}

// isCalled notes that a product has a name, and what it was heard as. It is no news
// where nothing else was heard.
func (r *Review) isCalled(now string, heard ...string) {
	if len(heard) == 0 {
		return
	}
	for _, name := range addName(slices.Clip(heard), now) {
		if len(r.called) == 0 || !sameNames(r.called, []string{name}) {
			r.called = append(slices.Clip(r.called), name)
		}
	}
}

// calledAlike reports whether a review and a record share a name of the product
// because a person put it right in one of them.
func calledAlike(r *Review, rec *schema.Record) bool {
	heard, names := heardAs(&rec.Product), rec.Product.Called("name")
	return len(heard)+len(r.called) > 0 && len(names) > 0 && len(r.products()) > 0 && sameNames(r.products(), names)
}

// another says why changed captions at the path of a review may be of another
// product, where no name of it says so: it is of another maker or kind, or what is
// said is not what was said. Captions that were corrected, made anew or added to
// still say most of the values.
func (w *Writer) another(r *Review, p *Addition) string {
	for _, c := range r.captionFiles() {
		if c.Path != p.Path || query.Folded(c.Product) != "" && query.Folded(p.Record.Product.Name) != "" {
			continue
		}
		was, err := w.a.store.GetFacts(c.Record)
		if err != nil {
			continue // reported elsewhere
		}
		x, y := &was.Product, &p.Record.Product
		if !sameNames(x.Called("maker"), y.Called("maker")) {
			return fmt.Sprintf("spoke of the maker %q, and now it speaks of %q", naming.ShownName(x.Maker),
				naming.ShownName(y.Maker))
		}
		if !sameNames(kindWords(x), kindWords(y)) {
			return fmt.Sprintf("spoke of the kind of product %q, and now it speaks of %q", x.Kind, y.Kind)
		}
		before, now := valuesSaid(was), valuesSaid(p.Record)
		common := 0
		for v := range before {
			if now[v] {
				common++
			}
		}
		if fewer := min(len(before), len(now)); fewer >= fewValues && 2*common < fewer {
			return fmt.Sprintf("now it says other values: %d of %d are among those of before", common, len(now))
		}
	}
	return ""
}

// kindWords are the words of the kind of a product, as it stands and as it was read.
func kindWords(p *schema.Product) []string {
	return strings.Fields(strings.Join(p.Called("kind"), " "))
}

// fewValues are too few to know by them whether captions are of the same review.
const fewValues = 3

// valuesSaid are the values that a record says, each once.
func valuesSaid(r *schema.Record) map[string]bool {
	said := map[string]bool{}
	for i := range r.Quantities {
		said[r.Quantities[i].Quantity.String()] = true
	}
	return said
}

// first finds a review, one whose newest version is of a path before others, by
// name where several fit.
func (b *book) first(fits func(*Review) bool, path string) *Review {
	var found *Review
	for _, r := range b.reviews {
		if r.Record == "" || !fits(r) {
			continue
		}
		switch {
		case found == nil, r.Path == path && found.Path != path && path != "":
			found = r
		case r.Name < found.Name && (r.Path == path) == (found.Path == path):
			found = r
		}
	}
	return found
}

// free is a name that no review has: the one wanted, else with a number behind.
func (b *book) free(name string) string {
	try := name
	for n := 2; b.reviews[try] != nil; n++ {
		try = fmt.Sprintf("%s-%d", name, n)
	}
	return try
}

func (b *book) doubt(p *Addition, r *Review, why string) error {
	name := naming.ReviewName(&p.Record.Source)
	if name == "" || name == r.Name {
		name = naming.Slug(p.Record.Product.Name)
	}
	if name == "" {
		name = r.Name
	}
	return &DoubtError{p.Record.Source.File, r.Name, why, b.free(name)}
}
