package validate

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/schema"
	"saywatt/validate/place"
)

// ownsPlainly says what newClaimsOf and newLevelsFor index, one pair at a time.
func ownsPlainly(c *schema.Claim, l *schema.Level, sole string) bool {
	product, f := claimMode(c.Mode)
	on, g := place.ModeOf(l.Mode)
	port := c.Port
	if port == "" && (sole != manyPorts || f != place.Input) {
		port = sole
	}
	if !isPower(c) || port != l.Port || f != g || product != "" && product != on {
		return false
	}
	return c.Protocol == "" || c.Protocol == l.Protocol || place.ProtocolOf(c.Protocol).USBPD() &&
		place.ProtocolOf(l.Protocol).USBPD()
}

// boundsPlainly says which totals a level must not exceed.
func boundsPlainly(c *schema.Claim, l *schema.Level) bool {
	product, f := claimMode(c.Mode)
	on, g := place.ModeOf(l.Mode)
	return isPower(c) && c.Port == "" && c.Protocol == "" && f == place.Output &&
		(g == place.Output || g == place.Shared) &&
		(product == "" || product == on)
}

// drawOwners makes a record of claims and levels that share few ports, modes
// and protocols.
func drawOwners(t *rapid.T) *schema.Record {
	pick := func(name string, from ...string) string { return rapid.SampledFrom(from).Draw(t, name) }
	r := &schema.Record{}
	for range rapid.IntRange(0, 12).Draw(t, "claims") {
		r.Claims = append(r.Claims, schema.Claim{Property: pick("property", "power", "power", "frequency"),
			Mode:     pick("mode", "", "input", "output", "output-shared", "mains", "mains/output", "battery/input"),
			Port:     pick("port", "", "", "USB-C1", "USB-C2", "USB-A"),
			Protocol: pick("protocol", "", "", "PD", "PPS", "QC 3.0")})
	}
	for range rapid.IntRange(0, 12).Draw(t, "levels") {
		r.Levels = append(r.Levels, schema.Level{
			Mode: pick("mode", "", "input", "output", "output-shared", "mains/output", "battery/input",
				"battery/output"),
			Port:     pick("port", "", "USB-C1", "USB-C1", "USB-C2"),
			Protocol: pick("protocol", "", "PD 3.0", "PPS", "QC 3.0")})
	}
	return r
}

// TestOwnersAreThosePlainly: the index finds what comparing each claim with
// each level finds, in order.
func TestOwnersAreThosePlainly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawOwners(t)
		sole := solePort(r)
		claims := newClaimsOf(r)
		levels := newLevelsFor(r, func(*schema.Level) bool { return true })
		for i := range r.Levels {
			l := &r.Levels[i]
			var want, got, ceilings []int
			for k := range r.Claims {
				if ownsPlainly(&r.Claims[k], l, sole) {
					want = append(want, k)
				}
			}
			claims.own(l, func(k int) bool { got = append(got, k); return true })
			if !slices.Equal(got, want) {
				t.Fatalf("level %+v has claims %v, want %v", l, got, want)
			}
			if want == nil {
				for k := range r.Claims {
					if boundsPlainly(&r.Claims[k], l) {
						want = append(want, k)
					}
				}
			}
			claims.ceilings(l, func(k int) bool { ceilings = append(ceilings, k); return true })
			if !slices.Equal(ceilings, want) {
				t.Fatalf("level %+v is under %v, want %v", l, ceilings, want)
			}
		}
		for k := range r.Claims {
			var want, got []int
			for i := range r.Levels {
				if ownsPlainly(&r.Claims[k], &r.Levels[i], sole) {
					want = append(want, i)
				}
			}
			levels.of(&r.Claims[k], func(i int) bool { got = append(got, i); return true })
			if !slices.Equal(got, want) {
				t.Fatalf("claim %+v has levels %v, want %v", r.Claims[k], got, want)
			}
		}
	})
}

// hostileRecord holds n claims and n levels, n measurements and n parts, so
// that whatever compares all with all shows.
func hostileRecord(n int) *schema.Record {
	r := &schema.Record{Version: schema.RecordVersion}
	port := func(i int) string { return "USB-C" + strings.Repeat("1", i%7+1) }
	value := func(number string, unit schema.Unit) schema.Value {
		q := schema.One(schema.MustDecimal(number), unit)
		r.Quantities = append(r.Quantities, schema.Said{Number: len(r.Quantities) + 1, Quantity: q, Kind: unit.Kind(),
			Status: schema.StatusHeard, Confidence: 1})
		return schema.Value{Quantity: q, Basis: schema.BasisClaimed, Status: schema.StatusHeard, Confidence: 1,
			Said: []int{len(r.Quantities)}}
	}
	protocols := []string{"", "PD", "PPS", "QC 3.0", "SCP"}
	modes := []string{"output", "input", "output-shared", "battery/output", "mains/output"}
	for i := range n {
		a, w := value("3", "A"), value("61", "W")
		r.Levels = append(r.Levels, schema.Level{Mode: modes[i%5], Port: port(i), Protocol: protocols[i/7%5],
			Voltage: value("20", "V"), Current: &a, Power: &w})
		c := schema.Claim{Property: "power", Mode: modes[i/3%5], Port: port(i / 2), Protocol: protocols[i/5%5],
			Value: value("45", "W")}
		if i%4 == 0 {
			c.Port = ""
		}
		r.Claims = append(r.Claims, c)
		r.Components = append(r.Components, schema.Component{Kind: "bulk capacitor", Status: schema.StatusHeard,
			Ratings: []schema.Rating{{Property: "voltage", Value: value("40", "V")}, {Property: "capacitance",
				Value: value("100", "uF")}}})
		v := value("19", "V")
		r.Measurements = append(r.Measurements, schema.Measurement{Property: "efficiency", Value: value("80", "%"),
			Condition: &schema.Condition{Port: port(i), Voltage: &v}})
	}
	return r
}

// BenchmarkHostile shows how the time of a check grows with a record in which
// everything could be compared with everything: the time for each entry stays.
func BenchmarkHostile(b *testing.B) {
	for _, n := range []int{1000, 4000, 16000} {
		b.Run(schema.NewDecimal(int64(n), 0).String(), func(b *testing.B) {
			r := hostileRecord(n)
			for b.Loop() {
				Check(r)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/entry")
		})
	}
}
