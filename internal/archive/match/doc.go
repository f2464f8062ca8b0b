// Package match holds a query against one review. A [Subject] is a review as queries see
// it: its record, the facts of that (package facts), and the few fields that are no fact
// of a record, such as the year in which it was added. [Subject.Holds] reports whether the
// review is what the query wants, and [Subject.Matches] gives the facts that answer it,
// with the words asked for marked: what a search shows.
//
// The index finds the same reviews by terms (package terms makes them of a Subject too).
// This package has none of that: numbers are compared as decimals and words one after
// another, in the plainest way, so that it is the oracle by which the index is tested. A
// search asks both: the index finds, and what it found is shown by what holds here. Where
// the two differ by design is a phrase of three and more words, which the index finds by
// its pairs of neighbours; a review that has those apart is found and not listed.
package match
