// Package place infers where each quantity of a narration belongs: to an
// operating level, the rating of a part, a measurement, the condition of a
// test, the product's size, another product, nothing. It does not look for
// words of its own: package extract hands it a chain of observations, one for
// each mention, with the features that it saw there.
//
// # Model
//
// The places are [Class] values, rows of tables/classes.tsv. A linear chain
// over the mentions (a conditional random field: Lafferty, McCallum and
// Pereira, ICML 2001) gives a sequence of classes the score
//
//	Σ weight(feature, class)  +  Σ weight(link, class before, class)
//
// summed over all features seen at each mention, and over all neighbours with
// the link between them: how closely the two stand together. The probability
// of a sequence is proportional to the exponential of its score, and
// [Model.Infer] returns the marginal probability of each class at each mention,
// by the forward–backward recursion. So a word that points the wrong way is
// outvoted by the shape of what is said around it, and where the evidence is
// split the marginals say so.
//
// A class is possible for a mention only where its row names the mention's
// physical kind; the rest of the knowledge is in the weights. What a person said
// of a mention is a condition ([Observation].Only): the chain is summed over the
// sequences that agree with it, so its neighbours hear of it too.
//
// # Weights
//
// tables/weights.tsv has them, fitted by maximum likelihood with a quadratic
// penalty on the narrations of testdata/tuning by
//
//	go run ./internal/placefit
//
// which drops every feature that was seen in one narration only. Features are
// known by the hash of their name, so nothing is built at run time to look one
// up.
package place
