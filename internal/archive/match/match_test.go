package match

import (
	"slices"
	"strings"
	"testing"
	"time"

	"saywatt/internal/archive/query"
	"saywatt/schema"
)

// bank is a review of a power bank with two levels and two fuses, one of which has no
// ratings.
func bank() *Subject {
	at := schema.Seconds(62_000)
	r := &schema.Record{Product: schema.Product{Kind: "power bank", Name: "Tarn 20", Maker: "Fellwright"}}
	say := func(heard, q string, s schema.Status) schema.Value {
		n := len(r.Quantities) + 1
		r.Quantities = append(r.Quantities, schema.Said{Number: n, At: &at, Heard: heard, Status: s,
			Context: "and it gives " + heard + " on the left port", Quantity: schema.MustQuantity(q)})
		return schema.Value{Quantity: schema.MustQuantity(q), Status: s, Said: []int{n}}
	}
	pointer := func(v schema.Value) *schema.Value { return &v }
	r.Levels = []schema.Level{
		{Mode: "output", Port: "USB-C1", Protocol: "PD", Voltage: say("20 volts", "20 V", schema.StatusHeard),
			Current: pointer(say("325 amps", "3.25 A", schema.StatusRepaired))},
		{Mode: "output", Port: "USB-C1", Protocol: "PPS", Voltage: say("3.3 to 11", "3.3..11 V", schema.StatusHeard),
			Current: pointer(say("5 amps", "5 A", schema.StatusHeard))},
	}
	r.Components = []schema.Component{{Kind: "input fuse", Ratings: []schema.Rating{{Property: "current",
		Value: say("2.5 amp", "2.5 A", schema.StatusHeard)}}}, {Kind: "fuse", Maker: "Odenmark"}}
	return New(Review{Name: "tarn-20", Title: "The second look", Added: time.Date(2026, 5, 4, 0, 0, 0, 0, time.UTC)}, r)
}

// A review holds what its record says, each condition within one place; what is shown are
// the facts asked for.
func TestBank(t *testing.T) {
	parse := query.Parser{Parts: func(w string) bool { return w == "fuse" || w == "input fuse" }}
	for _, c := range []struct {
		query string
		holds bool
		shown string // the paths of the matches
	}{
		{"", true, ""},
		{"voltage >= 20 V", true, "levels[0].voltage"},
		{"voltage > 20 V", false, ""},
		{"voltage 10..11 V", true, "levels[1].voltage"},
		{"voltage < 3.3 V", false, ""},
		{"voltage <= 3.3 V", true, "levels[1].voltage"},
		{"not voltage > 20 V", true, ""},
		{"power 65 W", true, "levels[0]"},
		{`level:"PD 20 V 3.25 A"`, true, "levels[0].voltage levels[0].current"},
		{`level:"PPS 20 V"`, false, ""},
		{`level:PPS`, true, "levels[1].voltage levels[1].current"},
		{`level:"20 V 5 A"`, false, ""},
		{"fuse 2.5A", true, "components[0].ratings[0]"},
		{"fuse 2500 mA", true, "components[0].ratings[0]"},
		{`part:"odenmark"`, true, "components[1].kind"},
		{"protocol:PD or voltage > 20 V", true, "levels[0].protocol"},
		{"year:2026 status:repaired", true, ""},
		{"status:open", false, ""},
		{`class:"up to 65 W"`, true, ""},
		{"review:tarn", true, ""},
		{`"second look"`, true, ""},
		{`"325 amps"`, true, "levels[0].current"},
		{"fellw*", true, "product.maker"},
		{`"left port"`, true, "levels[0].voltage"}, // of the values around the words, one a moment
	} {
		s := bank()
		q, err := parse.Parse(c.query)
		if err != nil {
			t.Fatalf("%s: %v", c.query, err)
		}
		if got := s.Holds(q.Root); got != c.holds {
			t.Errorf("%s holds: %v, want %v", c.query, got, c.holds)
		}
		var shown []string
		for _, m := range s.Matches(q.Root) {
			shown = append(shown, m.Fact.Path)
		}
		if got := strings.Join(shown, " "); got != c.shown {
			t.Errorf("%s shows %q, want %q", c.query, got, c.shown)
		}
	}
}

// The words heard of a value are marked in those around them.
func TestMarks(t *testing.T) {
	q, err := query.Parser{}.Parse("current = 3.25 A")
	if err != nil {
		t.Fatal(err)
	}
	all := bank().Matches(q.Root)
	if len(all) != 1 {
		t.Fatalf("%d matches: %+v", len(all), all)
	}
	m := all[0]
	var marked []string
	for _, s := range m.Marks {
		marked = append(marked, m.Text[s.Start:s.End])
	}
	if !slices.Equal(marked, []string{"325 amps"}) || m.Fact.Value()+m.Fact.Mark() != "3.25 A*" {
		t.Errorf("%q marked in %q, %s%s", marked, m.Text, m.Fact.Value(), m.Fact.Mark())
	}
}
