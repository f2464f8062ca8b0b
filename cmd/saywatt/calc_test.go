package main

import (
	"errors"
	"fmt"
	"testing"

	"saywatt/validate/calc"
)

// A record of several is left out where it lacks inputs and nothing else is wrong
// with it; of one refused for both reasons, what is wrong counts.
func TestLacks(t *testing.T) {
	missing := fmt.Errorf("level 1: %w",
		&calc.InputError{Calculator: "runtime", Input: "load", Err: calc.ErrInputMissing})
	wrong := errors.New("level 2: efficiency 120 % is impossible")
	for _, c := range []struct {
		what string
		err  error
		want bool
	}{
		{"nothing to start from", &calc.RecordError{Calculator: "runtime"}, true},
		{"an input missing", calc.Refused{missing}, true},
		{"two missing", calc.Refused{missing, missing}, true},
		{"one missing and one wrong", calc.Refused{missing, wrong}, false},
		{"one wrong", calc.Refused{wrong}, false},
		{"something else", wrong, false},
	} {
		if got := lacks(fmt.Errorf("record 2: %w", c.err)); got != c.want {
			t.Errorf("%s: %v", c.what, got)
		}
	}
}
