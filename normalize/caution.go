package normalize

import (
	"strings"
	"sync"

	"saywatt/schema"
)

// cautionRow is a row of cautions.tsv.
type cautionRow struct{ when, text string }

var loadCautions = sync.OnceValue(func() []cautionRow {
	var all []cautionRow
	for _, r := range schema.MustReadTable(tables, "tables/cautions.tsv").Rows {
		all = append(all, cautionRow{r.Get("when"), r.Get("text")})
	}
	return all
})

// cautions returns the cautions that go with the record, in the order of the
// table: those for every record, and those for what it tells of.
func cautions(r *schema.Record) []string {
	holds := map[string]bool{"always": true, "opened": len(r.Components) > 0}
	for i := range r.Levels {
		l := &r.Levels[i]
		if l.Port == "AC" || strings.HasSuffix(l.Mode, "input") && l.Voltage.Quantity.SI() >= mainsFloor {
			holds["mains"] = true
		}
	}
	for i := range r.Components {
		switch k := r.Components[i].Kind; k {
		case "fuse", "X capacitor", "Y capacitor", "bulk capacitor", "bridge rectifier", "common-mode choke", "primary controller",
			"GaN switch", "primary MOSFET", "PFC controller", "optocoupler", "transformer", "varistor":
			holds["mains"], holds["primary"] = true, true
		case "cell":
			holds["lithium"] = true
		case "magnet":
			holds["magnet"] = true
		}
	}
	if b := r.Battery; b != nil {
		holds["lithium"] = true
		holds["series"] = b.Cell.Series > 1
		holds["air"] = b.Pack.Energy != nil || b.Cell.Energy != nil || b.Pack.Capacity != nil
	}
	for i := range r.Measurements {
		if r.Measurements[i].Value.Quantity.Unit.Kind() == schema.KindTemperature {
			holds["temperature"] = true
		}
	}
	if strings.Contains(r.Product.Kind, "magnetic") {
		holds["magnet"] = true
	}
	if strings.Contains(r.Product.Kind, "power station") {
		holds["mains"], holds["lithium"] = true, true
	}
	var out []string
	for _, c := range loadCautions() {
		if holds[c.when] {
			out = append(out, c.text)
		}
	}
	return out
}

// mainsFloor is the lowest voltage taken for mains, in volts: 100 V less 10 %
// (IEC 60038).
const mainsFloor = 90
