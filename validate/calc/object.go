package calc

import (
	"errors"
	"fmt"
	"strings"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

const pdoSource = "USB PD R3.2 v1.2 Tables 6.6-6.17 as in handbook 2.7 (R7, R8, R12a)"

// pdoDecode reads a power data object as meters and sniffers show it.
var pdoDecode = &Calculator{
	Name:     "pdo-decode",
	Doc:      "what a USB PD power data object offers",
	Formula:  "field = bits × step: 50 mV and 10 mA, 100 mV and 50 mA for PPS, 250 mW for battery, 1 W for EPR AVS",
	Source:   pdoSource,
	Standing: standard.Verified,
	Assumptions: []string{
		"the word is a source's object; a sink's has other flags",
		"the range of an SPR AVS object is not in its word: 9 V to 15 V, and to 20 V where it states a current for " +
			"that",
	},
	Run:        runPDODecode,
	Take:       takeNothing,
	Unrecorded: "word",
}

func runPDODecode(a *Arguments) ([]Result, error) {
	word, err := parsePDOWord(a.text("word"))
	if err != nil {
		return nil, a.refuse("word", fmt.Errorf("%w: %w", ErrInputImpossible, err),
			"eight hex digits, or four bytes least first")
	}
	p, err := decodePDO(word)
	if err != nil {
		return nil, a.refuse("word", fmt.Errorf("%w: %w", ErrInputImpossible, err), "")
	}
	return append(p.results(), p.verdict()), nil
}

// pdoEncode makes the word of an object.
var pdoEncode = &Calculator{
	Name:     "pdo-encode",
	Doc:      "the USB PD power data object that offers a level",
	Formula:  pdoDecode.Formula,
	Source:   pdoSource,
	Standing: standard.Verified,
	Assumptions: []string{"fields left out are zero; bits without a field stay zero",
		"what no object can say has a verdict and no word"},
	Run:  runPDOEncode,
	Take: takeObjects,
}

func runPDOEncode(a *Arguments) ([]Result, error) {
	fields := map[string]schema.Quantity{}
	for _, in := range a.inputs {
		if in.Text || !a.has(in.Name) {
			continue
		}
		if _, err := a.single(in.Name); err != nil {
			return nil, err
		}
		q := a.quantity(in.Name)
		if q.Unit == "1" {
			q.Unit = ""
		}
		fields[in.Name] = q
	}
	p, err := encodePDO(a.text("kind"), fields)
	switch {
	case errors.Is(err, ErrPDOStep), errors.Is(err, ErrPDOWidth), errors.Is(err, ErrPDOOrder),
		errors.Is(err, ErrPDOEmpty):
		return []Result{{Name: "verdict", Doc: verdictDoc, Text: "no object can say it: " + err.Error()}}, nil
	case err != nil:
		return nil, a.refuse("kind", fmt.Errorf("%w: %w", ErrInputImpossible, err), "")
	}
	return append(p.results(), p.verdict()), nil
}

// results lists the object field by field; flags that are not set are left
// out.
func (p PDO) results() []Result {
	results := []Result{
		{Name: "word", Doc: "the object", Text: fmt.Sprintf("0x%08X", p.Word)},
		{Name: "bytes", Doc: "as sent, least first",
			Text: fmt.Sprintf("%02X %02X %02X %02X", byte(p.Word), byte(p.Word>>8), byte(p.Word>>16),
				byte(p.Word>>24))},
		{Name: "kind", Doc: "kind of object", Text: p.Kind},
	}
	if p.Kind == "spr-avs" {
		results = append(results, Result{Name: "voltage", Doc: "range, implied by the kind", Quantity: p.voltage()})
	}
	for _, f := range p.Fields {
		switch {
		case f.Quantity.Unit != "":
			results = append(results, Result{Name: f.Name, Doc: f.Doc, Quantity: f.Quantity})
		case f.Raw != 0:
			results = append(results, Result{Name: f.Name, Doc: f.Doc, Text: fmt.Sprint(f.Raw)})
		}
	}
	if i, ok := p.current(); ok && p.Kind != "spr-avs" {
		max := Result{Name: "power_max", Doc: "highest voltage × current",
			Quantity: schema.One(p.voltage().High.Mul(i.Low).Trim(), "W")}
		if f := p.field("power_limited"); f != nil && f.Raw != 0 {
			max.Text, max.Quantity = "not given: the source limits its power to its rating, which is not in the word",
				schema.Quantity{}
		}
		results = append(results, max)
	}
	if p.Reserved != 0 {
		results = append(results, Result{Name: "reserved", Doc: "bits set that no field uses",
			Text: fmt.Sprintf("0x%08X", p.Reserved)})
	}
	return results
}

const (
	verdictDoc = "whether a USB source may offer it"
	withinUSB  = "within what a USB source may offer"
)

// verdict says whether a USB source may offer the object: the word can say
// more than connector, cables and standard allow.
func (p PDO) verdict() Result {
	r := Result{Name: "verdict", Doc: verdictDoc, Text: withinUSB}
	var beyond []string
	limit := func(what string, got schema.Decimal, unit schema.Unit, low, high schema.Decimal) {
		q := schema.One(got, unit).String()
		switch {
		case got.Cmp(high) > 0:
			beyond = append(beyond, what+" "+q+" is above "+schema.One(high, unit).String())
		case got.Cmp(low) < 0:
			beyond = append(beyond, what+" "+q+" is below "+schema.One(low, unit).String())
		}
	}
	v := p.voltage()
	switch p.Kind {
	case "fixed":
		span := standard.Exact("pd.voltage")
		limit("voltage", v.High, "V", span.Low, span.High)
	case "pps":
		limit("highest voltage", v.High, "V", schema.Decimal{}, constant("pd.voltage.spr"))
		limit("lowest voltage", v.Low, "V", constant("pps.low.early"), v.High)
	case "epr-avs":
		span := standard.Exact("pd.voltage")
		limit("highest voltage", v.High, "V", schema.Decimal{}, span.High)
	default: // battery and variable objects
		limit("highest voltage", v.High, "V", schema.Decimal{}, standard.Exact("pd.voltage").High)
	}
	for _, name := range []string{"current", "current_15v", "current_20v"} {
		if f := p.field(name); f != nil {
			limit("current", f.Quantity.Low, "A", schema.Decimal{}, constant("pd.current"))
		}
	}
	if f := p.field("power"); f != nil {
		limit("power", f.Quantity.Low, "W", schema.Decimal{}, constant("usb.power"))
	}
	if beyond != nil {
		r.Text = "no USB source may offer it: " + strings.Join(beyond, "; ")
	}
	return r
}

// takeObjects offers the output levels of a record that USB PD has an object
// for: fixed and programmable ones. Of the others it says why not.
func takeObjects(r *schema.Record) []Taken {
	var taken []Taken
	for i := range r.Levels {
		if !place.IsInput(r.Levels[i].Mode) {
			taken = append(taken, takeObject(&r.Levels[i], i))
		}
	}
	return taken
}

// noCurrent is why a level without a current has no object.
const noCurrent = "no current was said"

// takeObject offers the level at place i. A fixed level of a USB-C port without
// a protocol given is taken for USB PD.
func takeObject(l *schema.Level, i int) Taken {
	t := Taken{Label: offerLabel(l)}
	if l.Current == nil {
		t.Skipped = noCurrent
		return t
	}
	kind := func(s string) {
		from := place.Item("levels", i, "protocol").String()
		if l.Protocol == "" {
			from = "no protocol given, taken for USB PD"
		}
		t.Given = append(t.Given, Given{Input: "kind", Text: s, From: from})
	}
	switch q, p := l.Voltage.Quantity, place.ProtocolOf(l.Protocol); {
	case place.IsFixedPD(l) && !q.Range:
		kind("fixed")
		t.take("voltage", &l.Voltage, place.Item("levels", i, "voltage"))
	case p == place.PPS && q.Range:
		kind("pps")
		from, open := place.Item("levels", i, "voltage").String(), l.Voltage.Status == schema.StatusOpen
		t.Given = append(t.Given,
			Given{Input: "voltage_min", Quantity: schema.One(q.Low, q.Unit), From: from, Open: open},
			Given{Input: "voltage_max", Quantity: schema.One(q.High, q.Unit), From: from, Open: open})
	default:
		t.Skipped = noObject(l, p)
		return t
	}
	t.take("current", l.Current, place.Item("levels", i, "current"))
	return t
}

// noObject says why a level has no power data object.
func noObject(l *schema.Level, p place.Protocol) string {
	switch {
	case p >= place.AVS && p <= place.AVSSPR:
		return "an adjustable (AVS) object states what a level does not say"
	case place.SocketOf(l.Port) == place.SocketC && l.Protocol == "":
		return "a range without a protocol given: PPS and AVS have different objects"
	case l.Protocol == "":
		return "not a USB-C level"
	}
	return l.Protocol + " is not offered by USB PD objects"
}
