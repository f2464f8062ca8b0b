package place

import "strings"

// Flow is the direction of a level.
type Flow uint8

// The directions.
const (
	OtherFlow Flow = iota
	Input
	Output
	Shared // output while other ports are in use too
)

// ModeOf splits a mode: "mains/output" is the output in the product's mode
// "mains", "output" the output of a product with one mode, "mains" a product
// mode that says nothing of the direction.
func ModeOf(mode string) (product string, f Flow) {
	direction := mode
	if i := strings.IndexByte(mode, '/'); i >= 0 {
		product, direction = mode[:i], mode[i+1:]
	}
	switch direction {
	case "input":
		return product, Input
	case "output":
		return product, Output
	case "output-shared":
		return product, Shared
	}
	return mode, OtherFlow
}

// IsInput reports whether a level's mode is an input: "input", "mains/input".
func IsInput(mode string) bool { return mode == "input" || strings.HasSuffix(mode, "/input") }
