package standard

import (
	"strconv"

	"saywatt/schema"
)

// Standing says how far a source was verified.
type Standing uint8

// The standings, from firm to loose, with their letters.
const (
	Unknown    Standing = iota
	Verified            // V: read in a published text
	Computed            // X: follows by arithmetic from verified rows
	Unverified          // M: quoted from memory
	Practice            // C: practice of the trade, no source
)

var standingNames = [...]string{"", "verified", "computed", "unverified", "practice"}

func (s Standing) String() string {
	if int(s) < len(standingNames) {
		return standingNames[s]
	}
	return "?"
}

// ParseStanding reads a standing by its name, Unknown if there is none.
func ParseStanding(s string) Standing {
	for i, n := range standingNames {
		if n == s {
			return Standing(i)
		}
	}
	return Unknown
}

// Gravest is the gravest severity that the standing supports.
func (s Standing) Gravest() schema.Severity {
	if s == Practice {
		return schema.SeverityWarning
	}
	return schema.SeverityError
}

// Ground is what a table row rests on.
type Ground struct {
	Source   string
	Standing Standing
}

// GroundOf reads the columns source and standing of a row of an embedded table, and
// panics on a standing that there is not.
func GroundOf(r schema.Row) Ground { return GroundIn(r, "") }

// GroundIn is GroundOf where a row rests on several grounds: of the columns whose names
// begin with a prefix, such as "l" for lsource and lstanding.
func GroundIn(r schema.Row, prefix string) Ground {
	g := Ground{r.Get(prefix + "source"), ParseStanding(r.Get(prefix + "standing"))}
	if g.Standing == Unknown {
		panic("standing in line " + strconv.Itoa(r.Line) + ": " + r.Get("standing"))
	}
	return g
}
