// Package index keeps documents of plain terms in segments of bleve and finds sets of
// them. It knows nothing of records: package terms says which terms a review has,
// and what a query asks for.
//
// A [Document] is made of the [Terms] of its fields; a [Builder] writes a generation
// of many, [Change] one that differs from another by a few. [Open] opens the
// generation that a manifest of package store names, as a [View]: terms give a [Set]
// of documents by their numbers, a range of terms is gone through in the order of
// bytes, a [Column] gives the values that results are counted and sorted by.
// [Sortable] spells numbers so that bytes sort as they do. What a field holds is in
// the doc of package terms.
//
// A damaged index is an error that is store.ErrIndex, a panic inside of bleve too
// ([Guard]): the index is a cache, and whoever finds it broken makes it anew.
package index
