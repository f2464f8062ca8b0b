package validate

import (
	"slices"
	"sync"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// isSurface reports whether the subject of a temperature is the outside of a
// product, from the table's list of places; where none was said it may be.
func isSurface(subject string) bool { return subject == "" || slices.Contains(surfaces(), subject) }

// surfaces are the words of surfaces.tsv.
var surfaces = sync.OnceValue(func() []string {
	var words []string
	for _, r := range schema.MustReadTable(tables, "tables/surfaces.tsv").Rows {
		words = append(words, r.Get("subject"))
	}
	return words
})

// touchLimit is a row of touch_limits.tsv.
type touchLimit struct {
	contact, surface string
	products         []string // nil for any
	limit            float64  // K
	standard.Ground
}

var touchLimits = sync.OnceValue(func() []touchLimit {
	var rows []touchLimit
	for _, r := range schema.MustReadTable(tables, "tables/touch_limits.tsv").Rows {
		row := touchLimit{contact: r.Get("contact"), surface: r.Get("material"),
			limit: schema.MustQuantity(r.Get("limit") + " Cel").SI(), Ground: standard.GroundOf(r)}
		if r.Get("product") != "-" {
			row.products = r.List("product")
		}
		rows = append(rows, row)
	}
	return rows
})

// surfaceMaterials is surface_materials.tsv.
var surfaceMaterials = sync.OnceValue(func() map[string]string {
	m := map[string]string{}
	for _, r := range schema.MustReadTable(tables, "tables/surface_materials.tsv").Rows {
		m[r.Get("material")] = r.Get("surface")
	}
	return m
})

// touchLimitFor is the limit of a record's product: of its surfaces, plastic where
// none was said, and of the ways in which it is touched, the lowest.
func touchLimitFor(r *schema.Record) *touchLimit {
	surfaces := []string{}
	for _, m := range r.Body.Materials {
		if s, ok := surfaceMaterials()[m]; ok {
			surfaces = append(surfaces, s)
		}
	}
	if len(surfaces) == 0 {
		surfaces = append(surfaces, touchLimits()[0].surface)
	}
	var least *touchLimit
	for i := range touchLimits() {
		row := &touchLimits()[i]
		is := row.products == nil || slices.Contains(row.products, r.Product.Kind)
		if is && slices.Contains(surfaces, row.surface) && (least == nil || row.limit < least.limit) {
			least = row
		}
	}
	return least
}

// ruleTouchTemperature notes the touch limit without passing judgement.
var ruleTouchTemperature = &Rule{
	Name: "touch-temperature",
	Doc:  "notes a surface above the touch limit of its material and of how long it is touched",
	Detail: "IEC 62368-1 Table 38 has a limit for every material and length of touch, at 25 °C ambient: 77 °C for " +
		"plastic and 60 °C for metal that are touched for 1 s to 10 s, 48 °C for what is held over a minute, as a " +
		"power bank or a cable is. None of them is pass or fail for a reading by camera: the note only says on " +
		"which side a reading lies. The material is the one of the body, plastic where none was said. Readings of " +
		"parts inside, said by their subject (coil, transformer, chip), are no surfaces that anyone touches and " +
		"are left alone.",
	Source:   "IEC 62368-1:2018 Table 38, TS1 (77 °C: R37, the rest unverified)",
	Standing: standard.Verified,
	Severity: schema.SeverityNote,
	Relates:  []string{"measurement.temperature"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		limit := touchLimitFor(r)
		for i := range r.Measurements {
			if m := &r.Measurements[i]; m.Property == "temperature" && isSurface(m.Subject) &&
				!yield(Case{Label: measureLabel(m), Extra: limit, Args: []Arg{arg(&m.Value, place.Measurement(i))}}) {
				return
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		_, t, ok := kelvins(&q[0])
		if !ok {
			return none
		}
		if row := c.Extra.(*touchLimit); t > row.limit*(1+gridError) {
			return odd(causeAbove, t, row.limit).on(row.Source, row.Standing)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		row := c.Extra.(*touchLimit)
		return q[0].String() + " is above " + celsius(j.Limit) + ", the limit at 25 °C ambient for " + row.surface +
			" " +
			"that is " + row.contact
	},
}
