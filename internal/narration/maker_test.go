package narration

import (
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"saywatt/schema"

	"pgregory.net/rapid"
)

// marked reads the narrations to learn from.
func marked(t testing.TB) []*Narration {
	t.Helper()
	files, err := filepath.Glob("../../testdata/tuning/*.mark")
	if err != nil || len(files) < 20 {
		t.Fatalf("%d narrations: %v", len(files), err)
	}
	var out []*Narration
	for _, f := range files {
		source, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		n, err := Parse(strings.TrimSuffix(filepath.Base(f), ".mark"), string(source))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, n)
	}
	return out
}

func maker(t testing.TB, seed uint64) *Maker {
	t.Helper()
	m, err := NewMaker(seed, marked(t))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func next(t testing.TB, m *Maker) *Narration {
	t.Helper()
	n, err := m.Next()
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// What is written reads back the same.
func TestMarkRoundTrip(t *testing.T) {
	for _, n := range marked(t) {
		roundTrip(t, n)
	}
	m := maker(t, 7)
	for range 200 {
		roundTrip(t, next(t, m))
	}
}

func roundTrip(t *testing.T, n *Narration) {
	t.Helper()
	back, err := Parse(n.Name, n.Mark())
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(n, back) {
		for i := range min(len(n.Marks), len(back.Marks)) {
			if !reflect.DeepEqual(n.Marks[i], back.Marks[i]) {
				t.Errorf("%s: mark %+v, back %+v", n.Name, n.Marks[i], back.Marks[i])
			}
		}
		t.Fatalf("%s: back with another text, levels, parts or head:\n%s", n.Name, back.Mark())
	}
}

// The same seed gives the same bytes, another seed others; the sources stay.
func TestMakerSeeds(t *testing.T) {
	from := marked(t)[:12]
	before := from[0].Mark()
	write := func(seed uint64) string {
		m, err := NewMaker(seed, from)
		if err != nil {
			t.Fatal(err)
		}
		var b strings.Builder
		for range 4 {
			b.WriteString(next(t, m).Mark())
		}
		return b.String()
	}
	rapid.Check(t, func(r *rapid.T) {
		seed := rapid.Uint64().Draw(r, "seed")
		a := write(seed)
		if a != write(seed) {
			r.Fatal("the same seed made other bytes")
		}
		if a == write(seed+1) {
			r.Fatal("another seed made the same bytes")
		}
	})
	if from[0].Mark() != before {
		t.Error("making changed a source")
	}
	if _, err := NewMaker(1, nil); err == nil {
		t.Error("a maker without sources")
	}
}

// Captions of every form align, their truth can be written, and every slot has
// a class.
func TestMadeCaptions(t *testing.T) {
	m := maker(t, 3)
	for range 60 {
		n := next(t, m)
		for _, form := range []string{"vtt", "srt", "txt", "notes"} {
			if form == "notes" && strings.Contains(n.Text, ">>") {
				continue // a quotation of Markdown
			}
			if _, err := n.Gold(n.Name+Ending(form), form); err != nil {
				t.Fatal(form, err)
			}
		}
		for i := range n.Marks {
			if _, ok := n.Class(&n.Marks[i]); !ok {
				t.Errorf("%s: slot %q has no class", n.Name, n.Marks[i].Slot)
			}
		}
	}
}

// Made levels keep physics: the power said with a fixed level is volts times
// amperes, as it is in the source; what is said plainly says what is meant.
func TestMadePhysics(t *testing.T) {
	m := maker(t, 5)
	checked := 0
	for range 200 {
		n := next(t, m)
		type level struct{ v, a, w schema.Quantity }
		levels := map[string]*level{}
		for i := range n.Marks {
			mark := &n.Marks[i]
			if mark.Kind != MarkQuantity || mark.Meant.Range {
				continue
			}
			if row := n.Level(mark.Table()); row == nil || !strings.HasPrefix(row.Port, "USB") {
				continue
			}
			l := levels[mark.Table()]
			if l == nil {
				l = &level{}
				levels[mark.Table()] = l
			}
			switch mark.Meant.Unit {
			case "V":
				l.v = mark.Meant
			case "A":
				l.a = mark.Meant
			case "W":
				l.w = mark.Meant
			}
		}
		for id, l := range levels {
			if l.v.IsZero() || l.a.IsZero() || l.w.IsZero() {
				continue
			}
			checked++
			if p := l.v.SI() * l.a.SI(); math.Abs(p-l.w.SI()) > 0.06*p {
				t.Errorf("%s: %s is %s %s %s", n.Name, id, l.v, l.a, l.w)
			}
		}
	}
	if checked < 50 {
		t.Errorf("only %d levels with a power", checked)
	}
}

// Paragraphs of others come in, and values of each kind are exchanged.
func TestExchanges(t *testing.T) {
	m := maker(t, 9)
	changed, foreign := map[string]int{}, 0
	for range 400 {
		w := &world{Maker: m, base: m.sources[m.rng.IntN(len(m.sources))]}
		w.assemble()
		other := false
		meant := map[*Mark]schema.Quantity{}
		w.each(func(p *piece) {
			meant[p.mark] = p.mark.Meant
			other = other || p.from != w.base
		})
		if other {
			foreign++
		}
		w.values()
		w.each(func(p *piece) {
			if p.mark.Kind != MarkQuantity || p.mark.Meant.Low.Equal(meant[p.mark].Low) {
				return
			}
			switch name, _, _ := strings.Cut(p.mark.Slot, "@"); {
			case strings.HasPrefix(name, "power"):
				changed["power"]++
			case p.from.n.Level(p.mark.Table()) != nil:
				changed["level"]++
			case p.from.n.PartOf(p.mark.Table()) != nil:
				changed["part"]++
			default:
				changed[name]++
			}
			if !p.say.saysPlainly(p.mark.Meant) || p.text != p.say.String() {
				t.Errorf("%s: %q for %s", p.from.n.Name, p.text, notation(p.mark.Meant))
			}
		})
	}
	t.Logf("%d of 400 with paragraphs of others; values changed: %v", foreign, changed)
	for _, kind := range []string{"level", "part", "size", "mass", "meas.temperature", "power"} {
		if changed[kind] < 10 {
			t.Errorf("%s: only %d values changed", kind, changed[kind])
		}
	}
	if foreign < 60 {
		t.Errorf("paragraphs of others in only %d of 400", foreign)
	}
}

func (s *saying) saysPlainly(q schema.Quantity) bool {
	again := takeApart(s.String(), q)
	return again != nil && again.String() == s.String()
}

// Another manner changes the words and no meaning.
func TestManners(t *testing.T) {
	source := "form: vtt\n---\n<C1|USB-C1|port> gives {5 volts|5 V|L1} {3 amps|3 A|L1}, {9 volts|9 V|L2} {3 amps|3 " +
		"A|L2}.\n\n" +
		"It draws {2.1 amps|2.1 A|meas.current} at {9 volts|9 V|cond.voltage}, {one amp|1 A|meas.current} later.\n" +
		"---\nL1 mode=output port=USB-C1 protocol=\nL2 mode=output port=USB-C1 protocol=\n"
	n, err := Parse("small", source)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		do   func(w *world)
		want string
	}{
		{"at", func(w *world) { w.sayBetween(" at ") },
			"C1 gives 5 volts at 3 amps, 9 volts at 3 amps.\n\nIt draws 2.1 amps at 9 volts, one amp later.\n"},
		{"amperes", func(w *world) { w.sayAmperes(" amperes", false) },
			"C1 gives 5 volts 3 amperes, 9 volts 3 amperes.\n\nIt draws 2.1 amperes at 9 volts, one amp later.\n"},
		{"symbol", func(w *world) { w.sayAmperes(" A", true) },
			"C1 gives 5 volts 3 A, 9 volts 3 A.\n\nIt draws 2.1 A at 9 volts, one amp later.\n"},
	} {
		w := &world{Maker: &Maker{rng: newRand(1), tables: loadMakerTables()}, base: takeSource(n)}
		w.take(w.base.paragraphs)
		c.do(w)
		made, err := w.narration("made")
		if err != nil {
			t.Fatal(err)
		}
		if made.Text != c.want {
			t.Errorf("%s: %q, want %q", c.name, made.Text, c.want)
		}
		for i := range made.Marks {
			if notation(made.Marks[i].Meant) != notation(n.Marks[i].Meant) {
				t.Errorf("%s: mark %d means %s", c.name, i, notation(made.Marks[i].Meant))
			}
		}
	}
}

// A level list of the table says what its row says, and its rows rise in no
// port's way above 5 A.
func TestLevelLists(t *testing.T) {
	for i, l := range loadMakerTables().lists {
		for _, p := range l.levels {
			if five := schema.MustDecimal("5"); p.a.Cmp(five) > 0 || p.v.Sign() <= 0 || p.a.Sign() <= 0 {
				t.Errorf("list %d: %s V %s A", i, p.v, p.a)
			}
		}
	}
}

// The share of garbled quantities is the rate asked for, and each garble comes
// as often as its weight says.
func TestGarbleRates(t *testing.T) {
	m := maker(t, 11)
	for _, rate := range []float64{0, 0.05, 0.2} {
		said, garbles := 0, 0
		for range 150 {
			n, err := m.withRate(rate)
			if err != nil {
				t.Fatal(err)
			}
			for i := range n.Marks {
				if n.Marks[i].Kind == MarkQuantity {
					said++
					if n.Marks[i].Garble != "" {
						garbles++
					}
				}
			}
		}
		// few quantities cannot be said plainly, and keep the garble that they had
		if got := float64(garbles) / float64(said); math.Abs(got-rate) > 0.015 {
			t.Errorf("rate %v: %.3f garbled", rate, got)
		}
	}
	for _, c := range []struct{ shown, meant string }{
		{"3.25 amps", "3.25 A"}, {"13 volts", "13 V"}, {"2716 milliamp hours", "2716 mA.h"},
		{"3.3 to 21 volts", "3.3..21 V"},
		{"three point two five amps", "3.25 A"}, {"0.8 volts", "0.8 V"},
	} {
		q := schema.MustQuantity(c.meant)
		say := takeApart(c.shown, q)
		if say == nil || say.String() != c.shown {
			t.Fatalf("%q is taken apart as %v", c.shown, say)
		}
		want, total := map[string]int{}, 0
		for _, g := range m.possible(say, q) {
			want[g.row.label] += g.row.weight
			total += g.row.weight
		}
		const draws = 20000
		got := map[string]int{}
		for range draws {
			p := piece{mark: &Mark{Meant: q}, say: say}
			m.garbleOne(&p, true)
			got[p.mark.Garble]++
			if p.text == c.shown {
				t.Fatalf("%q was not garbled by %s", c.shown, p.mark.Garble)
			}
		}
		for label, w := range want {
			share := float64(w) / float64(total)
			if d := math.Abs(float64(got[label])/draws - share); d > 0.02 {
				t.Errorf("%q: %s in %.3f of the garbles, want %.3f", c.shown, label, float64(got[label])/draws, share)
			}
		}
	}
}

// What each garble does, as counted in captions.
func TestGarbles(t *testing.T) {
	for _, c := range []struct{ act, shown, meant, want string }{
		{"point_word", "3.7 volts", "3.7 V", "3 point 7 volts"},
		{"point_lost", "3.25 amps", "3.25 A", "325 amps"},
		{"point_lost", "0.1 amps", "0.1 A", "01 amps"},
		{"point_lost", "325 amps", "325 A", ""},
		{"point_lost", "three point two five amps", "3.25 A", "three two five amps"},
		{"broken_decimals", "1.35 volts", "1.35 V", "1.3 5 volts"},
		{"broken_decimals", "83.1 percent", "83.1 %", "80 3.1 percent"},
		{"leading_zero", "0.8 volts", "0.8 V", ".8 volts"},
		{"leading_zero", "1.8 volts", "1.8 V", ""},
		{"clock", "2930 milliamp hours", "2930 mA.h", "29:30 milliamp hours"},
		{"pair_apart", "2716 milliamp hours", "2716 mA.h", "27 16 milliamp hours"},
		{"thousands_apart", "25,000 milliamp hours", "25000 mA.h", "25 000 milliamp hours"},
		{"range_to", "3.3 to 21 volts", "3.3..21 V", "3.3 221 volts"},
		{"range_merged", "50/60 hertz", "50..60 Hz", "5060 hertz"},
		{"range_lost", "120 to 240 volts", "120..240 V", "120 240 volts"},
		{"teen_ty", "13 volts", "13 V", "30 volts"},
		{"teen_ty", "thirty volts", "30 V", "thirteen volts"},
		{"teen_ty", "20 volts", "20 V", ""},
		{"homophone", "2 amps", "2 A", "to amps"},
		{"homophone", "4.95 amps", "4.95 A", "for .95 amps"},
		{"homophone", "eight watts", "8 W", "ate watts"},
		{"sentence_break", "37 watt hours", "37 W.h", "37. watt hours"},
		{"unit_dropped", "20 volts", "20 V", "20"},
		{"hour_lost", "2130 milliamp hours", "2130 mA.h", "2130 milliamps"},
	} {
		m := &Maker{rng: newRand(1), tables: loadMakerTables()}
		q := schema.MustQuantity(c.meant)
		say := takeApart(c.shown, q)
		if say == nil {
			t.Fatalf("%q is not taken apart", c.shown)
		}
		got := m.act(c.act, say, q)
		for range 50 { // where there are several ways
			if got == c.want {
				break
			}
			got = m.act(c.act, say, q)
		}
		if got != c.want {
			t.Errorf("%s of %q: %q, want %q", c.act, c.shown, got, c.want)
		}
	}
}

// Words that say a quantity in another way are left alone.
func TestTakeApart(t *testing.T) {
	for _, c := range []struct{ shown, meant, put, want string }{
		{"20 volts", "20 V", "9 V", "9 volts"},
		{"20V", "20 V", "9 V", "9V"},
		{"10,000 milliamp hours", "10000 mA.h", "9600 mA.h", "9,600 milliamp hours"},
		{"100 to 240 volts", "100..240 V", "100..120 V", "100 to 120 volts"},
		{"two thirty volts", "230 V", "115 V", "one fifteen volts"},
		{"six fifty volts", "650 V", "700 V", "seven hundred volts"},
		{"one hundred and twelve grams", "112 g", "108 g", "one hundred and eight grams"},
		{"sixty", "60 mm", "62 mm", "sixty two"},
		{"325 amps", "3.25 A", "", ""},
		{"1 hour 14 minutes", "74 min", "", ""},
		{"three and a quarter amps", "3.25 A", "", ""},
		{"two point five amps", "2 A", "", ""},
		{"20 to 21 volts", "20 V", "", ""},
	} {
		say := takeApart(c.shown, schema.MustQuantity(c.meant))
		if c.put == "" {
			if say != nil {
				t.Errorf("%q for %s is taken apart as %+v", c.shown, c.meant, say)
			}
			continue
		}
		if say == nil || say.String() != c.shown || !say.put(schema.MustQuantity(c.put)) || say.String() != c.want {
			t.Errorf("%q with %s: %v, want %q", c.shown, c.put, say, c.want)
		}
	}
}

// Neighbours of part values.
func TestNeighbour(t *testing.T) {
	w := &world{Maker: &Maker{rng: newRand(1), tables: loadMakerTables()}}
	for _, c := range []struct {
		value string
		want  []string
	}{
		{"4.7 uF", []string{"3.3 uF", "6.8 uF"}},
		{"120 uF", []string{"100 uF", "150 uF"}},
		{"0.33 uF", []string{"0.22 uF", "0.47 uF"}},
		{"5.1 mOhm", []string{"4.7 mOhm", "5.6 mOhm"}},
		{"1 nF", []string{"1.5 nF"}},
		{"650 V", []string{"600 V", "700 V"}},
		{"3.15 A", []string{"2.5 A", "4 A"}},
		{"5.2 mOhm", []string{"5.2 mOhm"}}, // of no series
		{"65 kHz", []string{"65 kHz"}},
		{"50 mV", []string{"50 mV"}},
	} {
		q := schema.MustQuantity(c.value)
		got := map[string]bool{}
		for range 40 {
			v := w.neighbour(q)
			got[notation(schema.One(v, q.Unit))] = true
		}
		var list []string
		for v := range got {
			list = append(list, v)
		}
		slices.Sort(list)
		slices.Sort(c.want)
		if !slices.Equal(list, c.want) {
			t.Errorf("neighbours of %s: %v, want %v", c.value, list, c.want)
		}
	}
}

// Every row of the tables has a source and is of use; heard forms are those of
// the reader's table.
func TestMakerTables(t *testing.T) {
	files, err := tableFiles.ReadDir("tables")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		for _, r := range schema.MustReadTable(tableFiles, "tables/"+f.Name()).Rows {
			if r.Get("source") == "" {
				t.Errorf("%s:%d: no source", f.Name(), r.Line)
			}
		}
	}
	heard := map[string]bool{}
	for _, file := range []string{"tables/unitwords.tsv", "testdata/heard.tsv"} { // by a row, by sound
		read, err := schema.ReadTable(os.DirFS("../../extract"), file)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range read.Rows {
			heard[r.Get("form")+"\t"+r.Get("part")+"\t"+r.Get("means")+"\t"+r.Get("n")] = true
		}
	}
	for _, r := range schema.MustReadTable(tableFiles, "tables/misheard.tsv").Rows {
		if !heard[r.Get("form")+"\t"+r.Get("part")+"\t"+r.Get("means")+"\t"+r.Get("n")] {
			t.Errorf("misheard.tsv:%d: %q is read neither by a row of extract/tables/unitwords.tsv nor by its sound",
				r.Line, r.Get("form"))
		}
	}
	for u := range loadMakerTables().units {
		if _, err := schema.ParseUnit(string(u)); err != nil {
			t.Errorf("sayunits.tsv: %v", err)
		}
	}
}

// What is taken apart goes together again, whatever the words.
func FuzzTakeApart(f *testing.F) {
	for _, s := range []string{"20 volts", "100 to 240 volts", "3.25 amps", "two thirty volts", "1,000 g", "..", "5 5",
		"12. 5"} {
		f.Add(s, "20..30 V")
		f.Add(s, "230 V")
	}
	f.Fuzz(func(t *testing.T, shown, meant string) {
		q, err := schema.ParseQuantity(meant)
		if err != nil {
			return
		}
		if say := takeApart(shown, q); say != nil && say.String() != shown {
			t.Errorf("%q for %s goes together as %q", shown, meant, say)
		}
	})
}
