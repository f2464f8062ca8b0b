package facts

import (
	"cmp"
	"reflect"
	"strings"
	"testing"

	"saywatt/schema"
)

// Every value that stands in a place of a record is a fact with the path of its place,
// whatever fields a record comes to have: it is filled by reflection.
func TestEveryValueIsAFact(t *testing.T) {
	r := &schema.Record{}
	fill(reflect.ValueOf(r).Elem())
	said := Of(r)
	n := 0
	r.EachValue(func(v *schema.Value, pieces ...string) {
		n++
		path := strings.Join(pieces, "")
		for i := range said {
			if said[i].Path == path && said[i].Quantity == &v.Quantity {
				if strings.Contains(path, ".condition.") == said[i].OfProduct {
					t.Errorf("%s: a value of the product: %v", path, said[i].OfProduct)
				}
				return
			}
		}
		t.Errorf("%s is no fact", path)
	})
	const values = 49 // of a record in which every list has one element
	if n < values {
		t.Errorf("the record has %d values, fewer than %d: it was not filled", n, values)
	}
}

// fill fills a record: lists have one element, and quantities are of one watt.
func fill(v reflect.Value) {
	switch v.Interface().(type) {
	case schema.Value:
		v.Set(reflect.ValueOf(schema.Value{Quantity: schema.MustQuantity("1 W"), Status: schema.StatusHeard}))
		return
	case []schema.Said: // a value without words is a fact too
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString("x")
	case reflect.Int, reflect.Int64:
		v.SetInt(1)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fill(v.Elem())
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		fill(v.Index(0))
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Field(i).CanSet() {
				fill(v.Field(i))
			}
		}
	}
}

// The power of a level that nobody said follows from its voltage and current, and is as
// sure as the less sure of the two; one that was said stands alone.
func TestPowerFollows(t *testing.T) {
	value := func(q string, s schema.Status) *schema.Value {
		return &schema.Value{Quantity: schema.MustQuantity(q), Status: s, Basis: schema.BasisLabel}
	}
	for _, c := range []struct {
		name  string
		level schema.Level
		want  string // the power, "" for none
		mark  string
	}{
		{"of both", schema.Level{Voltage: *value("20 V", schema.StatusHeard), Current: value("3.25 A", schema.StatusRepaired)}, "65 W", "*"},
		{"said", schema.Level{Voltage: *value("20 V", schema.StatusHeard), Current: value("3 A", schema.StatusHeard),
			Power: value("65 W", schema.StatusHeard)}, "65 W", ""},
		{"of a range", schema.Level{Voltage: *value("3.3..21 V", schema.StatusHeard), Current: value("3 A", schema.StatusHeard)}, "", ""},
		{"of a voltage alone", schema.Level{Voltage: *value("20 V", schema.StatusHeard)}, "", ""},
	} {
		c.level.Mode = "output"
		said := Of(&schema.Record{Levels: []schema.Level{c.level}})
		var powers, marks []string
		for i := range said {
			if said[i].Property == "power" {
				powers, marks = append(powers, said[i].Value()), append(marks, said[i].Mark())
			}
		}
		if strings.Join(powers, " ") != c.want || strings.Join(marks, "") != c.mark {
			t.Errorf("%s: %q, marked %q, want %q, %q", c.name, powers, marks, c.want, c.mark)
		}
		highest, _ := HighestOutput(said)
		if want := cmp.Or(strings.TrimSuffix(c.want, " W"), "0"); highest.String() != want {
			t.Errorf("%s: the highest output is %s, want %s", c.name, highest, want)
		}
	}
}

// Quantities of one kind are compared in one unit.
func TestBase(t *testing.T) {
	base := func(q string) Base { x := schema.MustQuantity(q); return BaseOf(&x) }
	for _, c := range []struct {
		a, b string
		same bool
	}{
		{"315 mA", "0.315 A", true},
		{"20 W.h", "72 kJ", true},
		{"3.3..21 V", "3300..21000 mV", true},
		{"3.3..21 V", "3.3 V", false},
		{"5 V", "5 A", false},
		{"2 V", "2.0 V", true},
	} {
		if got := base(c.a).Same(base(c.b)); got != c.same {
			t.Errorf("%s and %s are the same: %v, want %v", c.a, c.b, got, c.same)
		}
	}
}
