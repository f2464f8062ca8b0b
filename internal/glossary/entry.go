package glossary

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"saywatt/internal/alike"
	"saywatt/schema"
)

// Entry is one name of a glossary.
type Entry struct {
	Kind    Kind
	Name    string
	Aliases []string
	Spoken  []string
	Maker   string            // of a part
	Ratings []schema.Quantity // of a part
	Package string            // of a part
	Note    string

	File string // where it stands
	Line int
}

// Kind is what an entry names.
type Kind uint8

// The kinds.
const (
	KindUnknown Kind = iota
	KindMaker
	KindPart
	KindPackage
)

var kindNames = [...]string{"", "maker", "part", "package"}

func (k Kind) String() string {
	if int(k) < len(kindNames) {
		return kindNames[k]
	}
	return fmt.Sprintf("kind(%d)", k)
}

// parseKind reads a kind by its name.
func parseKind(s string) (Kind, error) {
	if k := slices.Index(kindNames[:], s); k > 0 {
		return Kind(k), nil
	}
	return KindUnknown, fmt.Errorf("%w %q%s; there are maker, part, package", errKind, s, alike.Meant(s, kindNames[1:]))
}

// UnmarshalText reads a kind by its name, for the command line.
func (k *Kind) UnmarshalText(b []byte) (err error) {
	*k, err = parseKind(string(b))
	return err
}

// Causes of a ParseError.
var (
	errKind    = errors.New("unknown kind")
	errColumn  = errors.New("unknown column")
	errMissing = errors.New("missing")
	errTwice   = errors.New("given twice")
	errOnly    = errors.New("only a part has it")
	errName    = errors.New("no letter or digit in the name")
)

// Check reports what makes an entry unusable.
func (e *Entry) Check() error {
	switch {
	case e.Kind == KindUnknown:
		return fmt.Errorf("kind: %w", errMissing)
	case e.Name == "":
		return fmt.Errorf("name: %w", errMissing)
	case plain(e.Name) == "":
		return fmt.Errorf("name %q: %w", e.Name, errName)
	case e.Kind != KindPart && e.Maker != "":
		return fmt.Errorf("maker: %w", errOnly)
	case e.Kind != KindPart && len(e.Ratings) > 0:
		return fmt.Errorf("ratings: %w", errOnly)
	case e.Kind != KindPart && e.Package != "":
		return fmt.Errorf("package: %w", errOnly)
	}
	for _, list := range [...][]string{e.Aliases, e.Spoken} {
		for _, s := range list {
			if plain(s) == "" {
				return fmt.Errorf("name %q: %w", s, errName)
			}
		}
	}
	return nil
}

// plain is a name by its letters and digits alone, upper case: what is the
// same name in any spelling.
func plain(s string) string {
	var b strings.Builder
	for _, r := range strings.ToUpper(s) {
		if r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r > 0x7F {
			b.WriteRune(r)
		}
	}
	return b.String()
}
