package pipeline

import (
	"slices"
	"strings"
	"testing"

	"saywatt/extract/transcript"
	"saywatt/schema"
)

// readTalk reads one text.
func readTalk(t *testing.T, text string) *schema.Record {
	t.Helper()
	tr, err := transcript.Parse("talk.txt", []byte(text+"\n"))
	if err != nil {
		t.Fatal(err)
	}
	rec, err := Run(tr, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

// TestDenied: what is said not to be there is not recorded; a denial of something
// else changes nothing.
func TestDenied(t *testing.T) {
	for _, tt := range []struct{ text, marks, emarker string }{
		{"This is a power bank. It has no CCC mark on the case.", "", ""},
		{"This is a power bank without a CCC mark.", "", ""},
		{"This power bank carries no UL mark and no CE mark.", "", ""},
		{"This power bank doesn't come with the CCC mark.", "", ""},
		{"This is a power bank. The CCC mark is missing.", "", ""},
		{"This power bank is not CCC certified.", "", ""},
		{"This power bank has no wobble and the CCC mark is there.", "CCC", ""},
		{"This power bank has not only the CE mark but the CCC mark.", "CE CCC", ""},
		{"This is a power bank. No doubt it has a CCC mark.", "CCC", ""},
		{"This is a USB-C cable without an e-marker, 60 watts.", "", "no"},
		{"This is a USB-C cable. It doesn't have an e-marker, 60 watts.", "", "no"},
		{"This is a USB-C cable. An e-marker isn't there, 60 watts.", "", "no"},
		{"This is a USB-C cable. There is an e-marker, no doubt, and it is 2 meters long.", "", "yes"},
		{"This is a USB-C cable. No doubt there is an e-marker, and it is 2 meters long.", "", "yes"},
	} {
		rec := readTalk(t, tt.text)
		if got := strings.Join(rec.Product.Marks, " "); got != tt.marks {
			t.Errorf("%s: marks %q, want %q", tt.text, got, tt.marks)
		}
		if rec.Cable != nil && rec.Cable.EMarker != tt.emarker || rec.Cable == nil && tt.emarker != "" {
			t.Errorf("%s: cable %+v, want e-marker %q", tt.text, rec.Cable, tt.emarker)
		}
	}
	for _, tt := range []struct {
		text string
		want bool
	}{
		{"The USB-C port does 9 volts 3 amps and doesn't support PPS.", false},
		{"The USB-C port does 9 volts 3 amps, without PPS.", false},
		{"The USB-C port does 9 volts 3 amps and supports PPS.", true},
		{"It has no fan. The USB-C port does 9 volts 3 amps and supports PPS.", true},
	} {
		rec := readTalk(t, "This is a charger. "+tt.text)
		got := slices.ContainsFunc(rec.Ports, func(p schema.Port) bool { return slices.Contains(p.Protocols, "PPS") })
		if got != tt.want {
			t.Errorf("%s: PPS %v, want %v", tt.text, got, tt.want)
		}
	}
	for _, tt := range []struct{ text, want string }{
		{"It has no USB-A port, 65 watts from the USB-C port.", "USB-C"},
		{"It has no dead USB-A port, 65 watts from the USB-C port.", "USB-C USB-A"},
	} {
		var got []string
		for _, p := range readTalk(t, "This is a charger. "+tt.text).Ports {
			got = append(got, p.Name)
		}
		if strings.Join(got, " ") != tt.want {
			t.Errorf("%s: ports %q, want %q", tt.text, got, tt.want)
		}
	}
}

// TestPartsByCode: inlets are parts by their name, and a part number stands with
// its noun.
func TestPartsByCode(t *testing.T) {
	const open = "This is a 20 watt charger. Let's open it up. The fuse is 3.15 amps 250 volts. "
	const after = " Then the bridge rectifier, 600 volts 2 amps."
	for _, tt := range []struct{ text, want string }{
		{"This is a 20 watt charger. The mains goes in through a C8 inlet, 100 to 240 volts 1 amp.", "C8 inlet"},
		{"This is a 20 watt charger with a C14 inlet. USB-C gives 9 volts 2.22 amps.", "C14 inlet"},
		{"This is a 20 watt charger. It has no C8 inlet but a fixed cord. USB-C gives 9 volts 2.22 amps.", ""},
		{open + "The varistor is a 14D561K." + after, "fuse, varistor 14D561K, bridge rectifier"},
		{open + "Beside it a 10D471K varistor." + after, "fuse, varistor 10D471K, bridge rectifier"},
		{open + "The varistor is a 10 d 471 k, blue." + after, "fuse, varistor 10D471K, bridge rectifier"},
		{open + "The optocoupler is a KX1008." + after, "fuse, optocoupler KX1008, bridge rectifier"},
		{open + "The Y capacitor is a 222M.", "fuse, Y capacitor 2.2 nF"},
		{open + "A 474K capacitor sits there. The resistor is 470K.", "fuse, capacitor 470 nF, resistor"},
	} {
		var got []string
		for _, c := range readTalk(t, tt.text).Components {
			name := strings.TrimSpace(c.Kind + " " + c.Part)
			for _, r := range c.Ratings {
				if r.Property == "capacitance" {
					name += " " + r.Value.Quantity.String()
				}
			}
			got = append(got, name)
		}
		if all := strings.Join(got, ", "); all != tt.want {
			t.Errorf("%s\n\tgot  %q\n\twant %q", tt.text, all, tt.want)
		}
	}
}

// TestTwoParts: hours and minutes said together are one duration; others are two
// quantities. Both stay among those said.
func TestTwoParts(t *testing.T) {
	for _, tt := range []struct{ text, want string }{
		{"It charges fully in 2 hours 25 minutes.", "145 min"},
		{"Charging took 2 hours and 25 minutes.", "145 min"},
		{"Charging took one hour, forty minutes.", "100 min"},
		{"It ran for 1 hour 20 minutes 30 seconds.", "4830 s"},
		{"After 2 hours, 25 minutes later it was full.", "2 h, 25 min"},
		{"It ran 2 to 3 hours 25 minutes.", "2–3 h, 25 min"},
		{"It took 2 hours 75 minutes.", "2 h, 75 min"},
		{"It took 2.5 hours 25 minutes.", "2.5 h, 25 min"},
	} {
		var got []string
		rec := readTalk(t, "This is a power bank. "+tt.text)
		for _, m := range rec.Measurements {
			if m.Value.Quantity.Unit.Kind() == schema.KindTime {
				got = append(got, m.Value.Quantity.String())
			}
		}
		if all := strings.Join(got, ", "); all != tt.want {
			t.Errorf("%s: %q, want %q", tt.text, all, tt.want)
		}
	}
	rec := readTalk(t, "This is a power bank. In 2 hours 25 watts went in.")
	if len(rec.Quantities) != 2 || rec.Quantities[1].Quantity.String() != "25 W" {
		t.Errorf("%v", rec.Quantities)
	}
}

// TestDegreesAndPowers: degrees are Celsius unless Fahrenheit is said; "cubed" and
// "squared" are read behind the unit.
func TestDegreesAndPowers(t *testing.T) {
	for _, tt := range []struct{ text, want string }{
		{"The port was 36 degrees.", "36 °C"},
		{"It got to thirty six degrees.", "36 °C"},
		{"The case was 36 degrees after 1 hour.", "36 °C"},
		{"The case reached 158 degrees Fahrenheit.", "158 °F"},
		{"The display shows 97 degrees F.", "97 °F"},
		{"That's 98.4 cm cubed of volume.", "98.4 cm³"},
		{"The volume is 98 centimeters cubed.", "98 cm³"},
		{"It is 6 inches cubed.", "6 in³"},
		{"The copper is 0.5 millimeters squared.", "0.5 mm²"},
		{"The sides are 60 millimeters. Cubed ice beside it.", "60 mm"},
	} {
		rec := readTalk(t, "This is a charger. "+tt.text)
		if len(rec.Quantities) == 0 || rec.Quantities[0].Quantity.String() != tt.want {
			t.Errorf("%s: %v, want %s", tt.text, rec.Quantities, tt.want)
		}
	}
}
