// Package place says where in a record a value is and what is known of that place
// by its name: the rules of package validate and the calculators of validate/calc
// both find their values by it.
//
// A [Path] is the place of a value, "levels[3].current". Names as records have
// them go in, and what kind of thing they name comes out: [ModeOf] of a mode
// ("battery/output"), [SocketOf] of a port ("USB-C1"), [ProtocolOf] of a protocol
// ("PD 3.0", by knowledge.Protocols). IsMains, IsPD and the like ask all of these
// of a level. Nothing here judges a number.
package place
