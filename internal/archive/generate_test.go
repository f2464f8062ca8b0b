package archive

import (
	"fmt"
	"math/rand/v2"
	"strings"

	"saywatt/schema"
)

// generated makes a review of an invented product by an invented maker, the
// same for the same number: 60 to 110 quantities, as long reviews have.
func generated(n int) *schema.Record {
	g := &generator{Rand: rand.New(rand.NewPCG(7, uint64(n)))}
	r := &schema.Record{Version: schema.RecordVersion, Cautions: []string{"Lithium cells must not be opened."}}
	g.r = r
	maker := pick(g, makerHeads) + pick(g, makerTails)
	r.Product = schema.Product{Kind: pick(g, kinds), Maker: maker, Name: maker + " " + pick(g, lines) +
		fmt.Sprint(" ", 10+g.IntN(400)), Model: fmt.Sprintf("%c%c-%d", 'A'+g.IntN(26), 'A'+g.IntN(26), 100+g.IntN(900))}
	r.Source = schema.Source{File: fmt.Sprintf("review-%06d.vtt", n), SHA256: fmt.Sprintf("%064x", n+1), Format: "vtt"}
	for _, axis := range []string{"length", "width", "height"} {
		r.Body.Dimensions = append(r.Body.Dimensions,
			g.value(axis, fmt.Sprintf("%d.%d mm", 20+g.IntN(150), g.IntN(10)), schema.BasisMeasured))
	}
	r.Body.Mass = g.ptr("weighs", fmt.Sprintf("%d g", 40+g.IntN(2000)), schema.BasisMeasured)
	for port := range 1 + g.IntN(3) {
		name := fmt.Sprintf("USB-C%d", port+1)
		top := pick(g, []int{20, 30, 45, 65, 100, 140})
		r.Ports = append(r.Ports, schema.Port{Name: name, Protocols: []string{"PD", pick(g, protocols)}})
		r.Claims = append(r.Claims, schema.Claim{Property: "power", Mode: "output", Port: name,
			Value: g.value("up to", fmt.Sprintf("%d W", top), schema.BasisClaimed)})
		for _, v := range []int{5, 9, 12, 15, 20} {
			a := min(300, 100*top/v)
			r.Levels = append(r.Levels, schema.Level{Mode: "output", Port: name, Protocol: "PD",
				Voltage: g.value("gives", fmt.Sprintf("%d V", v), schema.BasisLabel),
				Current: g.ptr("at", fmt.Sprintf("%d.%02d A", a/100, a%100), schema.BasisLabel)})
		}
		r.Levels = append(r.Levels, schema.Level{Mode: "output", Port: name, Protocol: pick(g, protocols),
			Voltage: g.value("runs", fmt.Sprintf("3.3..%d V", pick(g, []int{11, 16, 21})), schema.BasisLabel),
			Current: g.ptr("at", fmt.Sprintf("%d A", 2+g.IntN(4)), schema.BasisLabel)})
	}
	if strings.Contains(r.Product.Kind, "power") {
		cells := 1 + g.IntN(6)
		mah := 100 * (20 + g.IntN(35))
		r.Battery = &schema.Battery{Cell: schema.Cell{Format: pick(g, formats), Count: cells,
			Maker: pick(g, makerHeads) + "cell", Chemistry: "lithium ion",
			Capacity: g.ptr("cells of", fmt.Sprintf("%d mA.h", mah), schema.BasisLabel),
			Voltage:  g.ptr("at", "3.6 V", schema.BasisLabel)}}
		r.Battery.Pack.Energy = g.ptr("together", fmt.Sprintf("%d.%d W.h", cells*mah*36/10000, g.IntN(10)),
			schema.BasisClaimed)
	}
	for range 8 + g.IntN(10) {
		k := partKinds[g.IntN(len(partKinds))]
		c := schema.Component{Board: pick(g, []string{"main", "upright", "battery"}), Kind: k.kind, Count: g.IntN(3),
			Status: schema.StatusHeard, Heard: k.kind}
		if g.IntN(2) == 0 {
			c.Maker = pick(g, makerHeads) + pick(g, makerTails)
			c.Part = fmt.Sprintf("%c%c%d", 'A'+g.IntN(26), 'A'+g.IntN(26), 1000+g.IntN(300))
		}
		for _, rating := range k.ratings {
			c.Ratings = append(c.Ratings, schema.Rating{Property: rating.property,
				Value: g.value(k.kind, pick(g, rating.values), schema.BasisLabel)})
		}
		r.Components = append(r.Components, c)
	}
	for range 4 + g.IntN(8) {
		r.Measurements = append(r.Measurements,
			schema.Measurement{Property: "efficiency",
				Value: g.value("measures", fmt.Sprintf("%d.%d %%", 80+g.IntN(15), g.IntN(10)),
					schema.BasisMeasured),
				Condition: &schema.Condition{Mains: g.ptr("on", "230 V", schema.BasisMeasured)}})
		r.Measurements = append(r.Measurements,
			schema.Measurement{Property: "ripple",
				Value: g.value("ripple", fmt.Sprintf("%d mV", 10+g.IntN(300)), schema.BasisMeasured)})
		r.Measurements = append(r.Measurements,
			schema.Measurement{Property: "temperature",
				Value:   g.value("reads", fmt.Sprintf("%d.%d Cel", 30+g.IntN(50), g.IntN(10)), schema.BasisMeasured),
				Subject: "top"})
	}
	g.value("the limit is", "100 W.h", schema.BasisClaimed) // has no place
	r.Notes = append(r.Notes, schema.Note{Text: pick(g,
		[]string{"the lid is glued", "the screws are hidden", "clean soldering throughout"})})
	return r
}

var (
	makerHeads = []string{"Orrin", "Oak", "Pier", "Glim", "Salt", "Fell", "Quay", "Tarn", "Moor", "Wick", "Lark",
		"Hale", "Birch", "Cove", "Dunn", "Esk"}
	makerTails = []string{"dale", "wharf", "wick", "merby", "marrow", "wright", "haven", "stead", "ford", "lund",
		"mere", "gate"}
	kinds     = []string{"charger", "power bank", "power station", "cable", "wireless charger"}
	lines     = []string{"Jetty", "Atrium", "Mini", "Lantern", "Ferry", "Beacon", "Sluice", "Harbour"}
	protocols = []string{"PPS", "AVS", "UFCS", "QC 3.0", "SCP"}
	formats   = []string{"18650", "21700", "26650", "pouch"}
	partKinds = []struct {
		kind    string
		ratings []struct {
			property string
			values   []string
		}
	}{
		{"bulk capacitor", []struct {
			property string
			values   []string
		}{{"voltage", []string{"400 V", "420 V", "450 V"}},
			{"capacitance", []string{"33 uF", "47 uF", "68 uF", "82 uF", "100 uF", "330 uF"}}}},
		{"fuse", []struct {
			property string
			values   []string
		}{{"current", []string{"2 A", "2.5 A", "3.15 A", "315 mA", "4 A"}}, {"voltage", []string{"250 V"}}}},
		{"sync rectifier MOSFET", []struct {
			property string
			values   []string
		}{{"voltage", []string{"60 V", "80 V", "100 V"}},
			{"on_resistance", []string{"1.2 mOhm", "6.8 mOhm", "9.5 mOhm", "0.012 Ohm"}}}},
		{"NTC thermistor", []struct {
			property string
			values   []string
		}{{"resistance", []string{"10 kOhm", "5 Ohm", "100 kOhm"}}}},
		{"inductor", []struct {
			property string
			values   []string
		}{{"inductance", []string{"3.3 uH", "4.7 uH", "10 uH"}}}},
	}
)

type generator struct {
	*rand.Rand
	r *schema.Record
}

func pick[T any](g *generator, from []T) T { return from[g.IntN(len(from))] }

// value says a quantity.
func (g *generator) value(lead, q string, basis schema.Basis) schema.Value {
	n := len(g.r.Quantities) + 1
	quantity := schema.MustQuantity(q)
	at := schema.Seconds(n) * 2300
	status := schema.StatusHeard
	heard := strings.ReplaceAll(quantity.Low.String()+" "+string(quantity.Unit), "..", " to ")
	switch x := g.IntN(20); {
	case x < 3:
		status = schema.StatusRepaired
		heard = strings.ReplaceAll(heard, ".", "") + " or so"
	case x == 3:
		status = schema.StatusOpen
	}
	confidence := 0.9 + float64(g.IntN(100))/1000
	s := schema.Said{Number: n, At: &at, Media: fmt.Sprintf("#t=%s,%s", at, at+2000),
		Span: schema.Span{Start: 40 * n, End: 40*n + len(heard)}, Heard: heard,
		Context: "and here it " + lead + " " + heard + " as we can see", Kind: quantity.Unit.Kind(), Quantity: quantity,
		Place: fmt.Sprintf("notes[%d]", n), Status: status, Confidence: confidence,
		Readings: []schema.Reading{{Quantity: quantity, Confidence: confidence}}, Why: []string{"as heard"}}
	g.r.Quantities = append(g.r.Quantities, s)
	g.r.Counts.Said++
	g.r.Counts.Count(&s, 1)
	return schema.Value{Quantity: quantity, Basis: basis, Status: status, Confidence: confidence, Said: []int{n}}
}

func (g *generator) ptr(lead, q string, basis schema.Basis) *schema.Value {
	v := g.value(lead, q, basis)
	return &v
}
