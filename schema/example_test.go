package schema_test

import (
	"fmt"
	"os"

	"saywatt/schema"
)

// A level said as "twenty volts at three and a quarter amps": the two
// quantities said, and the level that points to them.
func Example() {
	value := func(q string, said int) schema.Value {
		return schema.Value{Quantity: schema.MustQuantity(q), Basis: schema.BasisClaimed, Status: schema.StatusHeard,
			Confidence: 0.99, Said: []int{said}}
	}
	said := func(number int, q, heard string, start int) schema.Said {
		v := schema.MustQuantity(q)
		return schema.Said{Number: number, Heard: heard, Span: schema.Span{Start: start, End: start + len(heard)},
			Kind: v.Unit.Kind(), Quantity: v,
			Status: schema.StatusHeard, Confidence: 0.99, Place: "levels[0]"}
	}
	current := value("3.25 A", 2)
	record := &schema.Record{
		Version: schema.RecordVersion,
		Levels:  []schema.Level{{Protocol: "PD", Voltage: value("20 V", 1), Current: &current}},
		Quantities: []schema.Said{said(1, "20 V", "twenty volts", 40),
			said(2, "3.25 A", "three and a quarter amps", 56)},
	}

	level := record.Levels[0]
	heard := record.Quantity(level.Current.Said[0])
	fmt.Printf("%s comes from %q at bytes %d to %d\n", level.Current.Quantity, heard.Heard, heard.Span.Start,
		heard.Span.End)

	product := level.Voltage.Quantity.Value().Mul(level.Current.Quantity.Value())
	power, err := schema.Unit("V.A").Convert(product, "W")
	if err != nil {
		fmt.Println(err)
	}
	fmt.Printf("%s at %s is %s W\n", level.Voltage.Quantity, level.Current.Quantity, power.Trim())
	fmt.Println("3250 mA is the same:", level.Current.Quantity.Same(schema.MustQuantity("3250 mA")))

	_, err = schema.Unit("mA.h").Convert(schema.MustDecimal("20000"), "W.h")
	fmt.Println(err)
	// Output:
	// 3.25 A comes from "three and a quarter amps" at bytes 56 to 80
	// 20 V at 3.25 A is 65 W
	// 3250 mA is the same: true
	// cannot convert mA.h to W.h: units of different kind
}

func ExampleQuantity_MarshalJSON() {
	for _, s := range []string{"3.250 A", "3.3..21 V"} {
		b, err := schema.MustQuantity(s).MarshalJSON()
		if err != nil {
			fmt.Println(err)
		}
		os.Stdout.Write(append(b, '\n'))
	}
	// Output:
	// {"value":3.250,"unit":"A"}
	// {"low":3.3,"high":21,"unit":"V"}
}
