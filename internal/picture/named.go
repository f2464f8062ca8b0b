package picture

import (
	"fmt"
	"strconv"
	"strings"

	"saywatt/internal/alike"
	"saywatt/schema"
)

// The names of pictures of a record. That of the readings of quantity number N is
// evidence-N.
const (
	NameLevels     = "levels"
	namePowers     = "powers"
	evidencePrefix = "evidence-"
)

// CheckName refuses what is no name of a picture.
func CheckName(name string) error {
	_, err := evidenceNumber(name)
	return err
}

// evidenceNumber checks the name of a picture; of evidence-N it returns N.
func evidenceNumber(name string) (int, error) {
	if name == NameLevels || name == namePowers {
		return 0, nil
	}
	digits, ok := strings.CutPrefix(name, evidencePrefix)
	n, err := strconv.Atoi(digits)
	if !ok || err != nil || n < 1 {
		return 0, fmt.Errorf("picture %q is not known%s; there are levels, powers, evidence-N", name,
			alike.Meant(name, []string{NameLevels, namePowers}))
	}
	return n, nil
}

// A BlankError says that a record has nothing of which there could be a picture.
type BlankError struct{ file, why string }

func (e *BlankError) Error() string { return e.file + ": " + e.why }

// Named draws the picture of a name; a BlankError where there is nothing to draw.
func Named(r *schema.Record, name string) (*Picture, error) {
	n, err := evidenceNumber(name)
	if err != nil {
		return nil, err
	}
	var p *Picture
	ok := false
	switch {
	case name == NameLevels:
		p, ok = Levels(r)
	case name == namePowers:
		p, ok = Powers(r)
	case r.Quantity(n) == nil:
		return nil, &BlankError{r.Source.File, fmt.Sprintf("there is no quantity number %d; %d were said", n,
			len(r.Quantities))}
	default:
		p, ok = Evidence(r.Quantity(n))
	}
	if !ok {
		return nil, &BlankError{r.Source.File, "nothing to draw for " + name}
	}
	return p, nil
}
