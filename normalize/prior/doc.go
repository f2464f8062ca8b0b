// Package prior says what is usual: which values are plausible for the voltage of a
// level or the capacitance of a bulk capacitor, which of them are preferred, how often
// values are said with a decimal point or as a range, and what units numbers have in
// which place. It is the prior of a noisy-channel model, P(value | role), and knows
// nothing of what captions do.
//
// # In
//
// The tables beside it (tables), each row with where it is from:
//
//   - roles.tsv has the roles, what a quantity can be in a record, with the context
//     that each belongs to, plausible and usual bounds and preferred values (Role);
//   - ranges.tsv how often quantities of a kind are said as a range;
//   - decimals.tsv how often values in a unit are said with a decimal point;
//   - placeunits.tsv how often each unit is that of a class of places, counted on
//     marked narrations;
//   - weights.tsv how the values of a role are shared out.
//
// Series of preferred numbers are those of internal/knowledge. All values are in the
// coherent SI unit of their kind, temperatures in degrees Celsius.
//
// # Out
//
// Usual gives the Table of all roles. Role.Fits says whether a role belongs in a
// context, Role.Tie what ties it there, and Role.P how likely a value is in it:
//
//	P(value | role) = share of the grid, where the value is preferred
//	                + rest × (density of the decade) × (share of one value of so many digits)
//
// The density is that of the usual part of the range, of the plausible range, which
// fades beyond its bounds, and a floor over twelve decades, so that true oddities stay
// alive. Values off the grid share their decade with all others of as many digits: 3.2
// and 3.25 compare fairly.
//
// UnitsIn lists the units of a class of places, for numbers said without one.
package prior
