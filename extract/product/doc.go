// Package product infers what kind of product a review is of: a charger, a power
// bank, a cable. In go the words of the review and the kinds of quantity in it;
// out comes the probability of each kind of tables/kinds.tsv.
//
// # Model
//
// One multinomial logistic regression over what is said anywhere: each word, each
// pair of words that ends in a head ("car charger", "power strip"), the words of
// the introduction again, and how often each kind of quantity was said. The
// probability of a kind is proportional to the exponential of the sum of the
// weights that its features have for it. A kind named in passing ("my power bank")
// is one feature among hundreds, and decides nothing alone.
//
// # Weights
//
// tables/weights.tsv has them, fitted by "make fit" (internal/kindfit) on the
// narrations of testdata/tuning: by maximum likelihood with a normal prior around
// zero.
package product
