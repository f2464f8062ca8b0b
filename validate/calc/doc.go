// Package calc holds the desk calculators: what a person reckons beside a review,
// such as the drop along a cable, the flight rules of a power bank or what a USB PD
// power data object offers.
//
// A [Calculator] is a value that says what it computes, from what, on whose
// authority and what it takes for granted; the suite is [All], one ordered list.
// [Calculator.Do] takes inputs as people type them ([Given]) and gives an [Answer]:
// every input used, the results as exact decimals with their units, and the cautions
// that go with them. [Calculator.DoRecord] takes the inputs from a record. What is
// missing, of another kind or impossible is an [InputError] that names the input.
//
// The inputs are rows of tables/inputs.tsv. A [PDO] is read field by field as
// tables/pdo_fields.tsv lays it out; requests and cable markers by word_fields.tsv
// and word_codes.tsv. Numbers of standards are those of validate/standard.
//
// To add one: see "Add a calculator" in DEVELOPERS.md.
package calc
