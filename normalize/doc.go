// Package normalize decides what was really said. Mentions with their context
// go in; quantities with ranked readings, a probability, and reasons come out.
// Package assemble makes a record of them.
//
// Three parts of it can be read alone: package channel, what captions do to numbers
// and units; package prior, what is usual; package infer, how factors over several
// unknowns are summed out. Here is what joins them: contexts, units, the facts and
// rules that make factors, and decisions.
//
// # The model
//
// For every stretch of words that names a number, the engine lists all that
// could have been said: the literal reading, and the readings from which
// captions could have made these words by a known distortion (a lost decimal
// point, "to" for 2, a misheard unit …; package channel). A reading's
// score is the sum of named terms, natural-log probabilities all:
//
//	channel     −cost of its distortions: ln P(heard | said), from counts
//	context     ln P(role | words around): how well its kind of quantity fits the place
//	prior       ln P(value | role): its preferred values, usual and plausible range, and a floor (package prior)
//	repetition  the same value said before or later for the same role
//	joint       what physics and lists say of several quantities together
//
// The first four belong to one reading. The last comes from the whole review:
// the rules of package validate, found in a provisional record of the likeliest
// readings and judged for the others (evidence.go), and a few facts of talk
// that no record shows (fact.go): a measured voltage lies near its level, sizes
// are said from the longest edge, parts add up to a total that was said. Each is a
// factor, likelihood ratios over the readings of one to four nodes; the factors are
// summed out exactly on every connected component (package infer), so that a
// doubtful 325 next to 20 V and 65 W becomes 3.25 A, and a doubtful neighbour
// is helped by it in turn. Posterior probabilities are marginals, not those of
// one best assignment.
//
// Where a rule is broken its evidence is bounded (rule_against): that the case
// itself is misplaced is never far off. Where an inequality is kept it counts
// for nothing, since most wrong readings keep it too.
//
// # The file's own manner
//
// After a first pass the rates of three distortions (lost points, teens for
// tens, volts for watts) are weighed against those of the file itself, counting
// only what is all but decided (infer.go, adapt). And no confidence comes nearer
// to 1 than what captions do that no table knows, which is fitted by the kind of
// captions (doubt.go). An inequality may open a value and never repairs it.
//
// # Worked case
//
// "20 volts at 325 amps. 65 watts max." The candidates of 325 are 325, 32.5,
// 3.25 and 0.325 A. 325 A as heard costs least in the channel (0.5), but a
// level's current of 325 A has only the prior's floor; 3.25 A costs 1.4 more
// for the lost point and is a preferred current, and 20 V × 3.25 A is the 65 W
// given for this port: a factor of 14 in its favour, and more from the rules.
//
// # Numbers without a unit
//
// What a bare number may be in is listed with its source (unitoption.go): the list
// that it ends, the other half of a level, a property or a part that is spoken of, a
// unit said near it, with a number or without, a minus, and the places that it may
// have, each with the units that its numbers have (package prior, counted). How much
// each source says of a kind of quantity, and in a place, is fitted.
//
// # Cuts
//
// Two mentions next to each other may be one number: "27 6 millimetres",
// "3. 62 volts", "3.3 221 volts". Both cuts are weighed; the better one
// stands, and the other's weight lowers the confidence. One number may be two:
// "15 3 amps, 25 amps" is 20 V and 5 A.
//
// # Decision
//
// A reading other than the literal one stands (repaired) only above the
// threshold; where only the usual size of such quantities speaks for another
// number (no place known, no other value that agrees) its probability stays
// below. A literal one below the threshold is open; else it is heard. A bare
// number is reported only where its place gives it a unit and it is more
// likely a quantity than not.
//
// # Learning
//
// Ranker.Learn counts, over a review that a person has decided on, what each
// quantity suffered of what it could have suffered; the counts (channel.Learned)
// are the user's, kept review by review, and added to those of the channel's
// table before costs are made, where a Ranker is given them.
//
// # Ties and limits
//
// Equal scores are ordered literal first, then by rising value, then by unit
// code. Facts are read off the likelier readings; readings below 0.002 keep the
// share of their own score and are not weighed against neighbours. Package infer
// bounds what is asked of a fact and summed out; a value whose facts found no room
// stays open. The model does not see sound: what no distortion in the table
// makes, it cannot recover, and it leaves such a place as heard or open.
package normalize
