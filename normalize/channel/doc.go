// Package channel says what captions do to quantities that were said: a decimal
// point is lost, thirteen is shown as 30, watts as volts. It is the channel of a
// noisy-channel model: of what may have been said it gives P(heard | said), and
// leaves it to others how likely that is to be said at all. Costs are -ln P, in
// nats.
//
// # In
//
// The tables beside it (tables), each row with where it is from, and a document's
// mentions of numbers as package extract found them: digits, words, what stands
// before them and between them. No unit, no place and no other quantity is asked
// for.
//
//   - distortions.tsv has what captions do (Distortion), with how often it was seen
//     and of how many quantities that could have suffered it: its cost (Costs).
//   - unitconfusions.tsv has the units that captions show clearly although another
//     was said (Costs.Confusions).
//   - weights.tsv has what else about a number makes a distortion likelier or less.
//
// A person's recogniser has its own habits. Learned is a person's own count of them,
// review by review; Costs.With adds it to the tables'. Learned.Write and ReadLearned
// keep it in a file.
//
// # Out
//
// A Decoder lists what may have been said where a document shows a number
// (Decoder.Single), or two that may be one (Decoder.Pair): each Variant with its
// value or range, the distortions that made the words of it, and its cost. The first
// of a single number is what the captions show, at the cost of hearing it right.
//
//	325            325 intact; 32.5 and 3.25 point_lost; 0.325 point_lost and zero_lost
//	thirty         30 intact; 13 teen_ty
//	3.3 221        3.3 to 21 to_as_2; 3.3 to 221 to_lost
//
// The distortions of units, and those that need to know what is spoken of, are made by
// package normalize, at the costs of this one.
package channel
