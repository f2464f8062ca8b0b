package assemble

import (
	"embed"
	"sync"

	"saywatt/schema"
)

//go:embed tables/*.tsv
var tables embed.FS

// bounds say how near values that come together are, and how many names are listed,
// from tables/bounds.tsv.
type bounds struct{ levelSlack, loadSlack, mainsFloor, termReadings float64 }

// fields are the bounds by their names in the table.
func (b *bounds) fields() map[string]*float64 {
	return map[string]*float64{"level_slack": &b.levelSlack, "load_slack": &b.loadSlack,
		"mains_floor": &b.mainsFloor, "term_readings": &b.termReadings}
}

var loadBounds = sync.OnceValue(func() *bounds {
	b := &bounds{}
	schema.MustReadNumbers(tables, "tables/bounds.tsv", "bound", "n", b.fields())
	return b
})

// reaches say how far apart quantities may be said and still come together, from
// tables/reach.tsv.
type reaches struct{ level, levelClause, except, mains, same int32 }

// fields are the reaches by their names in the table.
func (r *reaches) fields() map[string]*int32 {
	return map[string]*int32{"level": &r.level, "level_clause": &r.levelClause, "except": &r.except,
		"mains": &r.mains, "same": &r.same}
}

var loadReaches = sync.OnceValue(func() *reaches {
	r := &reaches{}
	schema.MustReadNumbers(tables, "tables/reach.tsv", "relation", "reach", r.fields())
	return r
})
