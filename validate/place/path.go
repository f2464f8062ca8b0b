package place

import "strconv"

// Path is the place of a value in a record, kept in pieces because most are
// never printed: "levels[3].current", "components[2].ratings[0].value",
// "battery.cell.capacity". It is small because the cases of a record hold
// hundreds.
type Path struct {
	at     *spot
	index  int32
	rating int32 // of a component, from 1; 0 means none
}

// spot is what paths of one kind share: the list they are in, if any, and the
// field of its elements, if any.
type spot struct{ list, field string }

// The places of which a record has many.
var (
	placeLevelVoltage = &spot{"levels", "voltage"}
	placeLevelCurrent = &spot{"levels", "current"}
	placeLevelPower   = &spot{"levels", "power"}
	placeClaim        = &spot{"claims", "value"}
	placeComponent    = &spot{"components", "value"}
)

// String writes the path as findings and Said.Place have it: JSON names,
// joined by points, indices from 0.
func (p Path) String() string {
	if p.at == nil {
		return ""
	}
	b := make([]byte, 0, len("components[00].ratings[00].value"))
	if p.at.list != "" {
		b = append(append(b, p.at.list...), '[')
		b = append(strconv.AppendInt(b, int64(p.index), 10), ']')
	}
	if p.rating > 0 {
		b = append(b, ".ratings["...)
		b = append(strconv.AppendInt(b, int64(p.rating-1), 10), ']')
	}
	if p.at.field != "" {
		if len(b) > 0 {
			b = append(b, '.')
		}
		b = append(b, p.at.field...)
	}
	return string(b)
}

// Level is the index of the level that a path leads into; false for any other.
func (p Path) Level() (int, bool) { return p.in(placeLevelVoltage.list) }

// Component is the index of the part that a path leads into; false for any other.
func (p Path) Component() (int, bool) { return p.in(placeComponent.list) }

// Last is the field that a path ends with: "current", "battery.cell.capacity".
func (p Path) Last() string {
	if p.at == nil {
		return ""
	}
	return p.at.field
}

func (p Path) in(list string) (int, bool) {
	return int(p.index), p.at != nil && p.at.list == list
}

// Field is the path of a value outside lists.
func Field(name string) Path { return Path{at: &spot{field: name}} }

// Item is the path of a value in a list: of the field of that name of element
// i, or of the element itself where the name is empty.
func Item(list string, i int, name string) Path {
	return Path{at: &spot{list, name}, index: int32(i)}
}

// Level is the path of a level's voltage, current or power.
func Level(i int, name string) Path {
	switch name {
	case "voltage":
		return Path{at: placeLevelVoltage, index: int32(i)}
	case "current":
		return Path{at: placeLevelCurrent, index: int32(i)}
	case "power":
		return Path{at: placeLevelPower, index: int32(i)}
	}
	return Item("levels", i, name)
}

// Claim is the path of a claim's value.
func Claim(i int) Path { return Path{at: placeClaim, index: int32(i)} }

// Rating is the path of a component's rating.
func Rating(component, i int) Path {
	return Path{at: placeComponent, index: int32(component), rating: int32(i) + 1}
}

// Measurement is the path of a measured value.
func Measurement(i int) Path { return Path{at: placeMeasurement, index: int32(i)} }

var placeMeasurement = &spot{"measurements", "value"}
