package schema

import (
	"strings"
	"testing"
)

func TestWordingTable(t *testing.T) {
	for _, r := range MustReadTable(tables, "tables/wording.tsv").Rows {
		what, name, words, means := r.Get("what"), r.Get("name"), r.Get("words"), r.Get("means")
		var got, why string
		switch what {
		case "property":
			got = PropertyWords(name)
		case "port":
			got = PortWords(name)
		case "place":
			got = RoleWords(name+".%", "")
		case "belongs":
			got = belongsWords(name)
		case "aside":
			a, err := ParseAside(name)
			if err != nil {
				t.Errorf("line %d: %v", r.Line, err)
			}
			got = a.Words()
		case "term":
			got, why = TermWords(name)
			if why != means || means == "-" {
				t.Errorf("term %s means %q, want %q", name, why, means)
			}
		default:
			t.Errorf("line %d: %q is nothing that is worded", r.Line, what)
		}
		if got != words {
			t.Errorf("%s %s is put as %q, want %q", what, name, got, words)
		}
	}
}

func TestWords(t *testing.T) {
	for _, c := range [][2]string{
		{PropertyWords("output_voltage"), "output voltage"},
		{PropertyWords("no_load_power"), "no-load power"},
		{RoleWords("level.current", ""), "current of an operating level"},
		{RoleWords("measurement.no_load_power", ""), "measured no-load power"},
		{RoleWords("component.voltage", "bulk capacitor"), "voltage of the bulk capacitor"},
		{RoleWords("component.voltage", ""), "voltage of a part"},
		{RoleWords("any.power", ""), "power"},
		{RoleWords("strange.power", ""), "strange power"},
		{RoleWords("", ""), ""},
		{PortWords("pins"), "contacts"},
		{PortWords("USB-C+pins"), "USB-C+contacts"},
		{PortWords("USB-C1"), "USB-C1"},
	} {
		if c[0] != c[1] {
			t.Errorf("put as %q, want %q", c[0], c[1])
		}
	}
}

func TestPlaceWords(t *testing.T) {
	q := func(s string) Value { return Value{Quantity: MustQuantity(s)} }
	r := &Record{
		Levels: []Level{{Mode: "mains/output", Port: "USB-C", Voltage: q("20 V")},
			{Mode: "input", Port: "AC", Voltage: q("100..240 V")}},
		Claims:       []Claim{{Property: "power", Port: "USB-C1+pins"}, {Property: "surge_power"}},
		Components:   []Component{{Kind: "fuse", Ratings: []Rating{{Property: "current"}}}},
		Measurements: []Measurement{{Property: "temperature", Subject: "top"}, {Property: "no_load_power"}},
		Body:         Body{Other: []Rating{{Property: "thickness"}}},
		Ports:        []Port{{Name: "USB-C"}},
		Quantities:   []Said{{Heard: "325\namps"}},
	}
	for path, want := range map[string]string{
		"levels[0].current":               "USB-C 20 V, current",
		"levels[0].voltage.quantity":      "USB-C 20 V, voltage",
		"levels[1].voltage":               "AC input 100–240 V, voltage",
		"claims[0]":                       "USB-C1+contacts stated power",
		"claims[1].value":                 "stated surge power",
		"components[0].ratings[0].value":  "fuse, current",
		"components[0].part":              "fuse, part",
		"measurements[0]":                 "measured temperature at the top",
		"measurements[1].condition.power": "measured no-load power, test condition, power",
		"body.dimensions[2]":              "size, side 3",
		"body.other[0].value":             "thickness",
		"body.mass":                       "product, mass",
		"battery.cell.capacity":           "cell, capacity",
		"battery.rated.voltage":           "rated output, voltage",
		"battery.pack.full":               "pack, full-charge voltage",
		"cable.length":                    "cable, length",
		"ports[0].protocols":              "port USB-C, protocols",
		"quantities[0]":                   "“325 amps”",
		"product.name":                    "product, name",
		// nothing is said of what is not there
		"levels[2].current": "levels[2].current", "claims[9]": "claims[9]", "levels[-1]": "levels[-1]", "levels[x]": "levels[x]",
		"levels[0": "levels[0", "": "", ".": ".", "components[1].kind": "components[1].kind",
	} {
		if got := r.PlaceWords(path); got != want {
			t.Errorf("%q is %q, want %q", path, got, want)
		}
	}
	for path, want := range map[string]string{
		"levels[5].voltage": "level 6, voltage", "claims[3]": "claim 4", "measurements[0].condition.power": "measurement 1, condition, power",
		"default": "default", "": "", "a rule": "a rule",
	} {
		if got := PathWords(path); got != want {
			t.Errorf("%q alone is %q, want %q", path, got, want)
		}
	}
}

func FuzzPlaceWords(f *testing.F) {
	f.Add("levels[0].current")
	f.Add("body.dimensions[9].x")
	r := sampleRecord()
	f.Fuzz(func(t *testing.T, path string) {
		if r.PlaceWords(path) == "" && path != "" {
			t.Errorf("%q has no words", path)
		}
		PathWords(path)
	})
}

func TestBelongsToPhrases(t *testing.T) {
	for _, c := range []struct {
		of   BelongsTo
		kind string
		ends int
	}{
		{BelongsTo{To: "level.output", Port: "USB-C1+USB-A"}, belongsWords("level.output"), 2},
		{BelongsTo{To: "level.output", Port: NoPort}, belongsWords("level.output"), 1},
		{BelongsTo{To: "part", Part: "bulk capacitor"}, belongsWords("part"), 1},
		{BelongsTo{To: "size"}, belongsWords("size"), 0},
	} {
		kind, ends := c.of.Phrases()
		if kind != c.kind || len(ends) != c.ends || !strings.HasPrefix(c.of.Words(), kind) {
			t.Errorf("%+v is %q of %q; want %q of %d", c.of, kind, ends, c.kind, c.ends)
		}
	}
}
