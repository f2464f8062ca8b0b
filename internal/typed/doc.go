// Package typed reads what people type of a quantity in a query or as the input
// of a calculator: [Number], [Unit] and [Quantity]. Numbers are digits with one
// point, grouped in threes by commas or not. Units are symbols, names, UCUM
// codes and the spellings of tables/units.tsv. What cannot be read is an [Error],
// which says how to write it.
//
// What a person types of what was said, at the desk, may be in words, "three
// point two five amps", and is read as captions are: extract.ParseQuantities.
package typed
