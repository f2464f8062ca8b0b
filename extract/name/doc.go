// Package name finds the names of makers and of the reviewed product in a
// narration. In go [Item] values, the words, numbers and signs of the text with
// what the tables of package extract know of each; out come [Found] names. It
// knows no word of its own beyond how common English words are (english.tsv).
//
// # Model
//
// A maker is a name in a maker's place: behind "from", before a part number,
// where a name of the same sound stands elsewhere. Three log-linear models say
// so, one after the other:
//
//   - place: how probable it is that a stretch of one to four words is a maker's
//     name, by the words around it, by what stands before and behind, and by
//     how common its own words are;
//   - maker: the same with the evidence of the whole file: how probable the
//     name is at the best of its other places, which sound alike, and how often
//     it stands there;
//   - title and owner: which of the stretches near the beginning is the product's
//     name, and which name is its maker's, none being a choice too.
//
// Names are grouped by the key of their sound, so that the time is linear in the
// length of the text.
//
// # Weights
//
// tables/weights.tsv has them, fitted by "make fit" on the narrations of
// testdata/tuning by maximum likelihood with a normal prior, each narration once
// as the captions show it and once with its names as meant. A feature that was
// seen in one narration only is dropped.
package name
