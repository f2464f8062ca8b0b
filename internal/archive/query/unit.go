package query

import (
	"embed"
	"sync"

	"saywatt/schema"
)

// tables are what queries know by name, and the units of what is compared.
//
//go:embed tables/*.tsv
var tables embed.FS

// BaseUnits are the units in which values are indexed, by kind.
var BaseUnits = sync.OnceValue(func() map[schema.Kind]schema.Unit {
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

// SI gives a number in the base unit of its kind, with the kind; a unit of no
// kind known is its own base.
func SI(v schema.Decimal, u schema.Unit) (schema.Decimal, string) {
	kind := u.Kind()
	if base, ok := BaseUnits()[kind]; ok {
		if c, err := u.Convert(v, base); err == nil {
			return c, kind.String()
		}
	}
	if u == "" {
		return v, NumberKind
	}
	return v, "other " + string(u)
}

// NumberKind is the kind of what is counted without a unit.
const NumberKind = "number"

// SaidGroup is the group of everything said, in a place or not.
const SaidGroup = "said"

// PropertyPath names a property in index paths. A capacity can be a charge or
// an energy, and numbers of the two must not meet, so the kind is said where
// the property is not the kind itself.
func PropertyPath(property, kind string) string {
	if property == kind || kind == NumberKind {
		return property
	}
	return property + "/" + kind
}

// DisplayUnit is the unit in which values of a kind are shown: that of the
// trade where the SI unit is not.
func DisplayUnit(k schema.Kind) schema.Unit {
	switch k {
	case schema.KindEnergy:
		return "W.h"
	case schema.KindCharge:
		return "mA.h"
	case schema.KindMass:
		return "g"
	case schema.KindLength:
		return "mm"
	case schema.KindVolume:
		return "cm3"
	case schema.KindCapacitance:
		return "uF"
	case schema.KindInductance:
		return "uH"
	case schema.KindRatio:
		return "%"
	}
	return BaseUnits()[k]
}
