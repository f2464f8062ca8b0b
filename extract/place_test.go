package extract

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/tools/txtar"

	"saywatt/extract/transcript"
)

// contextOf prints a context in short: "section mode port protocol =property
// @spot >kind", leaving out what is not there; "!WHY" where the number is no
// quantity. A "*" behind the property says that words named it.
func contextOf(d *Document, m *Mention) string {
	if m.Not != NotNothing {
		return "!" + m.Not.String()
	}
	c := &m.Context
	if c.Property == "aside" {
		return "nowhere"
	}
	f := []string{c.Section.String()}
	for _, s := range []string{c.Mode, c.Port, c.Protocol} {
		if s != "" {
			f = append(f, s)
		}
	}
	if c.Property != "" {
		p := "=" + c.Property
		if c.Named {
			p += "*"
		}
		f = append(f, p)
	}
	if c.Spot != "" {
		f = append(f, "@"+c.Spot)
	}
	if c.Subject >= 0 {
		f = append(f, ">"+d.Subjects[c.Subject].Kind)
	}
	return strings.Join(f, " ")
}

// contexts prints the contexts of all mentions but a lone "one"; equal ones in
// a row are printed once, with how many they are: "output USB-C1 x4".
func contexts(d *Document) string {
	var out []string
	n := 0
	for i := range d.Mentions {
		m := &d.Mentions[i]
		if m.Not != NotNothing && strings.EqualFold(d.Words(m.First, m.Last), "one") {
			continue
		}
		s := contextOf(d, m)
		if len(out) > 0 && out[len(out)-1] == s {
			n++
			continue
		}
		if n > 1 {
			out[len(out)-1] += fmt.Sprintf(" x%d", n)
		}
		out = append(out, s)
		n = 1
	}
	if n > 1 {
		out[len(out)-1] += fmt.Sprintf(" x%d", n)
	}
	return strings.Join(out, "; ")
}

// parts prints the parts: "kind x2 maker=… part=… package=… board=…", "?"
// where doubtful.
func parts(d *Document) string {
	var out []string
	for i := range d.Subjects {
		s := &d.Subjects[i]
		b := s.Kind
		if s.Count > 0 {
			b += fmt.Sprintf(" x%d", s.Count)
		}
		for _, f := range []struct{ k, v string }{{"maker", s.Maker}, {"part", s.Part}, {"package", s.Package},
			{"board", s.Board}, {"side", s.Side}, {"topology", s.Topology}, {"function", s.Function}} {
			if f.v != "" {
				b += " " + f.k + "=" + f.v
			}
		}
		if s.Series > 0 || s.Parallel > 0 {
			b += fmt.Sprintf(" %ds%dp", s.Series, s.Parallel)
		}
		if s.Doubtful {
			b += " ?"
		}
		out = append(out, b)
	}
	return strings.Join(out, "; ")
}

func find(t testing.TB, text string) *Document {
	t.Helper()
	tr, err := transcript.Parse("t.txt", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return Find(tr)
}

// TestPlaces holds sentences in the manners of our narrations with the context
// of their numbers and the parts they name.
func TestPlaces(t *testing.T) {
	known := openKnown(t, "testdata/known/TestPlaces.txt")
	for _, c := range []struct{ text, contexts, parts string }{
		{`Label. Input 100 to 240 volts, 50/60 hertz, 1.5 amps. Port see one. 5 volts, 3 amps. 20 volts at 3.25 amps. 65 watts max.`,
			`input input AC; input input AC =frequency; input input AC; output output USB-C1 x5`,
			``},
		{`USB see one gives 5 volts 3 amps, 9 volts 3 amps. see too is 30 watts, 9 volts 3 amps. USB A 5 volts 3 amps.`,
			`output output USB-C1 x4; output output USB-C2 x3; output output USB-A x2`,
			``},
		{`output usb c one five volts three amps nine volts three amps usb c two nine volts two amps and the usb a port five volts three amps`,
			`output output USB-C1 x4; output output USB-C2 x2; output output USB-A x2`,
			``},
		{`u s b c 1 is 20 volts 5 amps, u s b c 2 is 9 volts 3 amps`,
			`!code; output output USB-C1 x2; !code; output output USB-C2 x2`,
			``},
		{`C1 is 20 volts 5 amps. PPS 3.3 to 11 volts, 5 amps. Second range 3.3 to 21 volts, 3 amps. C2 is 9 volts 3 amps.`,
			`output output USB-C1 x2; output output USB-C1 PPS x4; output output USB-C2 x2`,
			``},
		{`USB-C1 and USB-C2 are the same. 5 volts 3 amps, 20 volts 5 amps.`,
			`output output USB-C1,USB-C2 x4`,
			``},
		{`See one and see two together, it's 65 and 45 watts. See one with see three, 87 watts and 30.`,
			`!code; output output-shared USB-C1+USB-C2 x2; !code; output output-shared USB-C1+USB-C3 x2`,
			``},
		{`One USB C and one USB A. USB C does 20 volts 3 amps. USB A does 5 volts 3 amps. Both in use, 45 watts plus 18 watts.`,
			`output output USB-C x2; output output USB-A x2; output output-shared USB-C+USB-A x2`,
			``},
		{`USB C 9 volts 3 amps. QC 3 and AFC on USB A, 9 volts 2 amps. No UFCS.`,
			`output output USB-C x2; !version; output output USB-A AFC x2`,
			``},
		{`pea pea S, 3.3 to 21 volts, 5 amps`,
			`output output PPS x2`,
			``},
		{`On the wall the USB C gives 20 volts 3.25 amps. On battery the USB C gives 9 volts 3 amps.`,
			`output mains/output USB-C x2; output battery/output USB-C x2`,
			``},
		{`as a power bank usb c is nine volts three amps in adapter mode usb c is twenty volts three amps`,
			`output battery/output USB-C x2; output mains/output USB-C x2`,
			``},
		{`The wireless makes 5 watts, 7.5 watts, 10 watts and 15 watts.`,
			`wireless output Qi x4`,
			``},
		{`USB C is 9 volts 3 amps. It takes the same in, up to 20 volts 5 amps. USB A is 5 volts 3 amps.`,
			`output output USB-C x2; input input USB-C x2; output output USB-A x2`,
			``},
		{`For input the type see takes 9 volts 2 amps, for output it is 12 volts 2.5 amps`,
			`input input USB-C x2; output output USB-C x2`,
			``},
		{`Size 66.2 by 38.5 by 30.1 millimetres. Volume 76.7 cubic centimetres. Weight 108.6 grams. Density 0.85 watts per cubic centimetre.`,
			`body =dimension* x3; body =volume*; body =mass*; body =density*`,
			``},
		{`it is fifty two by forty one by thirty one millimeters and it weighs one hundred and twelve grams`,
			`body =dimension x3; body =mass*`,
			``},
		{`It's got a screen, 1.3 inches diagonal. There's a foam pad 1.5 millimetres thick.`,
			`product =display*; product =thickness*`,
			``},
		{`Capacity 10,000 milliamp hours, 3.85 volts, 38.5 watt hours. Rated 6,000 milliamp hours at 5 volts 3 amps.`,
			`battery =capacity* >pack; battery =voltage >pack; battery =energy >pack; battery =capacity >rated; battery =voltage >rated; battery =current >rated`,
			`pack; rated`},
		{`The pack is six cells, 18650 size, 3,000 milliamp hours, 3.7 volts. As a pack they are three in series, two across, that makes 11.1 volts, full at 12.6 volts, and the board cuts it at 9.3 volts.`,
			`!count; !code; battery =capacity >cell; battery =voltage >cell; !count x2; battery =voltage >pack; battery =full* >pack; battery =cutoff* >pack`,
			`pack; cell x6 package=18650 3s2p`},
		{`Inside are four cells in parallel, 5,000 milliamp hours each.`,
			`!count; battery =capacity >cell`,
			`cell x4 0s4p`},
		{`Inside are four cells, 5,000 milliamp hours each. The fuse is in series.`,
			`!count; battery =capacity >cell`,
			`cell x4`},
		{`Two 21700 cells, 5,000 milliamp hours, 3.6 volts, 36 watt hours together.`,
			`!count; !code; battery =capacity >cell; battery =voltage >cell; battery =energy >pack`,
			`cell x2 package=21700; pack`},
		{`open it up the fuse is three point one five amps two hundred and fifty volts the x capacitor is point three three microfarads`,
			`teardown =current >fuse; teardown =voltage >fuse; teardown =capacitance >X capacitor`,
			`fuse board=main; X capacitor board=main`},
		{`Main board. Fuse 3.15 amps, 250 volts. Four bulk caps, Meldrake, 420 volts, 15 microfarads each, together 60 microfarads.`,
			`teardown =current >fuse; teardown =voltage >fuse; !count; teardown =voltage >bulk capacitor; teardown =capacitance >bulk capacitor x2`,
			`fuse board=main; bulk capacitor x4 maker=Meldrake board=main`},
		{`Main board. Bulk cap 420 volt, 33 microfarad. Another pair are 420 volt, 22 microfarad.`,
			`teardown =voltage >bulk capacitor; teardown =capacitance >bulk capacitor; teardown =voltage >bulk capacitor; teardown =capacitance >bulk capacitor`,
			`bulk capacitor board=main; bulk capacitor x2 board=main`},
		{`Main board. Rectifier Tellbrook TB 10052, 100 volts, 52 milliohms, DFN 5 by 6. Fuse 2 amps. Again, rectifier is 5.2 milliohms.`,
			`!code; teardown =voltage >sync rectifier MOSFET; teardown =on_resistance >sync rectifier MOSFET; !code x2; teardown =current >fuse; teardown =on_resistance >sync rectifier MOSFET`,
			`sync rectifier MOSFET maker=Tellbrook part=TB10052 package=DFN5x6 board=main; fuse board=main`},
		{`Main board. Port switches, two of, rated 30 volts, 8 milliohms. 10 microhenry coils, three of those.`,
			`!count; teardown =voltage >port switch MOSFET; teardown =on_resistance >port switch MOSFET; teardown =inductance >inductor; !count`,
			`port switch MOSFET x2 board=main; inductor x3 board=main`},
		{`Main board. Mosque fit from Tell brook, T V 65 165 D, 650 volts, 165 milliohms.`,
			`!code x2; teardown =voltage >MOSFET; teardown =on_resistance >MOSFET`,
			`MOSFET maker=Tell brook part=TV65165D board=main`},
		{`open it up the gan switch is by tellbrook t v seventy are one ninety seven hundred volts one hundred and ninety milliohms in d f n eight by eight`,
			`!code; teardown =voltage >GaN switch; teardown =on_resistance >GaN switch; !code x2`,
			`GaN switch maker=tellbrook part=TV70R190 package=DFN8x8 board=main ?`},
		{`Main board. The PWM chip runs at 130 kilohertz. Microcontroller 72 megahertz.`,
			`teardown =frequency* @primary controller; teardown =frequency >microcontroller`,
			`primary controller board=main; microcontroller board=main`},
		{`BMS. The chip stops at 3.65 volts per cell. Thermistor 10 kilohms. Thermal cut off at 77 degrees, 12 amps.`,
			`teardown =charge_limit* @integrated circuit >cell; teardown =resistance >NTC thermistor; teardown =temperature >thermal cut-off; teardown =current >thermal cut-off`,
			`integrated circuit board=BMS; cell; NTC thermistor board=BMS; thermal cut-off board=BMS`},
		{`Tests. Mains 230 volts. 15 volts 3 amps. Efficiency 91.2%. Ripple 61 millivolts. Output reads 14.93. At 100 volts mains, 89.6%.`,
			`test =condition_mains*; test =condition_voltage; test =condition_current; test =efficiency*; test =ripple*; test =output_voltage*; test =condition_mains*; test =efficiency`,
			``},
		{`Load tests. 9 volts 3 amps, 88.9%, ripple 31 millivolts, 8.94. 5 volts 3 amps, 85.2%, ripple 13 millivolts, 5.06 volts.`,
			`test =condition_voltage; test =condition_current; test =efficiency; test =ripple*; test =output_voltage; test =condition_voltage; test =condition_current; test =efficiency; test =ripple*; test =output_voltage`,
			``},
		{`Load tests. Ripple 20 volts 38 millivolts, 5 volts 19.`,
			`test =condition_voltage*; test =ripple*; test =condition_voltage*; test =ripple*`,
			``},
		{`the measured efficiency was ninety point two percent at one fifteen volts and ninety one point four percent at two thirty volts`,
			`test =efficiency*; test =condition_mains; test =efficiency*; test =condition_mains`,
			``},
		{`Tests. With 5 volts 2.1 amps it gives 16.4 watt hours, that is 84%. After 131 minutes it is full. No load 42 milliwatts.`,
			`test =condition_voltage; test =condition_current; test =energy_out*; test =efficiency; test =duration*; test =no_load_power*`,
			``},
		{`Heat. One hour at 100 watts in a 24 degree room. Top 63.8 degrees, bottom 66.2, the transformer inside 94 degrees.`,
			`thermal =duration; thermal =condition_power; thermal =ambient*; thermal =temperature @top; thermal =temperature @bottom; thermal =temperature @transformer`,
			``},
		{`The cord is 1.5 meters long. Weight 412 grams.`,
			`cable =length* >cable; body =mass*`,
			`cable`},
		{`Two capacitors, four screws, 3 times, 16 pieces.`,
			`product; !count x3`,
			``},
		{`Main board. Controller Kestrow, KX 36 oh 5, QFN 32. Another, why queue 70 32, cue FN 24. Protector SN 93 oh 3, T S S O P 16, transistor in T O two twenty.`,
			`!code x11`,
			`primary controller maker=Kestrow part=KX3605 package=QFN32 board=main; primary controller x1 part=YQ7032 package=QFN24 board=main ?; protector part=SN9303 package=TSSOP-16 board=main; pack switch MOSFET package=TO-220 board=main`},
		{`the output is five volts three amps and weighs eighty grams`,
			`output output x2; body =mass*`,
			``},
		{`It has two type C and one USB A. It makes 90 watts. C1 gives 60 watts, together with C2 it is 45 and 30 watts.`,
			`!count; output output; output output USB-C1; output output-shared USB-C1+USB-C2 x2`,
			``},
		{`C1 is 45 watts, C2 20 watts, so if you add all of that it is 65 watts.`,
			`output output USB-C1; output output USB-C2; output output`,
			``},
		{`The label says 45 watts from the C port. Input 100 to 240 volts, 1.2 amps.`,
			`output output USB-C; input input AC x2`,
			``},
		{`Tests. In 52.2 watts, out 47.1 watts, so 90.2%. Overload gave up at 61 watts, overcurrent trips at 3.4 amps.`,
			`test =input_power*; test =output_power*; test =efficiency; test =overload_power*; test =trip_current*`,
			``},
		{`Tests. With nothing connected it draws 52 milliwatts, ripple 21 mill. From empty to full 80 minutes, by cable 95.`,
			`test =no_load_power*; test =ripple*; test =charge_time*; test =output_voltage`,
			``},
		{`Tests. 9 volts 2 amps, I got 30.2 watt hours, 82 percent. At 15 volts 2 amps 29.6, 80.1 percent, so no flying. From zero 95 minutes to a hundred percent.`,
			`test =condition_voltage; test =condition_current; test =energy_out*; test =efficiency; test =condition_voltage; test =condition_current; test =energy_out; test =efficiency; test =state_of_charge*; test =charge_time*; test =state_of_charge*`,
			``},
		{`Heat. One hour in 25 degrees, top 58 degrees, bottom 55 degrees.`,
			`thermal =duration; thermal =ambient*; thermal =temperature @top; thermal =temperature @bottom`,
			``},
		{`The lead is 45 centimetres. It comes with a 2 meter cable.`,
			`cable =length >cable; product =length* >cable`,
			`cable`},
		{`It is 212 watt hours, so no aeroplane for it.`,
			`battery =energy >pack`,
			`pack`}, // its own energy
		{`It is over 160 watt hours, so no aeroplane for it.`,
			`product =air_limit*`,
			``},
		{`open it up the relay is ten amps with one hundred and fifty watts on the mains socket i got one hundred and eighty nine watt hours eighty two percent`,
			`teardown =current >relay; test =condition_power; test =energy_out; test =efficiency`,
			`relay`},
		{`First I measure. It is 106 by 68 by 13 millimetres. Weight 198 grams, the base alone 92.`,
			`body =dimension x3; body =mass*; body =mass`,
			``},
		{`This is a charging cable. Drop test. Step 2. In 28.1 volts, 5 amps, out 27.4 volts. Limit for 5 amps is 150 milliohms. Drop 0.7 volts.`,
			`!version; test =input_voltage*; test =condition_current; test =output_voltage*; test =limit* x2; test =voltage_drop*`,
			``},
		{`Heat. The capacitor reaches 78 degrees, it's good to 105 degrees.`,
			`thermal =temperature @capacitor; thermal =limit*`,
			``},
		{`Strap, one. Cycles claimed, 10,000.`,
			`product =cycles*`,
			``},
		{`As an output USB C does 5 volts 3 amps, 12 volts 2.5 amps, as an input it's the same but there is no 12 volts. The USB A does 5 volts 2.4 amps.`,
			`output output USB-C x4; input input USB-C =absent*; output output USB-A x2`,
			``},
		{`It lasts 3,000 cycles until it's down to 80 percent. From 0 to 80 percent takes 58 minutes.`,
			`product; product =capacity_retention; product =state_of_charge; product =charge_time`,
			``},
		{`Tests. I ran a heater of 500 watts and got 441 watt hours. Asleep it eats 90 microamps and 20 milliwatts.`,
			`test =condition_power; test =energy_out; test =sleep_current; test =no_load_power`,
			``},
		{`This cable is thin. Pushing 5 amps through it you lose 0.7 volts, which is 3.5 watts or 3.5 percent.`,
			`test =condition_current; test =voltage_drop*; test =loss x2`,
			`cable`},
		{`USB C does 20 volts 3 amps. After 30 minutes the plug was at 38 degrees, the stand tilts 60 degrees.`,
			`output output USB-C x2; thermal USB-C =duration @plug; thermal =temperature @plug; thermal =angle*`,
			``},
		{`It heats the glue to 80 degrees.`,
			`product`,
			``}, // no place of a measurement
		{`USB C takes in 9 volts 3 amps. The meter says the input is 19.8 watts and the phone gets 14.1, that's 71.2 percent.`,
			`input input USB-C x2; test USB-C =input_power; test USB-C =output_power; test =efficiency`,
			``},
		{`It gives 45 watts over USB C and 18 watts over USB A.`,
			`output output USB-C; output output USB-A`,
			``},
		{`Input 100 to 240 volts, 2 amps. Open it up. The fuse is 2 amps. Putting 45 watts on it I see 50.4 watts go in, so 89.3 percent. The coil is 10 microhenries, 12 amps.`,
			`input input AC x2; teardown =current >fuse; test =condition_power; test =input_power*; test =efficiency; teardown =inductance >inductor; teardown =current >inductor`,
			`fuse board=main; inductor board=main`},
		{`C1 does 5 volts 3 amps, 9 volts 3 amps. C2 is the same as C1 except 9 volts.`,
			`output output USB-C1 x4; output output USB-C2 =absent*`,
			``},
		{`In an aeroplane the limit is 100 watt hours.`,
			`product =air_limit*`,
			``},
		{`I paid $29.99 in March 2024, it's 3C certified.`,
			`!price; !year; !code`,
			``},
	} {
		known.check(c.text, contexts(find(t, c.text)), c.contexts)
		known.check(c.text, parts(find(t, c.text)), c.parts)
	}
	known.close()
}

// TestPlacesNot holds near misses: words that look like a port, code, maker or
// part and are none. The comment is the reason.
func TestPlacesNot(t *testing.T) {
	known := openKnown(t, "testdata/known/TestPlacesNot.txt")
	for _, c := range []struct{ text, contexts, parts string }{
		{`you can see two capacitors here on the board, open it up`,
			`nowhere`,
			``}, // "see two" is what one does, no port
		{`we see three screws`,
			`!count`,
			``}, // "see three" is no port
		{`so 20 watts is all it gives`,
			`nowhere`,
			``}, // "so" is no SOT package without 23
		{`it takes from 100 to 220 volts`,
			`nowhere`,
			``}, // "to 220" is no TO-220
		{`I came from the wall`,
			``,
			``}, // "from the wall" names no maker
		{`open it up the fuse is from the old one 2 amps`,
			`teardown =current >fuse`,
			`fuse board=main`}, // "from the old one" names no maker
		{`it is better than before, 3 times in a row`,
			`!count`,
			``}, // a count of times
		{`At 5 volts 3 amps it gives 15 watts`,
			`product x2; output output`,
			``}, // "A" of "At" is no port
		{`It weighs 80 grams. A big one.`,
			`body =mass*`,
			``}, // "A" that opens a sentence is no port
		{`the review of PD 3.1 and QC 3.0 in 2024`,
			`!version x2; !year`,
			``}, // versions and a year
		{`part two of four, episode 41`,
			`!score x2; !version`,
			``}, // numbers of a series
		{`open it up the coil of the transformer is big, fuse 2 amps`,
			`teardown =current >fuse`,
			`inductor board=main; fuse board=main`}, // a coil spoken of in passing, "of the transformer" is no part of its own
		{`it switches at 65 kilohertz`,
			`product =frequency*`,
			``}, // a verb, no MOSFET
		{`my phone takes 9 volts 2 amps`,
			`nowhere x2`,
			``}, // a phone is no part
		{`I rated it 8 out of 10`,
			`!score x2`,
			``}, // a score, no rated capacity
		{`a battery saving tip`,
			``,
			``}, // no battery spoken of
		{`the key is patience`,
			``,
			``}, // "key" is Qi only before a version
		{`USB 2.0 cable, 480 megabits per second`,
			`!code; product`,
			``}, // a version of USB
		{`he paid two hundred pounds`,
			`!price`,
			``}, // a price, no mass
		{`see 30 90 volts`,
			`nowhere x2`,
			``}, // "see" opens no code before digits alone
	} {
		known.check(c.text, contexts(find(t, c.text)), c.contexts)
		known.check(c.text, parts(find(t, c.text)), c.parts)
	}
	known.close()
}

// TestDump prints what is found in the files named in DUMP; for work on the
// tables.
func TestDump(t *testing.T) {
	files := strings.Fields(os.Getenv("DUMP"))
	if len(files) == 0 {
		t.Skip("DUMP names no file")
	}
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		tr, err := transcript.Parse(f, b)
		if err != nil {
			t.Fatal(err)
		}
		d := Find(tr)
		fmt.Printf("===== %s\n", f)
		for i := range d.Mentions {
			m := &d.Mentions[i]
			fmt.Printf("%s | %s | clause %d\n", d.Words(m.First, m.Last), contextOf(d, m), m.Context.Clause)
		}
		fmt.Printf("product %+v\nports %+v\nmaterials %v\n%s\n", d.Product, d.Ports, d.Materials,
			strings.ReplaceAll(parts(d), "; ", "\n"))
	}
}

// plainTranscript is a transcript of nothing but words.
func plainTranscript(text []byte) *transcript.Transcript {
	return &transcript.Transcript{Text: text, Source: text}
}

// known holds a list of cases that are read in another way than wanted, each
// with what is read. A case that fails and is not in the list fails the test, and
// so does one of the list that is read as wanted, or otherwise, now: the list
// changes by -update-places alone, and its length is in its first line.
type known struct {
	t     *testing.T
	name  string
	lines []string
	cases int
}

func openKnown(t *testing.T, name string) *known { return &known{t: t, name: name} }

func (k *known) check(text, got, want string) {
	k.cases++
	if got != want {
		k.lines = append(k.lines, text, "\tgot  "+got, "\twant "+want)
	}
}

func (k *known) close() {
	k.t.Helper()
	got := fmt.Sprintf("# %d of %d checks are read otherwise than wanted. A sentence alone gives the chain of places "+
		"little to go by.\n%s\n",
		len(k.lines)/3, k.cases, strings.Join(k.lines, "\n"))
	if *updatePlaces {
		if err := os.WriteFile(k.name, []byte(got), 0o644); err != nil {
			k.t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(k.name)
	if err != nil {
		k.t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		k.t.Errorf("other cases fail than those in %s (-want +got):\n%s", k.name, diff)
	}
}

var updatePlaces = flag.Bool("update-places", false, "write the golden parts of testdata/places")

// TestPlacesTalk runs whole reviews; the golden part of each file was read
// line by line.
func TestPlacesTalk(t *testing.T) {
	files, err := filepath.Glob("testdata/places/*.txtar")
	if err != nil || len(files) == 0 {
		t.Fatal("no cases", err)
	}
	for _, f := range files {
		t.Run(filepath.Base(f), func(t *testing.T) {
			a, err := txtar.ParseFile(f)
			if err != nil {
				t.Fatal(err)
			}
			if len(a.Files) == 1 && *updatePlaces {
				a.Files = append(a.Files, txtar.File{Name: "places"})
			}
			if len(a.Files) != 2 {
				t.Fatalf("%d parts, want the review and the places", len(a.Files))
			}
			d := find(t, string(a.Files[0].Data))
			var b strings.Builder
			for i := range d.Mentions {
				m := &d.Mentions[i]
				if words := d.Words(m.First, m.Last); m.Not == NotNothing || !strings.EqualFold(words, "one") {
					fmt.Fprintf(&b, "%s | %s\n", words, contextOf(d, m))
				}
			}
			fmt.Fprintf(&b, "\n%s\n", strings.ReplaceAll(parts(d), "; ", "\n"))
			if *updatePlaces {
				a.Files[1].Data = []byte(b.String())
				if err := os.WriteFile(f, txtar.Format(a), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if got, want := b.String(), string(a.Files[1].Data); got != want {
				t.Errorf("got\n%swant\n%s", got, want)
			}
		})
	}
}
