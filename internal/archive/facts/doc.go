// Package facts says what a record says, as a list of facts: a value in its place, a
// name, a note, a finding ([Of]). It knows records and the names that queries have for
// what is in them (package query), and neither archives nor indexes. What is found, shown,
// counted or compared is a fact, so that a review is found by what it is shown to say,
// and is compared by what it is found by.
//
// The values are those that the record itself lists, by [schema.Record.EachValue] and the
// Fields of its parts: a field that a record comes to have is a fact without a line here,
// which a test holds by filling a record by reflection. Only names are listed here, each
// with the fields by which queries ask for them. The quantities said that no place shows
// come last.
//
// A fact has all that anybody wants of it, so that nobody looks the record up again but
// for the words of an [Item], the level or part that a value is of:
//
//   - what is shown: path, label, value, the words heard and around them, the moment, and
//     the [Doubt] of it, which sheets show as marks;
//   - what is asked for: the quantity in the base unit of its kind ([Base]), the paths that
//     conditions name ([Fact.Paths]), the texts that words are looked for in ([Fact.Texts]),
//     and the fields of names.
//
// One fact nobody said: the power of a level that follows from its voltage and current.
// [Fact.Follows] distinguishes it from the others, and it has no texts.
package facts
