package schema

// SaidTerm is one name as the speaker said it: a port, protocol, kind of part,
// part number, package, maker or feature; the words heard and what they mean.
type SaidTerm struct {
	Heard      string        `json:"heard" doc:"the words, cue breaks as one space"`
	Meant      string        `json:"meant" doc:"the chosen reading, in its standard spelling"`
	Kind       TermKind      `json:"kind" doc:"what is named"`
	At         *Seconds      `json:"at" doc:"start of the cue in seconds; null where untimed"`
	Span       Span          `json:"span" doc:"[start, end) byte offsets of the heard words in the source file"`
	Spans      []Span        `json:"spans,omitempty" doc:"every occurrence, where captions roll"`
	Status     Status        `json:"status" doc:"heard: as written or in an ordinary spoken form; repaired: another spelling, with support; open: needs a person; settled: a person put it right"`
	Confidence float64       `json:"confidence" doc:"probability that the chosen reading is what was said, 0 to 1"`
	Readings   []TermReading `json:"readings" doc:"up to five readings, best first, the chosen one included"`
	Place      string        `json:"place" doc:"path of the field it fills, empty where none"`
	Why        []string      `json:"why" doc:"what speaks for the chosen reading, with its source"`
	Glossary   bool          `json:"glossary,omitempty" doc:"it was repaired by a name of the user's glossary"`
}

// Read is what the words were read as without a person: the chosen reading, or the one
// behind it where a person put the name right.
func (t *SaidTerm) Read() string {
	if t.Status == StatusSettled && len(t.Readings) > 1 {
		return t.Readings[1].Meant
	}
	return t.Meant
}

// TermReading is one meaning of the words heard.
type TermReading struct {
	Meant      string  `json:"meant" doc:"the name in its standard spelling"`
	Confidence float64 `json:"confidence" doc:"probability, 0 to 1"`
}

// NameToCheck is a name that stands as heard and that captions may have
// misspelled: look how it is written.
type NameToCheck struct {
	Name  string   `json:"name" doc:"as it stands in the record"`
	Kind  string   `json:"kind" doc:"maker or product"`
	Heard []string `json:"heard" doc:"the spellings heard for it, in the order heard"`
	At    *Seconds `json:"at" doc:"start of the first cue in seconds; null where untimed"`
}

// TermKind is what a term names.
type TermKind uint8

// The kinds of term.
const (
	TermUnknown TermKind = iota
	TermPort
	TermProtocol
	TermComponent // kind of part
	TermPart      // part number
	TermPackage
	TermMaker
	TermFeature // topology, chemistry, certification mark

	TermKinds = int(TermFeature) + 1 // how many there are, the unknown one included
)

var termKindNames = [...]string{"", "port", "protocol", "component", "part", "package", "maker", "feature"}

func (k TermKind) String() string { return enumName(termKindNames[:], k) }

// parseTermKind reads a kind of term by its name.
func parseTermKind(s string) (TermKind, error) {
	return parseEnum[TermKind](termKindNames[:], "kind of term", s)
}

// MarshalText writes the name; the zero TermKind is an error.
func (k TermKind) MarshalText() ([]byte, error) {
	return marshalEnum(termKindNames[:], "kind of term", k)
}

// UnmarshalText reads the name.
func (k *TermKind) UnmarshalText(b []byte) (err error) {
	*k, err = parseTermKind(string(b))
	return err
}
