package standard

import (
	"embed"

	"saywatt/schema"
)

// tables are the tables of this package, each with the columns "source" and
// "standing".
//
//go:embed tables/*.tsv
var tables embed.FS

// The laws of efficiency_floors.tsv.
const (
	LawEU      = "eu"
	LawConduct = "coc"
	LawLevel   = "doe"
)

// The tables that rules and calculators both read.

// WireGauges is awg.tsv: diameter, area and resistance of copper wire by gauge.
func WireGauges() *schema.Table { return schema.MustReadTable(tables, "tables/awg.tsv") }

// FuseCurrents is fuse_currents.tsv: the rated currents of fuses, by list.
func FuseCurrents() *schema.Table {
	return schema.MustReadTable(tables, "tables/fuse_currents.tsv")
}

// EfficiencyFloors is efficiency_floors.tsv: what laws ask of power supplies.
func EfficiencyFloors() *schema.Table {
	return schema.MustReadTable(tables, "tables/efficiency_floors.tsv")
}

// PowerLevels is pdp_levels.tsv: what a USB PD source of a band of power must offer.
func PowerLevels() *schema.Table {
	return schema.MustReadTable(tables, "tables/pdp_levels.tsv")
}
