// Package schema holds the nouns that every other package shares: the Record
// of a narrated review and what it is made of, exact values with their units,
// and the knowledge tables about units. It imports nothing else of this
// module.
//
// # What a record is
//
// A Record is what one review said of one product. It says it twice. The
// list Quantities holds every physical quantity in the order said: the words,
// their place in the source file, the readings that were weighed, the one
// chosen, and why. The other fields hold the same facts in their places: the
// ports, the operating levels, the cells, the parts. A Value in a place says
// by number which of the quantities it rests on, so a reader can go from "5 A"
// in a table back to the seconds of video in which it was said. What found no
// place is listed as unplaced, what the speaker took back as withdrawn; both
// stay among the quantities. Counts adds them up: nothing said is lost.
//
// A record is not a certification. It repeats what someone said, and how sure
// this program is of having heard it.
//
// Claims, labels, measurements and derived values are kept apart by Basis,
// and the rated side of a battery apart from its cells, since mixing them is
// how wrong specifications come about. Status says who answers for a reading:
// the recogniser (heard), this program (repaired), nobody yet (open), a person
// (settled).
//
// # Exactness
//
// What was said is text, so values are decimals and not binary floats: 3.25
// is 3.25, "3.0" stays "3.0", and sums, products and conversions between
// units that differ by a power of ten lose nothing. A conversion that has no
// finite decimal form is rounded to 34 significant digits. Floats serve for
// probabilities and for judging what is plausible.
//
// Units are codes of UCUM (The Unified Code for Units of Measure). A Kind
// keeps apart what shares dimensions, such as torque and energy, so that a
// conversion between them is an UnitMismatchError and not a number.
//
// # The form on disk
//
// Record.Write and ReadRecord are the only way out and in. Reading is strict:
// unknown fields, another version, units outside UCUM and values of closed
// sets that are not known are errors, and a record read and written again is
// byte-identical. The `json` and `doc` tags of the structs are the
// specification; JSONSchema (JSON Schema 2020-12) and WriteGuide (Markdown)
// are made from them, and a test keeps the committed record.schema.json in
// step:
//
//	go test ./schema -run TestSchemaFile -update
//
// # Tables
//
// Knowledge is data: tables/*.tsv are read by ReadTable, the comment on top of
// each being its specification and its last column the source. To teach the
// package a unit, add a row to tables/units.tsv (and to tables/atoms.tsv if
// UCUM has it as an atom); the tests then check its code, its conversions
// there and back, and its factor against GNU Units. Other packages keep their
// own tables in the same form.
//
// Start with ReadRecord, or with Record and Record.Write; with ParseQuantity
// for a value, Quantity.Same to compare two, and Unit.Convert.
package schema
