package schema

import "strings"

// BelongsTo says what a quantity belongs to: what a person answers, and what a
// record offers where that is in doubt.
type BelongsTo struct {
	To   string `json:"to" doc:"kind of place: level.output, power, size, part, meas.ripple, cond.mains, aside.other, none, …"`
	Port string `json:"port,omitempty" doc:"of a level or a power: the port, ports in use together joined by +, or none"`
	Part string `json:"part,omitempty" doc:"of a part: its kind, as the record names it"`
}

// Words puts the place in words: "output level, USB-C1".
func (b BelongsTo) Words() string {
	kind, of := b.Phrases()
	if len(of) == 0 {
		return kind
	}
	return kind + ", " + strings.Join(of, "+")
}

// Phrases puts the place in words, the kind of place and, apart, what it is of: the
// ports in use together, or the part.
func (b BelongsTo) Phrases() (kind string, of []string) {
	kind = belongsWords(b.To)
	switch {
	case b.Port == NoPort:
		of = []string{"of no port"}
	case b.Port != "":
		of = strings.Split(PortWords(b.Port), "+")
	}
	if b.Part != "" {
		of = append(of, b.Part)
	}
	return kind, of
}

// Nothing reports whether the place is none of the product's.
func (b BelongsTo) Nothing() bool {
	return b.To == "none" || b.To == "aside" || strings.HasPrefix(b.To, "aside.")
}

// NoPort is the port of a level or a power that is said of no port.
const NoPort = "none"

// Belonging is one thing that a quantity may belong to.
type Belonging struct {
	Place      BelongsTo `json:"place" doc:"as an answer takes it"`
	Words      string    `json:"words" doc:"the same in plain words"`
	Confidence float64   `json:"confidence" doc:"probability, 0 to 1"`
	Taken      bool      `json:"taken,omitempty" doc:"it was put there"`
}

// A PlaceDoubt says how sure it is that a quantity belongs where it was put.
type PlaceDoubt uint8

// From the surest. PlaceUnlikely is a place that is no likelier than all else
// together.
const (
	PlaceSure PlaceDoubt = iota
	PlaceUncertain
	PlaceUnlikely
)

// placeEven is the probability up to which a place is no likelier than all else.
const placeEven = 0.5

// Mark is the sign behind a value whose place is in doubt, "" where it is sure.
func (d PlaceDoubt) Mark() string { return [...]string{"", "†", "‡"}[d] }

// Words says what the sign means, "" where there is none.
func (d PlaceDoubt) Words() string {
	return [...]string{"", "may belong elsewhere", "probably belongs elsewhere"}[d]
}

// PlaceDoubt says how sure the place of the quantity is.
func (s *Said) PlaceDoubt() PlaceDoubt {
	if len(s.Belongs) == 0 || s.BelongsSettled {
		return PlaceSure
	}
	if s.Place == "" || s.PlaceShare() > placeEven {
		return PlaceUncertain
	}
	return PlaceUnlikely
}

// PlaceShare is the probability that a quantity whose place is in doubt belongs to
// the field that it fills: that of the candidate taken. Where none was, a field
// that says little took it ("mode not stated"), and the likeliest of the fields is
// the most that it can be.
func (s *Said) PlaceShare() float64 {
	most := 0.0
	for i := range s.Belongs {
		b := &s.Belongs[i]
		if b.Place.Nothing() {
			continue
		}
		if b.Taken {
			return b.Confidence
		}
		most = max(most, b.Confidence)
	}
	return most
}

// FieldOf reports whether the quantity stands in the field of one of the places that
// it may belong to.
func (s *Said) FieldOf(b *Belonging) bool { return b.Taken && s.Place != "" && !b.Place.Nothing() }

// PlaceDoubtOf says how sure it is that a value belongs where it stands: as sure
// as the surest of the quantities that say it. One that several quantities make
// up, "3 hours 10 minutes", is as sure as the least sure of them.
func (r *Record) PlaceDoubtOf(v *Value) PlaceDoubt {
	least, most, whole := PlaceUnlikely, PlaceSure, false
	for _, n := range v.Said {
		s := r.Quantity(n)
		if s == nil {
			continue
		}
		d := s.PlaceDoubt()
		most = max(most, d)
		if s.Quantity.Same(v.Quantity) {
			least, whole = min(least, d), true
		}
	}
	if whole {
		return least
	}
	return most
}

// Aside says why a quantity is of nothing of the product.
type Aside uint8

// The asides. The zero value is a quantity that is none.
const (
	AsideNone    Aside = iota
	AsideOther         // of another product
	AsidePrice         // of what it costs
	AsideProcess       // of how it was opened or filmed
	AsideGeneral       // of the trade in general
)

var asideNames = [...]string{"", "other_product", "price", "process", "general"}

func (a Aside) String() string { return enumName(asideNames[:], a) }

// Words puts the aside in words for people, "" for none.
func (a Aside) Words() string {
	if a == AsideNone {
		return ""
	}
	return wordingOf("aside", a.String())
}

// ParseAside reads an aside by its name; "" is AsideNone.
func ParseAside(s string) (Aside, error) {
	if s == "" {
		return AsideNone, nil
	}
	return parseEnum[Aside](asideNames[:], "aside", s)
}

// MarshalText writes the name, empty for none.
func (a Aside) MarshalText() ([]byte, error) {
	if a == AsideNone {
		return nil, nil
	}
	return marshalEnum(asideNames[:], "aside", a)
}

// UnmarshalText reads the name.
func (a *Aside) UnmarshalText(b []byte) (err error) {
	*a, err = ParseAside(string(b))
	return err
}

// belongsWords puts a kind of place in words: "level.output" into "level of an
// output".
func belongsWords(to string) string { return wordingOf("belongs", to) }

func wordingOf(what, name string) string {
	if w, ok := loadWording()[[2]string{what, name}]; ok {
		return w.words
	}
	return blanks.Replace(name)
}
