package picture

import (
	"bytes"
	"encoding/xml"
	"flag"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
	"pgregory.net/rapid"

	"saywatt/schema"
)

var update = flag.Bool("update", false, "write the goldens anew")

// jetty is a record of an invented charger, with everything that the pictures
// show: ranges, protocols, equal ports, refuted values, open ones, mains.
func jetty() *schema.Record {
	at := schema.Seconds(33037)
	r := &schema.Record{Version: schema.RecordVersion, Product: schema.Product{Name: "Orrindale Jetty Duo"}}
	say := func(heard, reading string, st schema.Status) *schema.Value {
		q := schema.MustQuantity(reading)
		n := len(r.Quantities) + 1
		r.Quantities = append(r.Quantities,
			schema.Said{Number: n, At: &at, Heard: heard, Quantity: q, Kind: q.Unit.Kind(), Status: st,
				Confidence: 0.9})
		return &schema.Value{Quantity: q, Status: st, Confidence: 0.9, Said: []int{n}}
	}
	heard := func(reading string) *schema.Value { return say(reading, reading, schema.StatusHeard) }
	level := func(mode, port, protocol string, v, a *schema.Value) {
		r.Levels = append(r.Levels, schema.Level{Mode: mode, Port: port, Protocol: protocol, Voltage: *v, Current: a})
	}
	level("mains/input", "AC", "", heard("100..240 V"), heard("1.5 A"))
	for _, port := range []string{"USB-C1", "USB-C2"} {
		level("mains/output", port, "PD", heard("5 V"), heard("3 A"))
		level("mains/output", port, "PD", heard("9 V"), heard("3 A"))
		level("mains/output", port, "PD", say("15 bolts", "15 V", schema.StatusRepaired), heard("3 A"))
		level("mains/output", port, "PD", heard("20 V"), say("325 amps", "3.25 A", schema.StatusRepaired))
		r.Levels[len(r.Levels)-1].Power = heard("65 W")
		level("mains/output", port, "PPS", say("3.3 221 volts", "3.3..21 V", schema.StatusRepaired), heard("3 A"))
	}
	level("mains/output", "USB-A", "QC 3.0", heard("9 V"), say("to amps", "2 A", schema.StatusOpen))
	level("mains/output", "USB-A", "", heard("12 V"), nil)
	level("battery/output", "USB-C1", "PD", heard("20 V"), say("15 amps", "1.5 A", schema.StatusSettled))
	r.Claims = []schema.Claim{
		{Property: "power", Mode: "mains/output", Port: "USB-C1", Value: *heard("65 W")},
		{Property: "power", Mode: "battery/output", Port: "USB-C1", Value: *say("40 watts", "45 W", schema.StatusOpen)},
		{Property: "power", Mode: "mains/output-shared", Port: "USB-C1+USB-A", Value: *heard("63 W")},
		{Property: "efficiency", Value: *heard("93 %")},
	}
	return r
}

// doubtful is a quantity with readings and terms.
func doubtful() *schema.Said {
	at := schema.Seconds(3680000)
	return &schema.Said{
		Number: 40, At: &at, Heard: "8 watts",
		Context:  "top is 68.4 degrees. No load it draws 8 watts. About 42 millivolts of ripple & noise",
		Role:     "measurement.no_load_power",
		Quantity: schema.MustQuantity("0.08 W"), Status: schema.StatusOpen, Confidence: 0.48,
		Readings: []schema.Reading{
			{Quantity: schema.MustQuantity("0.08 W"), Confidence: 0.48, Terms: []schema.Term{{Name: "channel", Score: -2.6, Note: "the decimal point and a zero were lost"}, {Name: "prior", Score: -1.2, Note: "handbook 8.4"}, {Name: "no_load", Score: 1.4}}},
			{Quantity: schema.MustQuantity("0.8 W"), Confidence: 0.31, Terms: []schema.Term{{Name: "channel", Score: -1.1}, {Name: "prior", Score: -3.1}, {Name: "joint", Score: math.Copysign(0.01, -1)}}},
			{Quantity: schema.MustQuantity("8 W"), Confidence: 0.004},
		},
	}
}

func pictures(t *testing.T) []*Picture {
	t.Helper()
	levels, ok1 := Levels(jetty())
	powers, ok2 := Powers(jetty())
	evidence, ok3 := Evidence(doubtful())
	if !ok1 || !ok2 || !ok3 {
		t.Fatal("a picture is missing")
	}
	return []*Picture{levels, powers, evidence}
}

// Pictures have the signs of places in doubt, behind those of statuses, and say what
// they mean; a record without such has none.
func TestPlacesInDoubt(t *testing.T) {
	written := func(r *schema.Record) (all []string) {
		for _, draw := range []func(*schema.Record) (*Picture, bool){Levels, LevelsNarrow, Powers, PowersNarrow} {
			p, ok := draw(r)
			if !ok {
				t.Fatal("a picture is missing")
			}
			var b bytes.Buffer
			if err := p.WriteSVG(&b); err != nil {
				t.Fatal(err)
			}
			all = append(all, strings.Join(texts(t, b.Bytes()), "\n")+"\n"+p.Alt)
		}
		return all
	}
	for _, s := range written(jetty()) {
		if strings.ContainsAny(s, "†‡") {
			t.Errorf("a place is in doubt:\n%s", s)
		}
	}
	r := jetty()
	doubt := func(v *schema.Value, share float64) {
		s := r.Quantity(v.Said[0])
		s.Place = "levels[0].voltage"
		s.Belongs = []schema.Belonging{{Place: schema.BelongsTo{To: "level.output"}, Confidence: share, Taken: true},
			{Place: schema.BelongsTo{To: "none"}, Confidence: 1 - share}}
	}
	last := &r.Levels[len(r.Levels)-1] // 20 V 1.5 A, the current settled
	doubt(last.Current, 0.7)
	doubt(&r.Claims[1].Value, 0.2) // 45 W?
	all := written(r)
	for i, want := range []string{"20 V 1.5 A√†", "20 V 1.5 A√†", "30 W√†, 45 W?‡ claimed", "45 W?‡ claimed"} {
		if !strings.Contains(all[i], want) {
			t.Errorf("picture %d: no %q in\n%s", i, want, all[i])
		}
		if !strings.Contains(strings.ReplaceAll(all[i], "\n", " "), "† may belong elsewhere") {
			t.Errorf("picture %d does not say what † means:\n%s", i, all[i])
		}
		if strings.Contains(all[i], "‡ probably belongs elsewhere") != (i > 1) {
			t.Errorf("picture %d, what ‡ means:\n%s", i, all[i])
		}
	}
}

// The bar of ports in use together says what each gives, and their total where one
// was stated; three powers for two ports are no sum.
func TestPowersOfPortsTogether(t *testing.T) {
	for _, c := range []struct {
		watts []string
		want  string
	}{
		{[]string{"63"}, "63 W claimed"},
		{[]string{"45", "18"}, "45 W + 18 W claimed"},
		{[]string{"45", "18", "63"}, "45 W + 18 W = 63 W claimed"},
		{[]string{"20", "15", "20"}, "20 W + 15 W + 20 W claimed"},
	} {
		r := &schema.Record{Product: schema.Product{Name: "Pier"}}
		for _, w := range c.watts {
			r.Claims = append(r.Claims, schema.Claim{Property: "power", Mode: "output-shared", Port: "USB-C+USB-A",
				Value: schema.Value{Quantity: schema.MustQuantity(w + " W"), Status: schema.StatusHeard}})
		}
		p, ok := Powers(r)
		if !ok {
			t.Fatalf("%v: no picture", c.watts)
		}
		var b bytes.Buffer
		if err := p.WriteSVG(&b); err != nil {
			t.Fatal(err)
		}
		all := texts(t, b.Bytes())
		if !slices.Contains(all, c.want) || !slices.Contains(all, "USB-C+USB-A") {
			t.Errorf("%v: %q, want %q", c.watts, all, c.want)
		}
		if want := "claimed " + strings.TrimSuffix(c.want, " claimed"); !strings.Contains(p.Alt, want) {
			t.Errorf("%v: in words %q, want %q", c.watts, p.Alt, want)
		}
	}
}

// The goldens are files somebody looked at.
func TestGoldens(t *testing.T) {
	for _, p := range pictures(t) {
		var b bytes.Buffer
		if err := p.WriteSVG(&b); err != nil {
			t.Fatal(err)
		}
		path := filepath.Join("testdata", p.Name+".svg")
		if *update {
			if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(want, b.Bytes()) {
			t.Errorf("%s differs; -update writes it anew, then look at it", path)
		}
	}
}

func TestSameBytes(t *testing.T) {
	var svg, bitmap [3][]byte
	for range 3 {
		for i, p := range pictures(t) {
			var s, b bytes.Buffer
			if err := p.WriteSVG(&s); err != nil {
				t.Fatal(err)
			}
			if err := p.WritePNG(&b); err != nil {
				t.Fatal(err)
			}
			if svg[i] == nil {
				svg[i], bitmap[i] = s.Bytes(), b.Bytes()
			} else if !bytes.Equal(svg[i], s.Bytes()) || !bytes.Equal(bitmap[i], b.Bytes()) {
				t.Errorf("%s: other bytes for the same record", p.Name)
			}
		}
	}
}

// texts reads an SVG strictly and returns the text elements.
func texts(t interface{ Fatal(...any) }, svg []byte) []string {
	d := xml.NewDecoder(bytes.NewReader(svg))
	var all []string
	in := false
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			in = tok.Name.Local == "text"
		case xml.CharData:
			if in {
				all = append(all, string(tok))
			}
		case xml.EndElement:
			in = false
		}
	}
}

// What each picture must say in words.
func TestTexts(t *testing.T) {
	want := map[string][]string{
		"levels": {"USB-C1, USB-C2 – output, mains mode", "20 V 3.25 A*", "“325 amps”", "“3.3 221 volts”", "3.3–21 V* 3 A", "9 V 2 A?", "20 V 1.5 A√", "65 W", "as heard, refuted",
			"protocol not given", "PPS range of voltage", "* repaired   ? needs your ear   √ settled by a person", "Not drawn: AC 100–240 V 1.5 A (input, mains mode); USB-A 12 V (output, mains mode)."},
		"powers":      {"output, mains mode", "output, battery mode", "shared output, mains mode", "65 W", "30 W√, 45 W? claimed", "63 W claimed", "18 W?"},
		"evidence-40": {"“8 watts” at 1:01:20, as measured no-load power", "0.08 W", "48 %", "<1 %", "÷4.5", "×4.1", "×6.7", "the decimal point and a zero were lost"},
	}
	for _, p := range pictures(t) {
		var b bytes.Buffer
		if err := p.WriteSVG(&b); err != nil {
			t.Fatal(err)
		}
		got := texts(t, b.Bytes())
		for _, w := range want[p.Name] {
			if p.Name == "levels" && w == "protocol not given" {
				continue // its only level has no current and is not drawn
			}
			if !slices.Contains(got, w) {
				t.Errorf("%s does not say %q; it says %q", p.Name, w, got)
			}
		}
		if !strings.Contains(b.String(), `role="img" aria-label="`) || strings.Contains(b.String(), "href") {
			t.Errorf("%s: no words for those who cannot see it, or a link", p.Name)
		}
		if inline := p.Inline(); !strings.HasPrefix(inline, "<svg ") || strings.Contains(inline, "<?xml") {
			t.Errorf("%s: inline form starts %.40q", p.Name, inline)
		}
	}
}

func TestPNG(t *testing.T) {
	for _, p := range pictures(t) {
		var b bytes.Buffer
		if err := p.WritePNG(&b); err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(&b)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := img.Bounds().Dx(), int(math.Round(p.width.Points()*dpi/72)); abs(got-want) > 1 {
			t.Errorf("%s: %d pixels wide, want %d", p.Name, got, want)
		}
		if r, g, bl, a := img.At(1, 1).RGBA(); r&g&bl&a != 0xFFFF {
			t.Errorf("%s: its ground is not white", p.Name)
		}
	}
}

func abs(n int) int { return max(n, -n) }

func TestNothingToDraw(t *testing.T) {
	r := &schema.Record{}
	if _, ok := Levels(r); ok {
		t.Error("levels of nothing")
	}
	if _, ok := Powers(r); ok {
		t.Error("powers of nothing")
	}
	if _, ok := Evidence(&schema.Said{}); ok {
		t.Error("evidence of nothing")
	}
}

// The value heard is what the words say by themselves.
func TestHeardAndRefuted(t *testing.T) {
	c := chartOf(jetty())
	got := map[string][2]float64{}
	for _, p := range c.panels {
		for _, s := range p.spots {
			if s.heardV+s.heardA > 0 {
				got[s.label] = [2]float64{s.heardV, s.heardA}
			}
		}
	}
	want := map[string][2]float64{"20 V 3.25 A*": {0, 325}, "3.3–21 V* 3 A": {221, 0}, "20 V 1.5 A√": {0, 15}}
	if len(got) != len(want) {
		t.Errorf("%v, want %v", got, want)
	}
	for label, w := range want {
		if got[label] != w {
			t.Errorf("%s: heard %v, want %v", label, got[label], w)
		}
	}
}

func TestTicks(t *testing.T) {
	for _, c := range []struct {
		most  float64
		n     int
		step  float64
		count int
	}{
		{24, 6, 5, 5}, {65, 5, 20, 4}, {100, 5, 20, 5}, {0.3, 5, 0.1, 3}, {1, 5, 0.2, 5}, {0, 5, 1, 1}, {math.NaN(), 5, 1, 1}, {240, 5, 50, 5},
	} {
		if step, count := ticks(c.most, c.n); math.Abs(step-c.step) > 1e-12 || count != c.count {
			t.Errorf("ticks(%v, %d) = %v, %d; want %v, %d", c.most, c.n, step, count, c.step, c.count)
		}
	}
}

// Labels lie inside, on nothing else, and nearer to their own point than to
// any other unless a line leads to it.
func TestLabelsDoNotOverlap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := labeller{within: box{0, 0, 250, 180}}
		coordinate := rapid.Float64Range(0, 1)
		var points []vg.Point
		for range rapid.IntRange(1, 25).Draw(t, "n") {
			p := vg.Point{X: 250 * vg.Length(coordinate.Draw(t, "x")), Y: 180 * vg.Length(coordinate.Draw(t, "y"))}
			points = append(points, p)
			l.points = append(l.points, p)
			l.keep(box{p.X - 4.5, p.Y - 4.5, 9, 9})
		}
		var placed []box
		for _, p := range points {
			w := 30 + 40*vg.Length(coordinate.Draw(t, "w"))
			b, led, ok := l.place(p.X, p.Y, w, 8)
			if !ok {
				continue
			}
			if !b.inside(l.within) {
				t.Fatalf("%v is outside", b)
			}
			for _, o := range placed {
				if b.overlaps(o) {
					t.Fatalf("%v overlaps %v", b, o)
				}
			}
			for _, q := range points {
				if b.overlaps(box{q.X - 4, q.Y - 4, 8, 8}) {
					t.Fatalf("%v lies on the mark at %v", b, q)
				}
				if !led && q != p && distance(b, q.X, q.Y) < distance(b, p.X, p.Y) {
					t.Fatalf("%v is nearer to %v than to its own point %v", b, q, p)
				}
			}
			placed = append(placed, b)
		}
	})
}

// Whatever a record holds, pictures are drawn or not, and are well-formed.
func TestAnyRecord(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hostile := rapid.StringOf(rapid.OneOf(rapid.Rune(), rapid.RuneFrom([]rune("<>&\"'\x00\x1b\u202e Ω世🔋"))))
		quantity := func(unit schema.Unit) schema.Quantity {
			q := schema.One(schema.NewDecimal(rapid.Int64().Draw(t, "coefficient"),
				int32(rapid.IntRange(-20, 20).Draw(t, "exponent"))), unit)
			if rapid.Bool().Draw(t, "range") {
				q.High, q.Range = q.Low.Add(schema.NewDecimal(1, 0)), true
			}
			return q
		}
		r := &schema.Record{Product: schema.Product{Name: hostile.Draw(t, "name")}}
		for i := range rapid.IntRange(0, 6).Draw(t, "levels") {
			st := schema.Status(rapid.IntRange(0, 4).Draw(t, "status"))
			r.Quantities = append(r.Quantities, schema.Said{Number: i + 1, Heard: hostile.Draw(t, "heard")})
			l := schema.Level{Mode: hostile.Draw(t, "mode"), Port: hostile.Draw(t, "port"),
				Protocol: hostile.Draw(t, "protocol"),
				Voltage:  schema.Value{Quantity: quantity("V"), Status: st, Said: []int{i + 1}}}
			if rapid.Bool().Draw(t, "current") {
				l.Current = &schema.Value{Quantity: quantity(rapid.SampledFrom([]schema.Unit{"A", "mA", "W",
					""}).Draw(t, "unit")), Status: st, Said: []int{i + 1}}
			}
			r.Levels = append(r.Levels, l)
			r.Claims = append(r.Claims, schema.Claim{Property: "power", Mode: l.Mode, Port: l.Port,
				Value: schema.Value{Quantity: quantity("W")}})
		}
		s := &schema.Said{Heard: hostile.Draw(t, "words"), Context: hostile.Draw(t, "context"),
			Readings: []schema.Reading{
				{Quantity: quantity("Ohm"), Confidence: rapid.Float64().Draw(t, "p"), Terms: []schema.Term{{Name: hostile.Draw(t, "term"), Score: rapid.Float64().Draw(t, "score"), Note: hostile.Draw(t, "note")}}},
				{Quantity: quantity("Ohm"), Confidence: math.NaN(), Terms: []schema.Term{{Score: math.Inf(-1)}, {Score: math.NaN()}}},
			}}
		for _, draw := range []func() (*Picture,
			bool){func() (*Picture, bool) { return Levels(r) }, func() (*Picture, bool) { return Powers(r) },
			func() (*Picture, bool) { return Evidence(s) }} {
			p, ok := draw()
			if !ok {
				continue
			}
			if p.width > 700 || p.height > 3000 {
				t.Fatalf("%s: %v × %v points", p.Name, p.width, p.height)
			}
			var b bytes.Buffer
			if err := p.WriteSVG(&b); err != nil {
				t.Fatal(err)
			}
			texts(t, b.Bytes())
			if bytes.Contains(b.Bytes(), []byte("NaN")) || bytes.Contains(b.Bytes(), []byte("Inf")) {
				t.Fatalf("%s: a coordinate is no number", p.Name)
			}
		}
	})
}

func BenchmarkLevelsSVG(b *testing.B) {
	r := jetty()
	b.ReportAllocs()
	for b.Loop() {
		p, _ := Levels(r)
		if err := p.WriteSVG(io.Discard); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLevelsPNG(b *testing.B) {
	p, _ := Levels(jetty())
	b.ReportAllocs()
	for b.Loop() {
		if err := p.WritePNG(io.Discard); err != nil {
			b.Fatal(err)
		}
	}
}

// What speaks for a reading is shown beside the likeliest other one, as factors: what
// says the same of both is left out, and the reading that leads has more for it.
func TestComparedTerms(t *testing.T) {
	all := []schema.Reading{
		{Terms: []schema.Term{{Name: "channel", Score: -0.5, Note: "taken as heard"}, {Name: "prior", Score: -3.1},
			{Name: "trait", Score: 1}}},
		{Terms: []schema.Term{{Name: "channel", Score: -2.8}, {Name: "prior", Score: -3}, {Name: "joint", Score: -4}}},
	}
	say := func(terms []schema.Term) string {
		var parts []string
		for _, t := range terms {
			parts = append(parts, t.Name+" "+written(t.Score))
		}
		return strings.Join(parts, ", ")
	}
	if got, want := say(compared(all, 0)), "channel ×10, trait ×2.7, joint ×55"; got != want {
		t.Errorf("the first: %s, want %s", got, want)
	}
	if got, want := say(compared(all, 1)), "channel ÷10, joint ÷55, trait ÷2.7"; got != want {
		t.Errorf("the second: %s, want %s", got, want)
	}
	if got := compared(all[:1], 0); got != nil {
		t.Errorf("beside nothing: %v", got)
	}
	if note := compared(all, 0)[0].Note; note != "taken as heard" {
		t.Errorf("the note is %q", note)
	}
}
