// Package sound knows how words sound, and how near one sound is to another.
// Captions are written by ear, so the words shown for a number or a unit are
// words of like sound: "grounds" for grams, "ate" for eight, "mill arms" for
// milliohms. What is looked for is said once, in a table; whatever sounds near
// it needs no row.
//
//   - [Model.Say] gives the phones of a word: from tables/said.tsv, or from the
//     pronouncing dictionary of tables/english.tsv, or by the rules of
//     tables/letters.tsv where both lack it.
//   - [Model.Distance] is the least cost of turning one row of phones into
//     another. Two sounds cost what their features of tables/phones.tsv differ
//     in: where in the mouth, how, with or without voice. The weights are in
//     tables/weights.tsv.
//   - [Index] finds, among forms, those near what was heard: one pass over the
//     forms in order, which shares the work of common beginnings.
//   - [Model.Common] says how often a word stands for itself in reviews, from
//     tables/common.tsv: "was" is an ordinary word before it is a misheard volt.
//     [Model.Share] says how often where: words before a unit that no number
//     stands before are few, and any other there is likely a number misheard.
//   - [Speech] decodes a row of words as sounds: which number words and units were
//     likely said where the words shown were cut elsewhere. What follows what, and how
//     often each is said, is counted (tables/turns.tsv, tables/spoken.tsv).
//
// A Model is made once from embedded tables and never changes.
package sound
