package archive

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"saywatt/internal/archive/query"
	"saywatt/internal/archive/store"
	"saywatt/internal/export/naming"
)

// Rename gives a review another name, or, where to is the one it has, only
// another title; title "" leaves the title as it is. It is acknowledged by Commit.
func (w *Writer) Rename(name, to, title, who string, when time.Time) (string, error) {
	book, err := w.replayed()
	if err != nil {
		return "", err
	}
	r, err := book.named(name, w.a.PathFrom(name))
	if err != nil {
		return "", err
	}
	if to = naming.Slug(to); to == "" {
		return "", errors.New("a review needs a name with letters or digits")
	}
	if other := book.reviews[to]; other != nil && other != r {
		err := fmt.Errorf("%s: %w, of %q; no review has the name %s", to, ErrTaken, other.shown(), book.free(to))
		if w.different(other, r) == nil {
			err = fmt.Errorf("%s: %w, of %q; \"saywatt merge %s %s\" makes one review of the two",
				to, ErrTaken, other.shown(), to, r.Name)
		}
		return "", err
	}
	return to, w.append(&store.Decision{When: when.UTC(), Who: who, Act: store.ActRenamed, Review: r.Name, To: to,
		Title: title})
}

// Merge makes the versions of one review those of another, in the order in
// which they were added, and takes the first out of the list. Captions of either
// are known as those of the merged review from then on. Reviews of different
// products are refused with a [DifferentError], unless different is set. It is
// acknowledged by Commit.
func (w *Writer) Merge(into, from string, different bool, who string, when time.Time) (*Review, error) {
	book, err := w.replayed()
	if err != nil {
		return nil, err
	}
	a, err := book.named(into, w.a.PathFrom(into))
	if err != nil {
		return nil, err
	}
	b, err := book.named(from, w.a.PathFrom(from))
	if err != nil {
		return nil, err
	}
	if a == b {
		return nil, fmt.Errorf("%s: a review is not merged with itself", a.Name)
	}
	if err := w.different(a, b); err != nil && !different {
		return nil, err
	}
	merged := &store.Decision{When: when.UTC(), Who: who, Act: store.ActMerged, Review: b.Name, To: a.Name}
	if err := w.append(merged); err != nil {
		return nil, err
	}
	if book, err = w.replayed(); err != nil {
		return nil, err
	}
	return book.reviews[a.Name], nil
}

// A DifferentError says that two reviews are of different products.
type DifferentError struct {
	Review, Other   string // names of the reviews
	What            string // product, maker, kind
	Product, Second string // what each speaks of
}

func (e *DifferentError) Error() string {
	return fmt.Sprintf("%s is of the %s %q and %s of %q: two products are not one review",
		e.Review, e.What, naming.ShownName(e.Product), e.Other, naming.ShownName(e.Second))
}

// different is a *DifferentError where two reviews speak of different products,
// makers or, where not both name the product, kinds of product: a power bank may
// be called a power bank charger, and not a cable. What one of them does not say is
// no difference; one that was merged says what any of its captions say.
func (w *Writer) different(a, b *Review) error {
	x, y := a.products(), b.products()
	if !sameNames(x, y) {
		return &DifferentError{a.Name, b.Name, "product", x[0], y[0]}
	}
	said := func(r *Review, field string) []string {
		var all []string
		for _, c := range r.captionFiles() {
			if rec, err := w.a.store.GetFacts(c.Record); err == nil { // reported elsewhere
				for _, name := range rec.Product.Called(field) {
					all = addName(all, name)
				}
			}
		}
		return all
	}
	named := len(x) > 0 && len(y) > 0
	if x, y = said(a, "maker"), said(b, "maker"); !sameNames(x, y) {
		return &DifferentError{a.Name, b.Name, "maker", x[0], y[0]}
	}
	x, y = said(a, "kind"), said(b, "kind")
	if !named && !sameNames(strings.Fields(strings.Join(x, " ")), strings.Fields(strings.Join(y, " "))) {
		return &DifferentError{a.Name, b.Name, "kind", x[0], y[0]}
	}
	return nil
}

// products are the products that the captions of a review name.
func (r *Review) products() []string {
	all := addName(nil, r.Product)
	for _, c := range r.Also {
		all = addName(all, c.Product)
	}
	return append(all, r.called...)
}

// addName adds a name to others, if it is one.
func addName(all []string, name string) []string {
	if query.Folded(name) == "" {
		return all
	}
	return append(all, name)
}

// sameNames reports whether one of some names is one of others, or no name is
// known of either.
func sameNames(some, others []string) bool {
	if len(some) == 0 || len(others) == 0 {
		return true
	}
	return slices.ContainsFunc(some, func(a string) bool {
		return slices.ContainsFunc(others, func(b string) bool { return query.Folded(a) == query.Folded(b) })
	})
}
