package archive

import (
	"fmt"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"saywatt/internal/alike"
	"saywatt/internal/archive/query"
	"saywatt/internal/export/naming"
)

// named finds a review by its name, or by what else it is called. path is the
// name as the path of a file.
func (b *book) named(name, path string) (*Review, error) {
	if r := b.reviews[name]; r != nil && r.Record != "" {
		return r, nil
	}
	return called(name, path, b.sorted(), false)
}

// called finds the one review that is called so: by its title or product, the
// path of its captions, seen from the archive (way from the current folder), or,
// where nothing is changed by it, the last words of its name.
func called(name, way string, all []*Review, ending bool) (*Review, error) {
	var found []string
	var one *Review
	want, slug := query.Folded(name), naming.Slug(name)
	for _, r := range all {
		file := path.Base(r.Path)
		if want != "" && (query.Folded(r.Given) == want || query.Folded(r.Product) == want) ||
			ending && slug != "" && strings.HasSuffix(r.Name, "-"+slug) ||
			r.at(filepath.ToSlash(name)) || r.at(way) || r.Path != "" && file == name {
			found, one = append(found, r.Name), r
		}
	}
	switch len(found) {
	case 1:
		return one, nil
	case 0:
		err := fmt.Errorf("%q: %w", name, ErrNoReview)
		switch near := nearReviews(name, all); {
		case len(near) > 0:
			err = fmt.Errorf("%w; did you mean %s?", err, strings.Join(near, " or "))
		case len(all) > 0:
			err = fmt.Errorf("%w; \"saywatt list\" lists the %d there are", err, len(all))
		default:
			err = fmt.Errorf("%w; the archive has none", err)
		}
		return nil, err
	}
	slices.Sort(found)
	return nil, fmt.Errorf("%q: several reviews are called so: %s", name, strings.Join(found, ", "))
}

// nearReviews are the names of the reviews that a mistyped name may have meant:
// near to it are their names, titles or products, else they share a word with it.
func nearReviews(typed string, all []*Review) []string {
	const most = 3
	var calls []string
	of := map[string]string{} // names by what reviews are called
	for _, r := range all {
		for _, call := range []string{r.Name, r.Given, r.Product} {
			if call != "" && of[call] == "" {
				of[call] = r.Name
				calls = append(calls, call)
			}
		}
	}
	var near []string
	for _, call := range alike.Nearest(typed, calls, most) {
		if name := of[call]; !slices.Contains(near, name) {
			near = append(near, name)
		}
	}
	shared := strings.Split(naming.Slug(typed), "-")
	for _, r := range all {
		if len(near) >= most {
			break
		}
		has := func(word string) bool {
			const shortest = 3 // letters; shorter ones are in many names
			return len(word) >= shortest && slices.Contains(strings.Split(r.Name, "-"), word)
		}
		if slices.ContainsFunc(shared, has) && !slices.Contains(near, r.Name) {
			near = append(near, r.Name)
		}
	}
	return near
}
