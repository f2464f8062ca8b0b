package archive

import (
	"embed"
	"sync"

	"saywatt/schema"
)

//go:embed tables/*.tsv
var tables embed.FS

// baseUnits are the units in which values are indexed, by kind.
var baseUnits = sync.OnceValue(func() map[schema.Kind]schema.Unit {
	bases := map[schema.Kind]schema.Unit{}
	for _, r := range schema.MustReadTable(tables, "tables/bases.tsv").Rows {
		k, err := schema.ParseKind(r.Get("kind"))
		if err != nil {
			panic(err)
		}
		bases[k] = schema.Unit(r.Get("base"))
	}
	return bases
})

// si gives a number in the base unit of its kind, with the kind; a unit of no
// kind known is its own base.
func si(v schema.Decimal, u schema.Unit) (schema.Decimal, string) {
	kind := u.Kind()
	if base, ok := baseUnits()[kind]; ok {
		if c, err := u.Convert(v, base); err == nil {
			return c, kind.String()
		}
	}
	if u == "" {
		return v, numberKind
	}
	return v, "other " + string(u)
}

// numberKind is the kind of what is counted without a unit.
const numberKind = "number"
