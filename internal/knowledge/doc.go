// Package knowledge holds the tables of the world that more than one package
// reads: what cells, mains voltages, preferred numbers, packages and protocols
// there are, and the cautions that go with them. Each stands here once, under
// one spelling, and its readers take the columns they need. The comment on top
// of each file in tables says what its columns hold.
//
// How narrations name these things is in the tables of package extract; what
// only one package asks for is in the tables of that package. This package
// imports schema alone.
package knowledge

import (
	"embed"

	"saywatt/schema"
)

//go:embed tables/*.tsv
var tables embed.FS

// CellFormats are the cylindrical cells.
func CellFormats() *schema.Table { return table("cell_formats") }

// MainsVoltages are the voltages of mains, of labels and of tests.
func MainsVoltages() *schema.Table { return table("mains_voltages") }

// Series are the series of preferred numbers.
func Series() *schema.Table { return table("series") }

// Cautions are the safety cautions that go with records and calculations.
func Cautions() *schema.Table { return table("cautions") }

// Protocols are the charging protocols as records name them.
func Protocols() *schema.Table { return table("protocols") }

// Packages are the packages of parts, with the pins and bodies that there are.
func Packages() *schema.Table { return table("packages") }

func table(name string) *schema.Table { return schema.MustReadTable(tables, "tables/"+name+".tsv") }
