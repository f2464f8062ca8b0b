package validate_test

import (
	"fmt"

	"saywatt/schema"
	"saywatt/validate"
)

// A level of 20 V and 325 A on a port sold with 65 W: the point was lost.
func ExampleCheck() {
	value := func(s string) schema.Value { return schema.Value{Quantity: schema.MustQuantity(s)} }
	current := value("325 A")
	r := &schema.Record{
		Claims: []schema.Claim{{Property: "power", Port: "USB-C1", Value: value("65 W")}},
		Levels: []schema.Level{{Mode: "output", Port: "USB-C1", Protocol: "PD", Voltage: value("20 V"),
			Current: &current}},
	}
	for _, f := range validate.Check(r) {
		fmt.Println(f.Severity, f.Paths[0], f.Message)
		if f.Proposal != nil {
			fmt.Println("would agree:", f.Proposal)
		}
	}
	// Output:
	// error levels[0].current USB-C1 PD: 20 V × 325 A is 6500 W, more than the 65 W claimed
	// would agree: 3.25 A
	// error levels[0].current USB-C1 PD: 325 A is above the 5 A that USB PD, its connector and its cables end at
}
