package api

import (
	"fmt"
	"io"
	"net/http"
	"strconv"

	"saywatt/internal/archive"
)

// maxLimit is the longest page of results.
const maxLimit = 200

// search answers a query with the reviews of the archive that it finds.
func (s *service) search(w http.ResponseWriter, q *http.Request) error {
	if s.Archive == nil {
		return NewProblem(http.StatusNotFound, "There is no archive here.")
	}
	v := q.URL.Query()
	r := archive.Request{Query: v.Get("q"), Sort: v.Get("sort"), Facets: v.Get("facets") == "true"}
	var err error
	if r.Limit, err = count(v.Get("limit"), "limit", maxLimit); err != nil {
		return err
	}
	if r.Offset, err = count(v.Get("offset"), "offset", 1<<30); err != nil {
		return err
	}
	found, err := s.Archive.Search(r)
	if err != nil {
		return err
	}
	return answer(w, func(w io.Writer) error { return archive.Look{}.WriteResultsJSON(w, found) })
}

// count reads a whole number of a query, 0 where it is left out.
func count(text, name string, most int) (int, error) {
	if text == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 || n > most {
		return 0, fmt.Errorf("%s %q is not a number from 0 to %d", name, text, most)
	}
	return n, nil
}
