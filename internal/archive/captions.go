package archive

import (
	"bytes"
	"slices"
	"strings"

	"saywatt/schema"
)

// captions are captions that a review was read from: where they are, and what
// they were when they were read last. A review that was merged has those of all
// that it was made of, so that read again they are still known as its own.
type captions struct {
	Path   string `json:"path,omitempty"`   // from the archive's folder
	Source string `json:"sha256,omitempty"` // of the file
	Record string `json:"record,omitempty"` // SHA-256 of the record made of it
	// Product is the product that they named last.
	Product string `json:"product,omitempty"`
}

// same reports whether two are of one file: at one path, or, where a path is not
// known, of the same bytes.
func (c *captions) same(other *captions) bool {
	if c.Path != "" && other.Path != "" {
		return c.Path == other.Path
	}
	return c.Source != "" && c.Source == other.Source
}

// newest are the captions of the newest version.
func (r *Review) newest() captions { return captions{r.Path, r.source, r.Record, r.named} }

// captionFiles lists what the review was read from, that of the newest version
// first, the others as they were read.
func (r *Review) captionFiles() []captions {
	if r.Record == "" {
		return nil
	}
	return append([]captions{r.newest()}, r.Also...)
}

// keep notes captions beside those of the newest version.
func (r *Review) keep(all ...captions) {
	newest := r.newest()
	for _, c := range all {
		if c.Record == "" {
			continue
		}
		r.Also = slices.DeleteFunc(slices.Clone(r.Also), func(was captions) bool { return was.same(&c) })
		if !c.same(&newest) {
			r.Also = append(r.Also, c)
		}
	}
	r.Also = slices.DeleteFunc(slices.Clone(r.Also), func(c captions) bool { return c.same(&newest) })
	if len(r.Also) == 0 {
		r.Also = nil
	}
}

// of reports whether the review was read from captions of these bytes.
func (r *Review) of(source string) bool {
	return source != "" && slices.ContainsFunc(r.captionFiles(), func(c captions) bool { return c.Source == source })
}

// at reports whether the review was read from captions at a path.
func (r *Review) at(path string) bool {
	return path != "" && slices.ContainsFunc(r.captionFiles(), func(c captions) bool { return c.Path == path })
}

// Others lists the captions that the review was read from beside those of its
// newest version: those of other bytes, since a file that was moved or copied is
// the same captions.
func (r *Review) Others() []captions {
	var all []captions
	for _, c := range r.Also {
		if c.Source != r.source {
			all = append(all, c)
		}
	}
	return all
}

// partOf reports whether a record is of one file, and the captions at its path were
// read last as the first of several parts.
func (w *Writer) partOf(r *Review, path string, rec *schema.Record) bool {
	for _, c := range r.captionFiles() {
		if path == "" || c.Path != path || len(rec.Source.Parts) > 0 {
			continue
		}
		was, err := w.a.store.GetFacts(c.Record)
		return err == nil && len(was.Source.Parts) > 0 // what cannot be read is reported elsewhere
	}
	return false
}

// has is the record that captions at the path gave the review when they were read
// last, where they give it still, but for what files are called; "" where not.
func (w *Writer) has(r *Review, path, record string, rec *schema.Record) string {
	for _, c := range r.captionFiles() {
		if c.Record == record && (c.Path == path || c.Record == r.Record) ||
			c.Path == path && c.Source == rec.Source.SHA256 && w.alike(c.Record, rec) {
			return c.Record
		}
	}
	return ""
}

// copied finds captions of the review that a record is of, byte for byte, but for
// where they lie: reading them again says nothing new. nil where there are none.
func (w *Writer) copied(r *Review, rec *schema.Record) *captions {
	all := r.captionFiles()
	for i := range all {
		if all[i].Source == rec.Source.SHA256 && w.alike(all[i].Record, rec) {
			return &all[i]
		}
	}
	return nil
}

// alike reports whether a record in the store is another but for what its files
// are called: how that is hangs on the folder that they were named from.
func (w *Writer) alike(hash string, rec *schema.Record) bool {
	old, err := w.a.store.Get(hash)
	if err != nil || len(old.Source.Parts) != len(rec.Source.Parts) {
		return false
	}
	now := *rec
	now.Source.File, now.Source.Parts = old.Source.File, old.Source.Parts
	now.Source.Problems = nil
	for _, p := range rec.Source.Problems {
		now.Source.Problems = append(now.Source.Problems, strings.ReplaceAll(p, rec.Source.File, old.Source.File))
	}
	var a, b bytes.Buffer
	return old.Write(&a) == nil && now.Write(&b) == nil && bytes.Equal(a.Bytes(), b.Bytes())
}
