// Package compare sets records side by side. Each fact of a record (package facts) goes
// into a row by its section and label, a cell for each record ([Rows]); levels have a row
// for every voltage, parts one for every kind, and what a product gives for its mass and
// size is reckoned (ratio.go). Then the quantities of a row are converted to the unit of
// the first, ratios to that are put behind, and what differs comes first. [CommonParts]
// are the parts that all have.
//
// Of several values of one property the highest is first and none is left out; of levels
// the highest alone is shown. A cell is as sure as the least sure of what is in it.
package compare
