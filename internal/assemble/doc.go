// Package assemble makes a record of quantities that are decided: it puts each in
// its field, and the names said beside them.
//
// What goes in is what was said, in order: quantities with their status and
// confidence, and for each what it is for ([Placed]). [Fill] makes the whole record of
// them. [Values] does the first half, which the reading engine has done with its
// likeliest readings while it still weighs them, for rules to find their cases in.
// Nothing here weighs a reading against another.
//
// A quantity goes to one field. What is said in several breaths comes together:
//
//   - a level is opened by its voltage and takes the current and the power said
//     behind it; said again, it is evidence for the first (level.go)
//   - a measurement has the load, the mains and the room that were said before it
//     (measure.go has how long each holds)
//   - a part has its ratings, whether its name came before or behind them; the total
//     of several equal parts is evidence for the rating of one (component.go)
//   - cells, pack and rated output are sides of one battery (battery.go)
//
// Nothing is dropped. What finds no field is listed as unplaced, what the speaker took
// back as withdrawn. Levels and parts have ids that what else is in the record does not
// change (identity.go). Which cautions go with a record is said by what it holds
// (caution.go).
//
// How far apart what comes together may be said is tables/reach.tsv, how near its
// values are tables/bounds.tsv.
package assemble
