// Package normalize decides what was really said. Mentions with their context
// go in; quantities with ranked readings, a probability, and reasons come out,
// and a record with each of them in its place.
//
// # The model
//
// For every stretch of words that names a number, the engine lists all that
// could have been said: the literal reading, and the readings from which
// captions could have made these words by a known distortion (a lost decimal
// point, "to" for 2, a misheard unit …; tables/distortions.tsv). A reading's
// score is the sum of named terms, natural-log probabilities all:
//
//	channel     −cost of its distortions: ln P(heard | said), from counts
//	context     ln P(role | words around): how well its kind of quantity fits the place
//	prior       ln P(value | role): the role's preferred values, usual and plausible range, and a floor
//	repetition  the same value told before or later for the same role
//	joint       what physics and lists say of several quantities together
//
// The first four belong to one reading. The last comes from facts over two to
// four quantities — volts times ampere give the power told, amp hours times
// volts give the watt hours, so many equal capacitors give the total, three
// edges give the volume — as likelihood ratios, passed between them by
// sum-product messages (infer.go), so that a doubtful 325 next to 20 V and
// 65 W becomes 3.25 A, and a doubtful neighbour is helped by it in turn.
//
// # Worked case
//
// "20 volts at 325 amps. 65 watts max." The candidates of 325 are 325, 32.5,
// 3.25 and 0.325 A. 325 A as heard costs least in the channel (0.5), but a
// level's current of 325 A has only the prior's floor (−18); 3.25 A costs 1.3
// more for the lost point and is a preferred current (−3.6), and 20 V × 3.25 A
// is the 65 W told for this port: a factor of 14 in its favour.
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
// threshold; a literal one below the threshold is open; else it is heard. A
// bare number is reported only where its place gives it a unit and it is more
// likely a quantity than not.
//
// # Ties and limits
//
// Equal scores are ordered literal first, then by rising value, then by unit
// code. Facts are read off the likelier readings; a table of more than 4096
// combinations is cut to the likelier readings of its largest partner.
// Messages pass a fixed number of times: exact on trees, approximate on loops.
// The model does not see sound: what no distortion in the table makes, it
// cannot recover, and it leaves such a place as heard or open.
package normalize
