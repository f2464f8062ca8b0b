package validate

import (
	"fmt"

	"saywatt/schema"
)

const pdoSource = "USB PD R3.2 v1.2 Tables 6.6-6.17 as in handbook 2.7 (R7, R8, R12a); names of the flags 29 to 24 from memory"

// pdoDecode reads a power data object as meters and sniffers show it.
var pdoDecode = &Calculator{
	Name:     "pdo-decode",
	Doc:      "what a USB PD power data object offers",
	Formula:  "field = bits × step: 50 mV and 10 mA, 100 mV and 50 mA for PPS, 250 mW for battery, 1 W for EPR AVS",
	Source:   pdoSource,
	Standing: StandingVerified,
	Assumptions: []string{
		"the word is a source's object; a sink's has other flags",
		"the range of an SPR AVS object is not in its word: 9 V to 15 V, and to 20 V where it states a current for that",
	},
	Run:  runPDODecode,
	Take: func(*schema.Record) []Taken { return nil },
}

func runPDODecode(a *Arguments) ([]Result, error) {
	word, err := ParsePDOWord(a.Text("word"))
	if err != nil {
		return nil, a.refuse("word", fmt.Errorf("%w: %w", ErrInputImpossible, err), "eight hex digits, or four bytes least first")
	}
	p, err := DecodePDO(word)
	if err != nil {
		return nil, a.refuse("word", fmt.Errorf("%w: %w", ErrInputImpossible, err), "")
	}
	return p.results(), nil
}

// pdoEncode makes the word of an object.
var pdoEncode = &Calculator{
	Name:        "pdo-encode",
	Doc:         "the USB PD power data object that offers a level",
	Formula:     pdoDecode.Formula,
	Source:      pdoSource,
	Standing:    StandingVerified,
	Assumptions: []string{"fields left out are zero; bits without a field stay zero"},
	Run:         runPDOEncode,
	Take:        takeObjects,
}

func runPDOEncode(a *Arguments) ([]Result, error) {
	fields := map[string]schema.Quantity{}
	for _, in := range a.inputs {
		if in.Text || !a.Has(in.Name) {
			continue
		}
		if _, err := a.single(in.Name); err != nil {
			return nil, err
		}
		q := a.Quantity(in.Name)
		if q.Unit == "1" {
			q.Unit = ""
		}
		fields[in.Name] = q
	}
	p, err := EncodePDO(a.Text("kind"), fields)
	if err != nil {
		return nil, a.refuse("kind", fmt.Errorf("%w: %w", ErrInputImpossible, err), "")
	}
	return p.results(), nil
}

// results lists the object field by field; flags that are not set are left
// out.
func (p PDO) results() []Result {
	results := []Result{
		{Name: "word", Doc: "the object", Text: fmt.Sprintf("0x%08X", p.Word)},
		{Name: "bytes", Doc: "as sent, least first", Text: fmt.Sprintf("%02X %02X %02X %02X", byte(p.Word), byte(p.Word>>8), byte(p.Word>>16), byte(p.Word>>24))},
		{Name: "kind", Doc: "kind of object", Text: p.Kind},
	}
	if p.Kind == "spr-avs" {
		results = append(results, Result{Name: "voltage", Doc: "range, implied by the kind", Quantity: p.Voltage()})
	}
	for _, f := range p.Fields {
		switch {
		case f.Quantity.Unit != "":
			results = append(results, Result{Name: f.Name, Doc: f.Doc, Quantity: f.Quantity})
		case f.Raw != 0:
			results = append(results, Result{Name: f.Name, Doc: f.Doc, Text: fmt.Sprint(f.Raw)})
		}
	}
	if i, ok := p.Current(); ok && p.Kind != "spr-avs" {
		w := p.Voltage().High.Mul(i.Low).Trim()
		results = append(results, Result{Name: "power_max", Doc: "highest voltage × current", Quantity: schema.One(w, "W")})
	}
	if p.Reserved != 0 {
		results = append(results, Result{Name: "reserved", Doc: "bits set that no field uses", Text: fmt.Sprintf("0x%08X", p.Reserved)})
	}
	return results
}

// takeObjects offers the PD and PPS output levels of a record as objects.
func takeObjects(r *schema.Record) []Taken {
	var taken []Taken
	for i := range r.Levels {
		l := &r.Levels[i]
		if l.Current == nil || isInput(l.Mode) {
			continue
		}
		t := Taken{Label: offerLabel(l)}
		kind := func(s string) {
			t.Given = append(t.Given, Given{Input: "kind", Text: s, From: item("levels", i, "protocol").String()})
		}
		switch q, p := l.Voltage.Quantity, protocolOf(l.Protocol); {
		case p == protocolPD && !q.Range:
			kind("fixed")
			t.take("voltage", &l.Voltage, item("levels", i, "voltage"))
		case p == protocolPPS && q.Range:
			kind("pps")
			from := item("levels", i, "voltage").String()
			t.Given = append(t.Given,
				Given{Input: "voltage_min", Quantity: schema.One(q.Low, q.Unit), From: from},
				Given{Input: "voltage_max", Quantity: schema.One(q.High, q.Unit), From: from})
		default:
			continue
		}
		t.take("current", l.Current, item("levels", i, "current"))
		taken = append(taken, t)
	}
	return taken
}
