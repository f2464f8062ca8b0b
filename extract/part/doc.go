// Package part infers which of the things said in a teardown are said of one
// part. In go [Element] values in the order said: the words that name a part,
// part numbers, makers, packages, counts and ratings. Out come [Group] values:
// stretches of elements that speak of one part each. It knows no words of its
// own; package extract makes the elements and takes the groups.
//
// # Model
//
// A part is spoken of in one go, so a grouping is a division of the elements into
// segments. A semi-Markov chain (Sarawagi and Cohen, NIPS 2004) gives a division
// the score
//
//	Σ gap(segment's first element)  +  Σ inside(segment)  +  Σ turn(layout before, layout)
//
// over its segments. The gap features are what stands between an element and
// the one before: words, signs, the end of a sentence, the types on both sides.
// The inside features see the segment as a whole: two capacitances, a second
// part number, an ohm value with a fuse. The layout says whether the noun stands
// first, behind its ratings or nowhere: who says "a 2 amp fuse" says "a 22
// microfarad capacitor" next. The probability of a division is proportional to
// the exponential of its score; [Model.Groups] returns the likeliest.
//
// So "fuse 2 amps 250 volts varistor 470 volts" and "a 2 amp 250 volt fuse, a
// 470 volt varistor" both divide where they should, though no sign says so.
//
// # Weights
//
// tables/weights.tsv has them, fitted by "make fit" on the narrations of
// testdata/tuning: by maximum likelihood with a normal prior, whose means stand
// in tables/priors.tsv for the features about which the trade says more than so
// few narrations can, and are zero for the others.
//
// The marks say which part a rating is of, and which part has which number,
// maker and package; of the other elements they say which parts these can
// belong to ([Example]). The fit sums over all divisions that the marks allow.
package part
