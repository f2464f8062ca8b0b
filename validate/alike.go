package validate

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// What a value belongs to may be in doubt between places that say the same of
// it: of a product with one port, the power of the product and that of the port.
// And a level is one thing: a current behind its voltage in one breath is of the
// level whose voltage it is, output or input.

// alikePlaces is a row of alike_places.tsv.
type alikePlaces struct {
	kind    schema.Kind
	places  []string
	onePort bool
	standard.Ground
}

var loadAlike = sync.OnceValue(func() []alikePlaces {
	var rows []alikePlaces
	for _, r := range schema.MustReadTable(tables, "tables/alike_places.tsv").Rows {
		kind, err := schema.ParseKind(r.Get("kind"))
		if err != nil {
			panic(err)
		}
		a := alikePlaces{kind: kind, places: r.List("places"), Ground: standard.GroundOf(r)}
		switch when := r.Get("when"); when {
		case "one_port":
			a.onePort = true
		case "no_port":
		default:
			panic(fmt.Sprintf("alike_places.tsv:%d: when %q", r.Line, when))
		}
		rows = append(rows, a)
	}
	return rows
})

// alike reports whether two places say the same of a value.
func alike(rec *schema.Record, kind schema.Kind, a, b schema.BelongsTo) bool {
	if a == b {
		return true
	}
	for i := range loadAlike() {
		row := &loadAlike()[i]
		if row.kind != kind || !slices.Contains(row.places, a.To) || !slices.Contains(row.places, b.To) {
			continue
		}
		if row.onePort && len(rec.Ports) == 1 && ofPort(rec, a) && ofPort(rec, b) {
			return true
		}
		if !row.onePort && portless(a) && portless(b) {
			return true
		}
	}
	return false
}

func portless(b schema.BelongsTo) bool { return b.To == "power" || b.Port == schema.NoPort }

// ofPort reports whether a place names the record's only port, or none.
func ofPort(rec *schema.Record, b schema.BelongsTo) bool {
	return portless(b) || b.Port == rec.Ports[0].Name
}

// belongs is the probability that a quantity said is where it was put, or where
// it would say the same.
func belongs(rec *schema.Record, s *schema.Said) float64 {
	if len(s.Belongs) == 0 || s.BelongsSettled || isMainsRange(&s.Quantity) {
		return 1
	}
	if s.Belongs[0].Place.To == "power" && namesIt(rec, s) || opens(rec, s) && claimsWhole(rec, s) {
		return 1
	}
	p, never := s.Belongs[0].Confidence, 0.0
	for _, b := range s.Belongs[1:] {
		switch {
		case alike(rec, s.Kind, s.Belongs[0].Place, b.Place):
			p += b.Confidence
		case impossible(rec, s, b.Place):
			never += b.Confidence
		}
	}
	if never >= 1 {
		return min(p, 1)
	}
	return min(p/(1-never), 1)
}

// namesIt reports whether the name of the product has the number of a power in it,
// as in "S45" or "Slate 45": makers name products by what they give, so the power is
// the product's.
func namesIt(rec *schema.Record, s *schema.Said) bool {
	if s.Kind != schema.KindPower || s.Quantity.Range {
		return false
	}
	number, rest := s.Quantity.Low.String(), rec.Product.Name
	for len(rest) > 0 {
		from := strings.IndexFunc(rest, isDigit)
		if from < 0 {
			return false
		}
		rest = rest[from:]
		to := strings.IndexFunc(rest, func(r rune) bool { return !isDigit(r) })
		if to < 0 {
			to = len(rest)
		}
		if rest[:to] == number {
			return true
		}
		rest = rest[to:]
	}
	return false
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// impossible reports whether a quantity said can not be at a place: no USB port has
// the voltage of the mains, none of a charger is an input, nothing is the condition of
// a reading where nothing was read, of a cell or a pack there is one charge, energy
// and mass, and a full pack has no less than its cells in series.
func impossible(rec *schema.Record, s *schema.Said, b schema.BelongsTo) bool {
	if strings.HasPrefix(b.To, "cond.") {
		return len(rec.Measurements) == 0
	}
	if inLevel(b) && strings.HasPrefix(b.Port, "USB") && (s.Kind == schema.KindVoltage &&
		s.Quantity.LowSI() >= inputs().mains.Low || b.To == "level.input" && onlyGives(rec)) {
		return true
	}
	return b.Nothing() && opens(rec, s) || taken(rec, s, b) || tooLowFull(rec, s, b)
}

// claimsWhole reports whether a quantity said was put down as a claim of the whole
// product, of no port and no direction.
func claimsWhole(rec *schema.Record, s *schema.Said) bool {
	return slices.ContainsFunc(rec.Claims, func(c schema.Claim) bool {
		return c.Port == "" && c.Mode == "" && slices.Contains(c.Value.Said, s.Number)
	})
}

// tooLowFull reports whether a voltage is below the nominal one of the cells in
// series, which a full pack is above.
func tooLowFull(rec *schema.Record, s *schema.Said, b schema.BelongsTo) bool {
	if b.To != "pack.full" || s.Kind != schema.KindVoltage || rec.Battery == nil {
		return false
	}
	c := &rec.Battery.Cell
	return c.Voltage != nil && c.Series > 0 && s.Quantity.SI() < float64(c.Series)*c.Voltage.Quantity.LowSI()
}

// onlyGives reports whether the product is a charger without a battery, whose USB
// ports give power and take none.
func onlyGives(rec *schema.Record) bool { return rec.Product.Kind == "charger" && rec.Battery == nil }

// taken reports whether a place of the battery that has one value of a kind has
// another for sure.
func taken(rec *schema.Record, s *schema.Said, b schema.BelongsTo) bool {
	if rec.Battery == nil {
		return false
	}
	for _, x := range [...]struct {
		to    string
		kind  schema.Kind
		value *schema.Value
	}{
		{"cell", schema.KindCharge, rec.Battery.Cell.Capacity},
		{"cell", schema.KindEnergy, rec.Battery.Cell.Energy},
		{"cell", schema.KindMass, rec.Battery.Cell.Mass},
		{"pack", schema.KindCharge, rec.Battery.Pack.Capacity},
		{"pack", schema.KindEnergy, rec.Battery.Pack.Energy},
		{"pack", schema.KindMass, rec.Battery.Pack.Mass},
	} {
		if x.to != b.To || x.kind != s.Kind || x.value == nil || x.value.Quantity.Same(s.Quantity) {
			continue
		}
		for _, n := range x.value.Said[:min(len(x.value.Said), place.MostLooked)] {
			if q := rec.Quantity(n); q != nil && n != s.Number && len(q.Belongs) == 0 {
				return true
			}
		}
	}
	return false
}

// placed is placeOf for argument i of a case: what of a level was said in one
// breath with its voltage is where the voltage is.
func placed(rec *schema.Record, c *Case, i int) (p float64, best *schema.Said) {
	a := &c.Args[i]
	p, best = placeOf(rec, a.Value)
	at, ok := a.Path.Level()
	if field := a.Path.Last(); p >= 1 || best == nil || !ok || field != "current" && field != "power" ||
		at >= len(rec.Levels) {
		return p, best
	}
	v := &rec.Levels[at].Voltage
	of, said := placeOf(rec, v)
	if said == nil || !together(v, a.Value) || !inLevel(best.Belongs[0].Place) ||
		len(said.Belongs) > 0 && said.Belongs[0].Place != best.Belongs[0].Place {
		return p, best
	}
	level := 0.0
	for _, b := range best.Belongs {
		if inLevel(b.Place) {
			level += b.Confidence
		}
	}
	return max(p, min(level, 1)*of), best
}

func inLevel(b schema.BelongsTo) bool { return strings.HasPrefix(b.To, "level.") }
