package schema

// Status says where the reading of a quantity stands.
type Status uint8

// The statuses, as in the output contract.
const (
	StatusUnknown  Status = iota
	StatusHeard           // taken as heard
	StatusRepaired        // changed, confident enough to stand
	StatusOpen            // needs a person's ear
	StatusSettled         // a person decided
)

var statusNames = [...]string{"", "heard", "repaired", "open", "settled"}

func (s Status) String() string { return enumName(statusNames[:], s) }

// Mark is the sign behind a value, "" for one as heard: a status is never said
// by colour alone.
func (s Status) Mark() string {
	switch s {
	case StatusRepaired:
		return "*"
	case StatusOpen:
		return "?"
	case StatusSettled:
		return "✓"
	}
	return ""
}

// ParseStatus reads a status by its name.
func ParseStatus(s string) (Status, error) { return parseEnum[Status](statusNames[:], "status", s) }

// MarshalText writes the name; the zero Status is an error.
func (s Status) MarshalText() ([]byte, error) { return marshalEnum(statusNames[:], "status", s) }

// UnmarshalText reads the name.
func (s *Status) UnmarshalText(b []byte) (err error) {
	*s, err = ParseStatus(string(b))
	return err
}

// Basis says on what ground a value stands. Values of different basis are
// kept apart: a claim is not a measurement.
type Basis uint8

// The bases.
const (
	BasisUnknown  Basis = iota
	BasisClaimed        // said by maker or reviewer as the product's property
	BasisLabel          // read from the rating plate or a part's marking
	BasisMeasured       // read from an instrument
	BasisDerived        // computed from others
)

var basisNames = [...]string{"", "claimed", "label", "measured", "derived"}

func (b Basis) String() string { return enumName(basisNames[:], b) }

// ParseBasis reads a basis by its name.
func ParseBasis(s string) (Basis, error) { return parseEnum[Basis](basisNames[:], "basis", s) }

// MarshalText writes the name; the zero Basis is an error.
func (b Basis) MarshalText() ([]byte, error) { return marshalEnum(basisNames[:], "basis", b) }

// UnmarshalText reads the name.
func (b *Basis) UnmarshalText(t []byte) (err error) {
	*b, err = ParseBasis(string(t))
	return err
}

// Qualifier is a hedge or comparator that the speaker put on a quantity. The
// zero value means none.
type Qualifier uint8

// The qualifiers.
const (
	QualifierNone Qualifier = iota
	QualifierAbout
	QualifierAtLeast
	QualifierAtMost
	QualifierOver
	QualifierUnder
	QualifierTypical
	QualifierPeak
	QualifierMinimum
	QualifierMaximum
	QualifierNominal
	QualifierPeakToPeak // of a ripple: from its lowest to its highest
)

var qualifierNames = [...]string{"", "about", "at_least", "at_most", "over", "under", "typical", "peak", "minimum",
	"maximum", "nominal", "peak_to_peak"}

func (q Qualifier) String() string { return enumName(qualifierNames[:], q) }

// ParseQualifier reads a qualifier by its name; "" is QualifierNone.
func ParseQualifier(s string) (Qualifier, error) {
	if s == "" {
		return QualifierNone, nil
	}
	return parseEnum[Qualifier](qualifierNames[:], "qualifier", s)
}

// MarshalText writes the name, empty for none.
func (q Qualifier) MarshalText() ([]byte, error) {
	if q == QualifierNone {
		return nil, nil
	}
	return marshalEnum(qualifierNames[:], "qualifier", q)
}

// UnmarshalText reads the name.
func (q *Qualifier) UnmarshalText(b []byte) (err error) {
	*q, err = ParseQualifier(string(b))
	return err
}

// Severity grades a finding.
type Severity uint8

// The severities, from slight to grave.
const (
	SeverityUnknown Severity = iota
	SeverityNote
	SeverityWarning
	SeverityError
)

var severityNames = [...]string{"", "note", "warning", "error"}

func (s Severity) String() string { return enumName(severityNames[:], s) }

// ParseSeverity reads a severity by its name.
func ParseSeverity(s string) (Severity, error) {
	return parseEnum[Severity](severityNames[:], "severity", s)
}

// MarshalText writes the name; the zero Severity is an error.
func (s Severity) MarshalText() ([]byte, error) { return marshalEnum(severityNames[:], "severity", s) }

// UnmarshalText reads the name.
func (s *Severity) UnmarshalText(b []byte) (err error) {
	*s, err = ParseSeverity(string(b))
	return err
}
