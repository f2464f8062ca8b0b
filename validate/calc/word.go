package calc

import (
	"fmt"
	"slices"
	"sync"

	"saywatt/schema"
	"saywatt/validate/standard"
)

// wordLayouts are those of the words that are no power data objects.
var wordLayouts = sync.OnceValue(func() []pdoLayout { return readLayouts("tables/word_fields.tsv") })

// wordCode is what a code of a field of a kind of word stands for.
type wordCode struct {
	kind, field string
	code        uint32
}

// wordMeaning is what a code stands for.
type wordMeaning struct {
	meaning string
	value   schema.Decimal // 0 where it is none to reckon with
}

var wordCodes = sync.OnceValue(func() map[wordCode]wordMeaning {
	m := map[wordCode]wordMeaning{}
	for _, r := range schema.MustReadTable(tables, "tables/word_codes.tsv").Rows {
		w := wordMeaning{meaning: r.Get("meaning")}
		if v := r.Get("value"); v != "-" {
			w.value = schema.MustQuantity(v).Low
		}
		m[wordCode{r.Get("kind"), r.Get("field"), uint32(atoi(r.Get("code")))}] = w
	}
	return m
})

// requestDecode reads what a sink asks for.
var requestDecode = &Calculator{
	Name:    "request-decode",
	Doc:     "what a USB PD request asks for",
	Formula: "field = bits × step: 10 mA, 250 mW for battery, 20 mV and 50 mA for PPS, 25 mV and 50 mA for AVS",
	Source: "USB PD R3.x §6.4.2 as in handbook 2.7 (R7, R8c); flags 26 to 24: Linux 6.1 " +
		"include/linux/usb/pd.h; flags 23 and 22, and AVS, unverified",
	Standing: standard.Verified,
	Assumptions: []string{
		"a request does not say of which kind its object is: that is in the list which it points into",
		"a variable object is asked for as a fixed one",
	},
	Run: func(a *Arguments) ([]Result, error) {
		kind := a.text("kind")
		if kind == "" {
			kind = "fixed"
		}
		_, results, err := decodeWord(a, kind, func(kind string) bool { return kind != markerKind })
		return results, err
	},
	Take:       takeNothing,
	Unrecorded: "word",
}

// markerKind is the kind of word_fields.tsv that no request has.
const markerKind = "marker"

// markerDecode reads what the chip of a cable says.
var markerDecode = &Calculator{
	Name:    "marker-decode",
	Doc:     "what the e-marker of a passive USB-C cable says",
	Formula: "each field is a code: voltage 10:9, current 6:5, speed 2:0",
	Source: "USB PD R3.2 v1.2 Table 6.42 as in handbook 2.9 (R13); speeds, longer latencies and versions from " +
		"memory; worked value: handbook 11.4 W90",
	Standing: standard.Verified,
	Assumptions: []string{"the word is the passive cable VDO, the fourth of the answer to Discover Identity",
		"the power is that of the contract, which ends at 48 V"},
	Run: func(a *Arguments) ([]Result, error) {
		fields, results, err := decodeWord(a, markerKind, func(string) bool { return true })
		if err != nil {
			return nil, err
		}
		return append(results, markerPower(fields)...), nil
	},
	Take:       takeNothing,
	Unrecorded: "word",
}

// decodeWord reads the word of a kind that is allowed, field by field.
func decodeWord(a *Arguments, kind string, allowed func(kind string) bool) ([]PDOField, []Result, error) {
	word, err := parsePDOWord(a.text("word"))
	if err != nil {
		return nil, nil, a.refuse("word", fmt.Errorf("%w: %w", ErrInputImpossible, err),
			"eight hex digits, or four bytes "+
				"least first")
	}
	layouts := wordLayouts()
	i := slices.IndexFunc(layouts, func(l pdoLayout) bool { return l.kind == kind && allowed(kind) })
	if i < 0 {
		return nil, nil, a.refuse("kind", ErrInputImpossible, "it is fixed, battery, pps or avs")
	}
	fields, reserved := layouts[i].read(word)
	var results []Result
	for _, f := range fields {
		r := Result{Name: f.Name, Doc: f.Doc}
		switch code, known := wordCodes()[wordCode{kind, f.Name, f.Raw}]; {
		case f.Quantity.Unit != "":
			r.Quantity = f.Quantity
		case known:
			r.Text = code.meaning
		case coded(kind, f.Name):
			r.Text = fmt.Sprintf("code %d, which is reserved", f.Raw)
		case f.Raw == 0:
			continue
		default:
			r.Text = fmt.Sprint(f.Raw)
		}
		results = append(results, r)
	}
	if reserved != 0 {
		results = append(results, Result{Name: "reserved", Doc: "bits set that no field uses",
			Text: fmt.Sprintf("0x%08X",
				reserved)})
	}
	return fields, results, nil
}

// coded reports whether a field has codes with a meaning.
func coded(kind, field string) bool {
	for _, r := range schema.MustReadTable(tables, "tables/word_codes.tsv").Rows {
		if r.Get("kind") == kind && r.Get("field") == field {
			return true
		}
	}
	return false
}

// markerPower is the power that the codes for voltage and current make, and
// what contradicts them.
func markerPower(fields []PDOField) []Result {
	value := func(name string) schema.Decimal {
		i := slices.IndexFunc(fields, func(f PDOField) bool { return f.Name == name })
		if i < 0 {
			return schema.Decimal{}
		}
		return wordCodes()[wordCode{markerKind, name, fields[i].Raw}].value
	}
	v, i, extended := value("voltage"), value("current"), !value("epr_capable").IsZero()
	if v.IsZero() || i.IsZero() {
		return []Result{{Name: "power", Doc: "power of the cable", Text: "none: a code is reserved"}}
	}
	high := v.Cmp(constant("cable.voltage.standard")) > 0
	if most := constant("cable.voltage.contract"); v.Cmp(most) > 0 {
		v = most
	}
	verdict := "the codes go together"
	switch strong := i.Cmp(constant("cable.current.marked")) >= 0; {
	case high && !strong:
		verdict = "50 V belongs to 5 A cables alone"
	case high && !extended:
		verdict = "50 V without the mark for the extended power range: a source stays at 20 V"
	case !high && extended:
		verdict = "marked for the extended power range, but made for 20 V"
	}
	return []Result{{Name: "power", Doc: "power of the cable", Quantity: schema.One(v.Mul(i).Trim(), "W")},
		{Name: "verdict", Doc: "whether the codes go together", Text: verdict}}
}
