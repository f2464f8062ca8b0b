package extract

import (
	"strings"
	"testing"

	"saywatt/schema"
)

// opened is the beginning of a teardown, so that what follows is said in one.
const opened = "Open it up. On the main board the fuse is 2 amps, 250 volts. The bulk capacitor is 400 volts, 47 " +
	"microfarads. "

// lastPart is the part named last, none where no part is spoken of.
func lastPart(d *Document) Subject {
	if n := len(d.Subjects); n > 0 {
		return d.Subjects[n-1]
	}
	return Subject{}
}

// TestPackages reads package codes in the ways they are said and shown.
func TestPackages(t *testing.T) {
	for _, c := range []struct{ said, want string }{
		{"SOT-23-6", "SOT-23-6"},
		{"SOT 23 6", "SOT-23-6"},
		{"so 23 6", "SOT-23-6"},
		{"s o t twenty three six", "SOT-23-6"},
		{"sot 236", "SOT-23-6"},
		{"sought 23", "SOT-23"},
		{"S O T 223", "SOT-223"},
		{"DFN 5 by 6", "DFN5x6"},
		{"DFN 5 X 6", "DFN5x6"},
		{"DFN5x6", "DFN5x6"},
		{"DFN 5 6", "DFN5x6"},
		{"DFN 56", "DFN5x6"},
		{"DFN 33", "DFN3x3"},
		{"DFN three by three", "DFN3x3"},
		{"d f n five by six", "DFN5x6"},
		{"the fn five by six", "DFN5x6"},
		{"DFN 3.3 by 3.3", "DFN3.3x3.3"},
		{"QFN 32", "QFN32"},
		{"QFN-24", "QFN24"},
		{"queue FN 40", "QFN40"},
		{"cue FN twenty four", "QFN24"},
		{"q f n forty", "QFN40"},
		{"Q F N 16", "QFN16"},
		{"qfn five by six", "QFN5x6"},
		{"TSSOP 16", "TSSOP-16"},
		{"t s s o p ten", "TSSOP-10"},
		{"soap 8", "SOP-8"},
		{"SSOP 10", "SSOP-10"},
		{"he SOP 8", "ESOP-8"},
		{"l q f p forty eight", "LQFP-48"},
		{"T O two twenty", "TO-220"},
		{"TO 252", "TO-252"},
		{"D pack", "TO-252"},
		{"GBU", "GBU"},
		{"A B S", "ABS"},
		{"PDFN 5 by 6", "PDFN5x6"},
		{"p d f n three by three", "PDFN3x3"},
		{"power dfn 5 6", "PDFN5x6"},
		{"udfn 2 by 2", "UDFN2x2"},
		{"QFN 33", "QFN3x3"}, // no such count, but sides
		{"so 20", ""},        // no SOT
		{"SOT 24", ""},       // no such name
		{"TO 90", ""},        // no such name
		{"TSSOP 17", ""},     // no such count
	} {
		d := find(t, opened+"The transistor is from Kestrow, 650 volts, 150 milliohms, "+c.said+".")
		if got := lastPart(d).Package; got != c.want {
			t.Errorf("%s: got %q, want %q", c.said, got, c.want)
		}
	}
}

// TestPartNumbers reads part numbers cut into letters, digits and homophones.
func TestPartNumbers(t *testing.T) {
	for _, c := range []struct{ said, part string }{
		{"KX 36 oh 5", "KX3605"},
		{"KX3605", "KX3605"},
		{"KX 2207", "KX2207"},
		{"T V 65 165 D", "TV65165D"},
		{"t v sixty five one sixty five", "TV65165"},
		{"SN 93 oh 3", "SN9303"},
		{"s n ninety three oh three", "SN9303"},
		{"see V 30 90", "CV3090"},
		{"see Z 1870", "CZ1870"},
		{"why queue 70 32", "YQ7032"},
		{"D queue 65 are 150", "DQ65R150"},
		{"d q sixty five are one ninety", "DQ65R190"},
		{"T Jay 14", "TJ14"},
		{"see zed 33 oh 8", "CZ3308"},
		{"PR 90 15 W", "PR9015W"},
		{"DQ 70 45 F", "DQ7045F"},
		{"BN 40 R 14", "BN40R14"},
		{"WK 6 10", "WK610"},
		{"HP 60 65 90", "HP606590"},
		{"KX double five 12", "KX5512"},
		{"TJ-14", "TJ-14"},
		{"TJ dash 14", "TJ-14"},
		{"T J dash fourteen", "TJ-14"},
		{"KX 36 hyphen 05", "KX36-05"},
		{"KX-3605-A1", "KX-3605-A1"},
		{"KX 3605 dash A", "KX3605-A"},
		{"SN 93 oh 3 dash T", "SN9303-T"},
		{"KX3605/2", "KX3605/2"},
		{"KX 3605 slash 2", "KX3605/2"},
		{"WK double oh 15", "WK0015"},
		{"KX double three oh five", "KX3305"},
		{"KX triple 5 2", "KX5552"},
		{"double E 3605", "EE3605"},
		{"E double U 305", "EW305"}, // a W cut into its name
		{"20", ""},                  // digits alone
		{"K", ""},                   // a letter alone
		{"PD 3.0", ""},              // a protocol
		{"is 20", ""},               // a word
		{"are 20", ""},              // one homophone and digits
		{"KX volts", ""},            // no digits
	} {
		d := find(t, opened+"The transistor from Kestrow, "+c.said+", 650 volts, 150 milliohms, QFN 32.")
		got := lastPart(d).Part
		if got != c.part {
			t.Errorf("%s: got %q, want %q", c.said, got, c.part)
		}
		if c.part == "" {
			continue
		}
		for i := range d.Mentions { // its digits are no quantities, the voltage behind it is one
			m := &d.Mentions[i]
			if int(d.Tokens[m.First].Start) < len(opened) {
				continue
			}
			if rating := m.HasUnit() && (m.Unit.Unit == "V" || m.Unit.Unit == "mOhm"); rating == (m.Not == NotCode) {
				t.Errorf("%s: %q is %q", c.said, d.Words(m.First, m.Last), m.Not)
			}
		}
	}
}

// TestMakers groups the ways captions spell one maker.
func TestMakers(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"Bridge Wexmarsh WS 408, 800 volts. GaN switch Wex marsh, WS 65, 650 volts.", "Wexmarsh; Wexmarsh"},
		{"Controller is Castrivel, CZ 2201. The PWM chip is castor Vell, see Z 1870.", "Castrivel; Castrivel"},
		{"Protector from Tarrowin, TJ 406. Buck chip, Tarrow in TJ 55 oh 6.", "Tarrowin; Tarrowin"},
		{"Controller Pralisk PR 97 20. Sync rectifier from Pray lisk PR 10 52.", "Pralisk; Pralisk"},
		{"Controller Wendrosk, WK 65 oh 4. Boost diode is silicon, when Drosk WK 12 oh 8.", "Wendrosk; Wendrosk"},
		{"Controller Tollmere KX 2207. Sync rectifier Brannick BN 1052.", "Tollmere; Brannick"},
		{"Two bulk caps from Bex home, 400 volts.", "Bex home"},
		{"before i open it six transistors from fenno far forty volts", "fenno far"},
	} {
		d := find(t, opened+c.text)
		var got []string
		for _, s := range d.Subjects[2:] {
			got = append(got, s.Maker)
		}
		if g := strings.Join(got, "; "); g != c.want {
			t.Errorf("%s\n got %s\nwant %s", c.text, g, c.want)
		}
	}
}

func TestPortsAndProtocols(t *testing.T) {
	for _, c := range []struct{ said, port string }{
		{"USB-C1", "USB-C1"}, {"USB C 1", "USB-C1"}, {"USB see one", "USB-C1"}, {"see one", "USB-C1"}, {"C1", "USB-C1"},
		{"port c 1", "USB-C1"}, {"type see", "USB-C"}, {"USB sea", "USB-C"}, {"see too", "USB-C2"}, {"usb c two", "USB-C2"},
		{"the first USB C", "USB-C1"}, {"the second u s b c", "USB-C2"}, {"you s b c", "USB-C"}, {"u s b c 3", "USB-C3"},
		{"USB A", "USB-A"}, {"USB-A", "USB-A"}, {"type A", "USB-A"}, {"the A port", "USB-A"}, {"u s b a", "USB-A"},
		{"the car socket", "car socket"}, {"DC barrel", "barrel"}, {"X T 60", "XT60"}, {"DC 55 21", "DC5521"}, {"XT 90", "XT90"},
		{"the DC port", "DC"},
	} {
		d := find(t, "Output. "+c.said+" is 9 volts 3 amps.")
		last := d.Mentions[len(d.Mentions)-1]
		if got := last.Context.Port; got != c.port {
			t.Errorf("%s: port %q, want %q", c.said, got, c.port)
		}
	}
	for _, c := range []struct{ said, protocol string }{
		{"PPS", "PPS"}, {"PPE S", "PPS"}, {"pea pea S", "PPS"}, {"p p s", "PPS"}, {"you FCS", "UFCS"}, {"u f c s", "UFCS"},
		{"AVS", "AVS"}, {"QC 3", "QC 3.0"}, {"QC 2.0", "QC 2.0"}, {"PD 3.1", "PD 3.1"}, {"p d three point one", "PD 3.1"},
		{"Petey 3.0", "PD 3.0"}, {"a FC", "AFC"}, {"SCP", "SCP"}, {"FCP", "FCP"},
	} {
		d := find(t, "Output. USB C, "+c.said+" is 9 volts 3 amps.")
		last := d.Mentions[len(d.Mentions)-1]
		if got := last.Context.Protocol; got != c.protocol {
			t.Errorf("%s: protocol %q, want %q", c.said, got, c.protocol)
		}
	}
}

// TestChipSizes reads the size of two-terminal parts, of the part just named, and
// leaves numbers that are none.
func TestChipSizes(t *testing.T) {
	for _, c := range []struct{ said, part, want string }{
		{"A shunt resistor, 5 milliohms, size 2512.", "shunt resistor", "2512"},
		{"A shunt of 5 milliohms in a 2512 case.", "shunt resistor", "2512"},
		{"A ceramic capacitor, 10 microfarads, 50 volts, 1210, six of them.", "ceramic capacitor", "1210"},
		{"Ceramic capacitors of 22 microfarads, 35 volts, in twelve oh six.", "ceramic capacitor", "1206"},
		{"A resistor of 10 kilohms in 0603.", "resistor", "0603"},
		{"A resistor of 10 kilohms in eight oh five.", "resistor", "0805"},
		{"A resistor of 1206 ohms.", "resistor", ""},
		{"A resistor marked 1210.", "resistor", ""},
		{"A MOSFET, 30 volts. In 2010 they made a better one.", "MOSFET", ""},
		{"A MOSFET, 2512, 30 volts.", "MOSFET", ""},
	} {
		d := find(t, opened+c.said)
		got := lastPart(d)
		if got.Kind != c.part || got.Package != c.want {
			t.Errorf("%q: %s in %q, want %s in %q", c.said, got.Kind, got.Package, c.part, c.want)
		}
	}
}

// TestEveryChipSize walks the rows of chipsizes.tsv.
func TestEveryChipSize(t *testing.T) {
	sizes := Words().cue.chipSizes
	if len(sizes) < 10 {
		t.Fatalf("%d sizes", len(sizes))
	}
	for _, size := range sizes {
		if got := lastPart(find(t, opened+"A resistor of 47 kilohms, size "+size+".")); got.Package != size {
			t.Errorf("size %s: package %q", size, got.Package)
		}
	}
}

// TestLowerCodes reads part numbers that captions without capitals write in one word.
func TestLowerCodes(t *testing.T) {
	for _, c := range []struct{ said, want string }{
		{"a bridge mdb610, 1000 volts", "MDB610"},
		{"a mosfet pm100n12 rated 100 volts", "PM100N12"},
		{"a bridge rectifier kb8 of 600 volts", ""}, // too short
		{"a varistor 14 millimeters abcdef", ""},
	} {
		d := find(t, strings.ToLower(opened)+c.said+".")
		if got := lastPart(d).Part; got != c.want {
			t.Errorf("%q: part number %q, want %q", c.said, got, c.want)
		}
	}
}

// TestWrittenMarkings reads markings that begin with digits, written in one word,
// and leaves quantities written so alone.
func TestWrittenMarkings(t *testing.T) {
	for _, c := range []struct{ said, part string }{
		{"20N65K", "20N65K"},
		{"20N65", "20N65"},
		{"5D-9", "5D-9"},
		{"10D-11", "10D-11"},
		{"5V3", ""},     // volts
		{"5V-9", ""},    // a range of volts
		{"3A15", ""},    // amperes
		{"20N6", ""},    // one digit
		{"20n65", ""},   // a small letter
		{"200N65", ""},  // three digits before
		{"20 N 65", ""}, // said apart
	} {
		d := find(t, opened+"The transistor is a "+c.said+".")
		if got := lastPart(d).Part; got != c.part {
			t.Errorf("%s: got %q, want %q", c.said, got, c.part)
		}
	}
}

// TestMarkIsNoMaker takes the mark of certification for a mark alone.
// A day or a month alone names nobody, unless the product's name begins with it.
func TestDateIsNoMaker(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"This is the Orrin Cube 65, a charger. Inside, a capacitor by Monday, 47 microfarads.", "Orrin"},
		{"This is the Orrin Cube 65, a charger. Inside, the capacitor by January is 47 microfarads.", "Orrin"},
		{"This is the Orrin Cube 65, a charger. Inside, the fuse is from Tarnel, 3 amps.", "Orrin; Tarnel"},
		{"This is the Tuesday Cube 65, a charger. Inside, the fuse is from Tuesday, 3 amps.", "Tuesday; Tuesday"},
	} {
		var got []string
		for _, s := range find(t, c.text).Terms {
			if s.Kind == schema.TermMaker {
				got = append(got, s.Meant)
			}
		}
		if g := strings.Join(got, "; "); g != c.want {
			t.Errorf("%s\n got %s\nwant %s", c.text, g, c.want)
		}
	}
}

func TestMarkIsNoMaker(t *testing.T) {
	d := find(t, "This power bank has the CCC mark. It holds 10000 milliamp hours at 3.7 volts.")
	if p := d.Product; p.Maker != "" || p.Name != "" || len(p.Marks) != 1 || p.Marks[0] != "CCC" {
		t.Errorf("got maker %q, name %q, marks %q, want the mark CCC alone", p.Maker, p.Name, p.Marks)
	}
}
