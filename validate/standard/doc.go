// Package standard holds the numbers that standards, laws and the trade set, and
// that the rules of package validate and the calculators of validate/calc share:
// each is a row of one of the tables, with its source and how far that source was
// verified, its [Standing].
//
// Rules ask for a number by its name in limits.tsv or bounds.tsv and get it in SI
// units ([LimitOf], [Bound]), calculators as the exact quantity that stands there
// ([Exact]). A name that no table has is a fault of the program, and panics. The
// other tables come as they are ([WireGauges], [FuseCurrents], [EfficiencyFloors],
// [PowerLevels]); [DecodeCode] reads a code on a part by [PartCodes] and the letters
// of code_letters.tsv.
package standard
