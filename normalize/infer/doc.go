// Package infer sums out factor graphs: of several unknowns that speak for and
// against each other it says how likely each value of each of them is, whatever
// the others are. It knows nothing of captions or quantities, and imports the
// standard library alone.
//
// # In
//
// A Graph has nodes, numbered from 0. A node is something to decide and has a
// few readings, of which one is right; Reset says how many. Graph.P has the
// probability of each reading by itself, the likeliest first. A Factor ties up to
// MostNodes nodes together: it has a likelihood ratio for each combination of
// their readings, above 1 where they fit each other, below 1 where they do not,
// 1 where it says nothing. Graph.Add asks its caller for these ratios.
//
// # Out
//
// SumOut puts the marginal probabilities in the place of the readings' own ones:
// the sum over all readings of all other nodes, which is not the same as those of
// the one best assignment. What a node has together stays as it was.
//
// # How
//
// Nodes that share factors, at once or by way of others, are a component. A
// component is summed out exactly by bucket elimination (Dechter 1999): its nodes
// are eliminated one by one, the cheapest first, each leaving a message to the
// nodes it was tied to; messages then run back, so that all marginals come of two
// passes. The same graph gives the same bits.
//
// # Limits
//
// A text may be made so that exact sums take for ever. So there are bounds, of which
// a review hardly reaches more than the first:
//
//   - a factor asks for at most 512 combinations; its others have the ratio 1;
//   - all factors have room for so many ratios; one that finds none is left out,
//     and Add says so;
//   - a component has at most 128 nodes; a factor that would join two into a larger
//     one is left out;
//   - a table over the nodes eliminated together has at most 16384 entries; else the
//     least likely readings of the widest nodes keep the probability that they had
//     (a beam).
package infer
