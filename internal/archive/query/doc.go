// Package query reads what people search an archive for, and knows nothing of
// archives: the text of a query goes in ([Parser.Parse]), and a [Query] comes out, a
// tree of words, fields, conditions and items; what cannot be read is an [Error] with
// its place and a hint. The tables say what has a name: fields.tsv what is asked by
// name, subjects.tsv what is compared, bases.tsv the units in which values of a kind
// are compared, classes.tsv the classes of power, apart.tsv what has no median
// together. [Words] cuts texts, of queries and of records alike.
//
// # The language
//
//	query     = and { "or" and }
//	and       = unary { [ "and" ] unary }
//	unary     = "not" unary | atom
//	atom      = "(" query ")" | condition | field | phrase | word
//	condition = [ subject [ ":" ] ] interval
//	subject   = group [ property ] | property
//	interval  = ( "<" | "<=" | ">" | ">=" | "=" ) quantity | quantity [ ".." quantity ]
//	quantity  = number [ unit ]
//	field     = name ":" ( word | phrase )
//	phrase    = `"` { any | `\"` | `\\` } `"`
//	word      = a run of other characters, "*" at its end for any ending
//
// Terms beside each other must all hold. "and", "or" and "not" are words of
// the language in any case; quote them to search for them.
//
// A condition holds where some value of the subject meets the interval; a
// range said ("3.3 to 21 volts") meets an interval that it shares a value
// with. A property is a kind of quantity or a property as records have it
// (power, efficiency, on resistance); a group is a place of the record (level,
// cell, pack, rated, cable, body, claim, measured) or a kind of part (fuse,
// MOSFET, bulk capacitor). A kind of part answers to its last words too: a
// bulk capacitor is a capacitor. Where no power was said of a level, that of its
// voltage times its current counts. Without a subject any value said counts, also
// one that found no place, and the power of a level. A number without unit is a condition only after a
// comparison or a property counted without one; elsewhere it is a word: 21700.
//
// Units are symbols, UCUM codes or names, converted exactly; spellings that
// mean one thing only are taken in any case (internal/typed). The field
// names stand in tables/fields.tsv, properties and groups in
// tables/subjects.tsv. level:"20 V 2.25 A" and part:"fuse 2.5 A 250 V" want
// all of it in one level or part.
//
// A word or name that nothing is called by is searched for by near spellings
// among names (one letter off from four letters on, two from eight), and the
// answer says so. A query that cannot be read is a [Error] with its place.
//
// A phrase of three and more words is found by its pairs of neighbours. Where
// those occur apart the review counts in the total, but is not listed.
package query
