package calc

import (
	"errors"
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"saywatt/schema"
)

// TestPDOWords decodes the published words W01 to W37 of handbook 11.1 and
// encodes them again. Sources: public firmware tables, captures and test
// constants, handbook references R11, R12 and R49; W08's decoding and W23 are
// computed.
func TestPDOWords(t *testing.T) {
	tests := []struct {
		id   string
		word uint32
		want string // kind, voltage, then what the object states
	}{
		{"W01", 0x0001912C, "fixed 5 V 3 A"},
		{"W02", 0x0801912C, "fixed 5 V 3 A"},
		{"W03", 0x2C01912C, "fixed 5 V 3 A"},
		{"W04", 0x0002D12C, "fixed 9 V 3 A"},
		{"W05", 0x0002D096, "fixed 9 V 1.5 A"},
		{"W06", 0x0802D0C8, "fixed 9 V 2 A"},
		{"W07", 0x0802D0FA, "fixed 9 V 2.5 A"},
		{"W08", 0x0002D0DE, "fixed 9 V 2.22 A"},
		{"W09", 0x0803C096, "fixed 12 V 1.5 A"},
		{"W10", 0x0803C0FA, "fixed 12 V 2.5 A"},
		{"W11", 0x0003C12C, "fixed 12 V 3 A"},
		{"W12", 0x0804B0B4, "fixed 15 V 1.8 A"},
		{"W13", 0x0804B0F0, "fixed 15 V 2.4 A"},
		{"W14", 0x0004B12C, "fixed 15 V 3 A"},
		{"W15", 0x080640B4, "fixed 20 V 1.8 A"},
		{"W16", 0x08064087, "fixed 20 V 1.35 A"},
		{"W17", 0x000640E1, "fixed 20 V 2.25 A"},
		{"W18", 0x0006412C, "fixed 20 V 3 A"},
		{"W19", 0x00064145, "fixed 20 V 3.25 A"},
		{"W20", 0x000641F4, "fixed 20 V 5 A"},
		{"W21", 0x0008C1F4, "fixed 28 V 5 A"},
		{"W22", 0x0008C12C, "fixed 28 V 3 A"},
		{"W23", 0x000B41F4, "fixed 36 V 5 A"},
		{"W24", 0x000F01F4, "fixed 48 V 5 A"},
		{"W25", 0x9901912C, "variable 5–20 V 3 A"},
		{"W26", 0x59019078, "battery 5–20 V 30 W"},
		{"W27", 0xC076213C, "pps 3.3–5.9 V 3 A"},
		{"W28", 0xC0DC213C, "pps 3.3–11 V 3 A"},
		{"W29", 0xC8DC2128, "pps 3.3–11 V 2 A limited"},
		{"W30", 0xC9402130, "pps 3.3–16 V 2.4 A limited"},
		{"W31", 0xC1A4213C, "pps 3.3–21 V 3 A"},
		{"W32", 0xC1A42164, "pps 3.3–21 V 5 A"},
		{"W33", 0xC9A4212D, "pps 3.3–21 V 2.25 A limited"},
		{"W34", 0xD230968C, "epr-avs 15–28 V 140 W"},
		{"W35", 0xD3C096F0, "epr-avs 15–48 V 240 W"},
		{"W36", 0xE004B0E1, "spr-avs 9–20 V 3 A 2.25 A"},
		{"W37", 0x0002D0BC, "fixed 9 V 1.88 A"}, // the trap: circulates as 9 V 3 A
	}
	if len(tests) != 37 {
		t.Fatalf("%d words, want all 37", len(tests))
	}
	for _, tt := range tests {
		p, err := decodePDO(tt.word)
		if err != nil {
			t.Errorf("%s: %v", tt.id, err)
			continue
		}
		if got := printPDO(p); got != tt.want {
			t.Errorf("%s: decodePDO(0x%08X) = %s, want %s", tt.id, tt.word, got, tt.want)
		}
		if p.Reserved != 0 {
			t.Errorf("%s: reserved bits 0x%X", tt.id, p.Reserved)
		}
		again, err := encodePDO(p.Kind, p.values())
		if err != nil || again.Word != tt.word {
			t.Errorf("%s: encoded again 0x%08X, %v, want 0x%08X", tt.id, again.Word, err, tt.word)
		}
	}
}

// printPDO writes kind, voltage, and every value that is no voltage.
func printPDO(p PDO) string {
	s := p.Kind + " " + p.voltage().String()
	for _, f := range p.Fields {
		if u := f.Quantity.Unit; u == "A" || u == "W" {
			s += " " + f.Quantity.String()
		}
	}
	if f := p.field("power_limited"); f != nil && f.Raw == 1 {
		s += " limited"
	}
	return s
}

// values is the object as encodePDO takes it.
func (p PDO) values() map[string]schema.Quantity {
	m := map[string]schema.Quantity{}
	for _, f := range p.Fields {
		m[f.Name] = f.Quantity
	}
	return m
}

// TestPDOFlags reads the flags of W03, whose bits 29, 27 and 26 are set.
// Names of these flags: USB PD R3.x Table 6-9, as the Linux kernel's pd.h has them.
func TestPDOFlags(t *testing.T) {
	p, err := decodePDO(0x2C01912C)
	if err != nil {
		t.Fatal(err)
	}
	var set []string
	for _, f := range p.Fields {
		if f.Quantity.Unit == "" && f.Raw != 0 {
			set = append(set, f.Name)
		}
	}
	if got, want := fmt.Sprint(set), "[dual_role_power unconstrained_power usb_communications]"; got != want {
		t.Errorf("flags of 0x2C01912C = %s, want %s", got, want)
	}
}

func TestPDOErrors(t *testing.T) {
	decode := []struct {
		word uint32
		want error
	}{
		{0xF0000000, ErrPDOReserved}, // bits 31:28 = 1111
		{0x00000000, ErrPDOEmpty},
		{0x0001900A &^ 0x3FF, ErrPDOEmpty}, // 5 V 0 A
		{0xC021763C, ErrPDOOrder},          // 5.9 V to 3.3 V
	}
	for _, tt := range decode {
		if _, err := decodePDO(tt.word); !errors.Is(err, tt.want) {
			t.Errorf("decodePDO(0x%08X): %v, want %v", tt.word, err, tt.want)
		}
	}
	q := schema.MustQuantity
	encode := []struct {
		kind   string
		fields map[string]schema.Quantity
		want   error
	}{
		{"fixed", map[string]schema.Quantity{"voltage": q("20 V"), "current": q("3.253 A")}, ErrPDOStep},
		{"fixed", map[string]schema.Quantity{"voltage": q("60 V"), "current": q("3 A")}, ErrPDOWidth}, // ten bits of 50 mV end at 51.15 V
		{"fixed", map[string]schema.Quantity{"voltage": q("20 V"), "current": q("325 A")}, ErrPDOWidth},
		{"fixed", map[string]schema.Quantity{"voltage": q("20 W")}, schema.ErrUnitMismatch},
		{"fixed", map[string]schema.Quantity{"power": q("20 W")}, ErrPDOField},
		{"linear", nil, ErrPDOKind},
	}
	for _, tt := range encode {
		if _, err := encodePDO(tt.kind, tt.fields); !errors.Is(err, tt.want) {
			t.Errorf("encodePDO(%s, %v): %v, want %v", tt.kind, tt.fields, err, tt.want)
		}
	}
	// R49 byte listings
	words := map[string]uint32{"0x0001912C": 0x0001912C, "2C 91 01 00": 0x0001912C, "3C 21 DC C0": 0xC0DC213C,
		"c0dc213c": 0xC0DC213C}
	for s, want := range words {
		if got, err := parsePDOWord(s); err != nil || got != want {
			t.Errorf("parsePDOWord(%q) = 0x%08X, %v, want 0x%08X", s, got, err, want)
		}
	}
	for _, s := range []string{"", "0x", "1912C0000", "2C 91 01", "2C 91 01 100", "hello"} {
		if _, err := parsePDOWord(s); !errors.Is(err, ErrPDOWord) {
			t.Errorf("parsePDOWord(%q): %v, want %v", s, err, ErrPDOWord)
		}
	}
}

// TestPDOLayout checks each kind's fields against overlap and the layout's
// identity bits.
func TestPDOLayout(t *testing.T) {
	kinds := ""
	for _, l := range pdoLayouts() {
		kinds += l.kind + " "
		used := l.mask
		for _, f := range l.fields {
			bits := f.limit() << f.lsb
			if f.msb < f.lsb || f.msb > 31 || used&bits != 0 {
				t.Errorf("%s %s: bits %d:%d overlap or are reversed", l.kind, f.name, f.msb, f.lsb)
			}
			used |= bits
		}
	}
	if want := "fixed battery variable pps epr-avs spr-avs "; kinds != want {
		t.Errorf("kinds %q, want %q", kinds, want)
	}
}

// TestPDOWidths: the largest value that each field can carry, from the bit
// positions of handbook 2.7 (R7, R8, R12a).
func TestPDOWidths(t *testing.T) {
	want := map[string]string{
		"fixed voltage": "51.15 V", "fixed current": "10.23 A", "fixed peak_current": "3",
		"battery voltage_max": "51.15 V", "battery voltage_min": "51.15 V", "battery power": "255.75 W",
		"variable voltage_max": "51.15 V", "variable voltage_min": "51.15 V", "variable current": "10.23 A",
		"pps voltage_max": "25.5 V", "pps voltage_min": "25.5 V", "pps current": "6.35 A",
		"epr-avs voltage_max": "51.1 V", "epr-avs voltage_min": "25.5 V", "epr-avs power": "255 W", "epr-avs peak_current": "3",
		"spr-avs current_15v": "10.23 A", "spr-avs current_20v": "10.23 A",
	}
	for _, l := range pdoLayouts() {
		for _, f := range l.fields {
			w, ok := want[l.kind+" "+f.name]
			if !ok && f.msb != f.lsb {
				t.Errorf("%s %s: no width wanted", l.kind, f.name)
			}
			if got := f.quantity(f.limit()).String(); ok && got != w {
				t.Errorf("%s %s: at most %s, want %s", l.kind, f.name, got, w)
			}
			delete(want, l.kind+" "+f.name)
		}
	}
	for name := range want {
		t.Errorf("%s is not in the layout", name)
	}
}

func TestPDORoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.Uint32().Draw(t, "word")
		roundTripPDO(t, word)
	})
}

func FuzzDecodePDO(f *testing.F) {
	for _, w := range []uint32{0, 0x0001912C, 0xC1A42164, 0xE004B0E1, 0xFFFFFFFF} {
		f.Add(w)
	}
	f.Fuzz(func(t *testing.T, word uint32) { roundTripPDO(t, word) })
}

// roundTripPDO: what decodes encodes to the same word, but for reserved bits.
func roundTripPDO(t interface{ Fatalf(string, ...any) }, word uint32) {
	p, err := decodePDO(word)
	if err != nil {
		return
	}
	again, err := encodePDO(p.Kind, p.values())
	if err != nil {
		t.Fatalf("0x%08X: %v", word, err)
	}
	if again.Word != word&^p.Reserved {
		t.Fatalf("0x%08X encodes to 0x%08X", word, again.Word)
	}
	if v := p.voltage(); v.Low.Cmp(v.High) > 0 || v.Low.Sign() <= 0 {
		t.Fatalf("0x%08X: voltage %s", word, v)
	}
}
