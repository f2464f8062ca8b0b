package extract

// How far words reach that say something of a word near them, in tokens; common
// practice, no source. Those of one table or one sentence's grammar are beside
// what uses them.
const (
	inductorReach   = 11 // from a marking back to the part that bears it
	markingReach    = 4  // from the word for a marking back to its part
	togetherReach   = 8  // from a port on to a phrase of ports in use together
	closerReach     = 5  // from a property word back to one that names more: "touch current"
	changeReach     = 7  // from a property word back to one of another kind: "it changes over … in 20 milliseconds"
	payingReach     = 6  // from pounds back to a word of paying
	goesOnReach     = 5  // from the start of a sentence on to a word that goes on with the one before
	spotBehindReach = 3  // from a temperature on to its place
	portWordsReach  = 4  // words between numbers and the port behind them
	joinReach       = 4  // between two ports that are joined
)
