package fit

import "flag"

// Flags are the flags that every command has that fits.
type Flags struct {
	Folds   *int     // groups of narrations to leave out in turn; 0 none
	Penalty *float64 // inverse variance of the weights
	Write   *string  // file for the weights; "" none
}

// NewFlags declares the flags on the command line, with the penalty where none is given.
func NewFlags(penalty float64) Flags {
	return Flags{
		Folds:   flag.Int("fold", 0, "how many `groups` of narrations to leave out in turn"),
		Penalty: flag.Float64("penalty", penalty, "inverse variance of the weights"),
		Write:   flag.String("write", "", "write the weights to `FILE`"),
	}
}
