package api

import (
	"bytes"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"saywatt/internal/archive"
	"saywatt/internal/export/overview"
)

// maxResults bounds a page of results.
const maxResults = 1000

// search finds reviews in the archive.
func (a *api) search(c *call) error {
	if a.Archive == nil {
		return &refusal{status: http.StatusNotFound, kind: kindNoArchive,
			detail: "the server was started without an archive"}
	}
	q := archive.Request{Query: c.query.Get("q"), Sort: c.query.Get("sort"), Limit: archive.DefaultLimit}
	if c.query.Has("sort") && !slices.Contains(archive.Sorts(), q.Sort) {
		return badParameter("sort", "there are "+strings.Join(archive.Sorts(), ", "))
	}
	var err error
	if q.Limit, err = c.number("limit", q.Limit, 1, maxResults); err != nil {
		return err
	}
	if q.Offset, err = c.number("offset", 0, 0, 1<<31-1); err != nil {
		return err
	}
	if c.query.Has("facets") {
		if q.Facets, err = strconv.ParseBool(c.query.Get("facets")); err != nil {
			return badParameter("facets", "want true or false")
		}
	}
	found, err := work(c.r.Context(), a, func() (*archive.Results, error) { return a.Archive.Search(q) })
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := (overview.Look{}).WriteResultsJSON(&b, found); err != nil {
		return err
	}
	return c.sendBytes(b.Bytes())
}

// number reads a parameter that is a whole number from least to most.
func (c *call) number(name string, otherwise, least, most int) (int, error) {
	if !c.query.Has(name) {
		return otherwise, nil
	}
	n, err := strconv.Atoi(c.query.Get(name))
	if err != nil || n < least || n > most {
		return 0, badParameter(name, fmt.Sprintf("want a whole number from %d to %d", least, most))
	}
	return n, nil
}
