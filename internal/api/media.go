package api

import (
	"embed"
	"sync"

	"saywatt/schema"
)

// Media types. JSON Lines has none that is registered; both in use are taken
// (common practice, no source).
const (
	typeJSON    = "application/json"
	typeSchema  = "application/schema+json"  // JSON Schema 2020-12, 14.1
	typeProblem = "application/problem+json" // RFC 9457, 6.1
)

var lineTypes = []string{"application/jsonl", "application/x-ndjson"}

// bareTypes are those that clients put down that were given none (common
// practice, no source).
var bareTypes = []string{"application/x-www-form-urlencoded", "application/octet-stream"}

// batchTypes are the media types of a batch.
var batchTypes = append(append([]string(nil), lineTypes...), bareTypes...)

//go:embed tables/media.tsv
var tables embed.FS

var mediaTable = sync.OnceValue(func() *schema.Table { return schema.MustReadTable(tables, "tables/media.tsv") })

// captionTypes are the media types of captions as they are.
func captionTypes() []string {
	var all []string
	for _, r := range mediaTable().Rows {
		all = append(all, r.Get("type"))
	}
	return all
}

// nameOf is the name of captions of a media type that were given none.
func nameOf(media string) string {
	for _, r := range mediaTable().Rows {
		if r.Get("type") == media {
			return r.Get("name")
		}
	}
	return "captions"
}
