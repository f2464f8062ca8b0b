package archive

import "saywatt/internal/archive/store"

// What is kept of a review and how, is for package store to say; whoever uses an
// archive knows these of it.
type (
	Act       = store.Act       // what a decision did
	Decision  = store.Decision  // a line of decisions.jsonl
	Damage    = store.Damage    // something of the archive that cannot be read
	BusyError = store.BusyError // another process writes to the archive
)

// The acts of people.
const (
	ActSettled   = store.ActSettled
	ActPlaced    = store.ActPlaced
	ActReopened  = store.ActReopened
	ActRemoved   = store.ActRemoved
	ActRenamed   = store.ActRenamed
	ActMerged    = store.ActMerged
	ActTakenBack = store.ActTakenBack
	ActNothing   = store.ActNothing
	ActUnclear   = store.ActUnclear
	ActReworded  = store.ActReworded
	ActNamed     = store.ActNamed
)
