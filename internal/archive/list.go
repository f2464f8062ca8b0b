package archive

import (
	"strings"

	"saywatt/internal/archive/index"
	"saywatt/internal/archive/store"
	"saywatt/internal/archive/terms"
)

// Listed lists the reviews that a query finds by name, all for "", and what of
// the archive cannot be read.
func (a *Archive) Listed(query string) ([]*Review, []*store.Damage, error) {
	all, damages, err := a.Reviews()
	if err != nil || strings.TrimSpace(query) == "" {
		return all, damages, err
	}
	found, err := a.names(query)
	if err != nil {
		return nil, nil, err
	}
	kept := all[:0]
	for _, r := range all {
		if found[r.Name] {
			kept = append(kept, r)
		}
	}
	return kept, damages, nil
}

// names are the names of the reviews that a query finds.
func (a *Archive) names(query string) (map[string]bool, error) {
	found := map[string]bool{}
	_, err := a.with(func(v *index.View) error {
		_, in, err := (&terms.Finder{View: v}).Find(query)
		if err != nil {
			return err
		}
		clear(found) // of an index that was broken
		in.Each(func(doc uint64) bool {
			var name string
			if name, err = v.Name(doc); err == nil {
				found[name] = true
			}
			return err == nil
		})
		return err
	})
	return found, err
}

// Named finds a review by its name, or by its title, product or path where only
// one is called so.
func (w *Writer) Named(name string) (*Review, error) {
	b, err := w.replayed()
	if err != nil {
		return nil, err
	}
	return b.named(name, w.a.PathFrom(name))
}

// Drop forgets what was written since the last Commit.
func (w *Writer) Drop() error {
	w.lines, w.pending, w.book = w.lines[:0], w.pending[:0], nil
	clear(w.touched)
	return nil
}
