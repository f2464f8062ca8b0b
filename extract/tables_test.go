package extract

import (
	"strconv"
	"strings"
	"testing"

	"saywatt/extract/sound"
	"saywatt/schema"
)

// eachRow walks a table of the scanner: every row has a source, and no two
// rows have the same key.
func eachRow(t *testing.T, name string, key []string, check func(t *testing.T, r schema.Row)) {
	t.Helper()
	table, err := schema.ReadTable(tables, "tables/"+name)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]int{}
	for _, r := range table.Rows {
		var k []string
		for _, c := range key {
			k = append(k, fold(r.Get(c)))
		}
		joined := strings.Join(k, " as ")
		if line := seen[joined]; line > 0 {
			t.Errorf("%s:%d: %q is in line %d already", name, r.Line, joined, line)
		}
		seen[joined] = r.Line
		if strings.TrimSpace(r.Get("source")) == "" {
			t.Errorf("%s:%d: %q has no source", name, r.Line, joined)
		}
		if strings.Join(k, "") != strings.TrimSpace(strings.Join(k, "")) {
			t.Errorf("%s:%d: %q has blanks around it", name, r.Line, joined)
		}
		check(t, r)
	}
}

// scanned returns a parser over the tokens of a text.
func scanned(text string) *parser {
	p := &parser{x: Words(), text: []byte(text)}
	p.tokens = p.x.Scan(nil, p.text)
	return p
}

// entryOf returns the entry of a word, which must scan as one token.
func entryOf(t *testing.T, where string, line int, word string) *entry {
	t.Helper()
	p := scanned(word)
	if len(p.tokens) != 1 || p.tokens[0].Word == 0 {
		t.Errorf("%s:%d: %q scans as %d tokens, or is not in the lexicon", where, line, word, len(p.tokens))
		return &entry{}
	}
	return &p.x.entries[p.tokens[0].Word]
}

func TestWordsTable(t *testing.T) {
	eachRow(t, "words.tsv", []string{"word"}, func(t *testing.T, r schema.Row) {
		name, _, _ := strings.Cut(r.Get("class"), ":")
		e := entryOf(t, "words.tsv", r.Line, r.Get("word"))
		if classNames[e.class] != name {
			t.Errorf("words.tsv:%d: %q is read as %q, want %q", r.Line, r.Get("word"), classNames[e.class], name)
		}
		// values the grammar can work with
		v := e.value
		ok := true
		switch e.class {
		case classDigitWord:
			ok = v >= 0 && v <= 9
		case classTeen:
			ok = v >= 10 && v <= 19
		case classTens:
			ok = v >= 20 && v <= 90 && v%10 == 0
		case classHundred:
			ok = v == 2
		case classScale:
			ok = v >= 3 && v%3 == 0
		case classFraction:
			_, ok = ratio(1, int64(v))
		case classRepeat:
			ok = v == 2 || v == 3
		case classVulgar:
			ok = v > 0 && v < 1000
		}
		if !ok {
			t.Errorf("words.tsv:%d: %q of class %q has value %d", r.Line, r.Get("word"), name, v)
		}
	})
	if len(classNames) != int(classFiller)+1 {
		t.Errorf("%d names for %d classes", len(classNames), int(classFiller)+1)
	}
}

func TestUnitWordsTable(t *testing.T) {
	const name = "unitwords.tsv"
	alone := map[string]schema.Row{} // the row of a form that is a unit without more
	eachRow(t, name, []string{"form", "part"}, func(t *testing.T, r schema.Row) {
		form, means, manner := r.Get("form"), r.Get("means"), r.Get("manner")
		if part := r.Get("part"); part == "whole" || part == "base" {
			if other, ok := alone[form]; ok && other.Get("means") != means {
				t.Errorf("%s:%d: %q is %s on line %d already", name, r.Line, form, other.Get("means"), other.Line)
			}
			alone[form] = r
		}
		reads := func(text string, want schema.Unit) {
			t.Helper()
			checkReads(t, name, r, text, want)
		}
		if (r.Get("n") != "0") != (manner == "heard") {
			t.Errorf("%s:%d: %q is %s and was seen %s times; heard forms have a count, others none", name, r.Line, form,
				manner, r.Get("n"))
		}
		switch part := r.Get("part"); part {
		case "whole", "phrase", "base":
			checkUnitWord(t, name, r, reads)
		case "prefix":
			checkPrefixWord(t, name, r, reads)
		case "hour":
			if means != "h" && means != "A.h" {
				t.Errorf("%s:%d: hour word %q means %q", name, r.Line, form, means)
			}
			reads("12 milliamp "+form, "mA.h")
			if means == "h" {
				reads("12 watt "+form, "W.h")
			}
		case "power":
			if means != "2" && means != "3" {
				t.Errorf("%s:%d: power %q", name, r.Line, means)
			}
			reads("12 "+form+" metres", schema.Unit("m"+means))
		case "per":
			reads("0.6 watts "+form+" cubic centimetre", "W/cm3")
		case "below":
			reads("0.6 watts per "+form, schema.Unit("W/"+means))
			reads("0.6 watts a "+form, schema.Unit("W/"+means))
		default:
			t.Errorf("%s:%d: part %q", name, r.Line, part)
		}
	})
}

// checkReads: a form reads as a unit behind 12, all of it.
func checkReads(t *testing.T, name string, r schema.Row, text string, want schema.Unit) {
	t.Helper()
	found := ParseQuantities(text)
	if len(found) != 1 || found[0].Quantity.Unit != want || found[0].Span.End != len(text) {
		t.Errorf("%s:%d: %q reads as %v, want 12 %s", name, r.Line, text, found, want)
	}
}

// checkUnitWord checks a row whose form is a unit, alone or with a prefix before it.
func checkUnitWord(t *testing.T, name string, r schema.Row, reads func(string, schema.Unit)) {
	t.Helper()
	form, means, manner, part := r.Get("form"), r.Get("means"), r.Get("manner"), r.Get("part")
	unit := schema.Unit(means)
	if _, err := schema.ParseUnit(means); err != nil {
		t.Errorf("%s:%d: schema has no unit %q", name, r.Line, means)
		return
	}
	if part == "phrase" && !strings.Contains(form, " ") && manner != "heard" &&
		schema.Unit(means).Kind() != schema.KindDataRate {
		t.Errorf("%s:%d: phrase %q is one word", name, r.Line, form)
	}
	reads("12 "+form, unit)
	if part == "base" && manner == "said" && unit != "m" && unit != "By" { // schema lists a thousandth of it
		for _, prefix := range []string{"milli", "kilo"} {
			code := schema.Unit(map[string]string{"milli": "m", "kilo": "k"}[prefix] + means)
			if _, ok := code.Info(); ok {
				reads("12 "+prefix+form, code)
				reads("12 "+prefix+" "+form, code)
			}
		}
	}
}

// checkPrefixWord checks a row whose form multiplies the unit behind it.
func checkPrefixWord(t *testing.T, name string, r schema.Row, reads func(string, schema.Unit)) {
	t.Helper()
	form, means := r.Get("form"), r.Get("means")
	units := 0
	for _, base := range []struct {
		word string
		code schema.Unit
	}{{"amps", "A"}, {"farads", "F"}, {"hertz", "Hz"}, {"metres", "m"}, {"bytes", "By"}} {
		code := schema.Unit(means) + base.code
		if _, ok := code.Info(); ok {
			units++
			if Words().entries[Words().id(form)].class == classScale {
				continue // million is a scale first; phrases say where it stands for milli
			}
			reads("12 "+form+" "+base.word, code)
		}
	}
	if units == 0 {
		t.Errorf("%s:%d: prefix %q makes no unit of schema", name, r.Line, means)
	}
}

func TestCorrectionsTable(t *testing.T) {
	eachRow(t, "corrections.tsv", []string{"phrase"}, func(t *testing.T, r schema.Row) {
		text := "20 volts " + r.Get("phrase") + " 12 volts"
		if r.Get("where") == "behind" {
			if got := reading(text); got != "20 V; 12 V" {
				t.Errorf("corrections.tsv:%d: %s\n got %s", r.Line, text, got)
			}
			text = "20 volts sorry " + r.Get("phrase") + " 12 volts"
		}
		if got := reading(text); got != "20 V withdrawn; 12 V" {
			t.Errorf("corrections.tsv:%d: %s\n got %s", r.Line, text, got)
		}
	})
}

// TestHomophonesTable: each row names a number that is not the nearest by
// sound, which would make the row idle.
func TestHomophonesTable(t *testing.T) {
	eachRow(t, "homophones.tsv", []string{"word"}, func(t *testing.T, r schema.Row) {
		word, means := r.Get("word"), r.Get("means")
		s := Words().NumberBySound([]byte(word), scanned(word).tokens[0], sound.Anywhere)
		if !s.OK || strconv.Itoa(s.Value) != means {
			t.Errorf("homophones.tsv:%d: %q sounds like %v, want %s", r.Line, word, s, means)
		}
		if got, want := reading("watts "+word+" amps"), means+" A ~"; got != want {
			t.Errorf("homophones.tsv:%d: %q before amps reads as %q, want %q", r.Line, word, got, want)
		}
		x := *Words()
		x.ear.shown = nil
		s = x.NumberBySound([]byte(word), scanned(word).tokens[0], sound.Anywhere)
		if s.OK && strconv.Itoa(s.Value) == means {
			t.Errorf("homophones.tsv:%d: %q sounds like %s without the row", r.Line, word, means)
		}
	})
}

// TestSymbolsTable: every printed symbol and UCUM code that the scanner takes
// in exact case names the unit it is of, and leads back to it.
func TestSymbolsTable(t *testing.T) {
	n := 0
	for _, e := range Words().entries {
		for _, s := range e.symbols {
			n++
			if _, ok := s.unit.Info(); !ok {
				t.Errorf("symbol %q is of %q, which schema does not have", s.text, s.unit)
			}
			p := parser{x: Words(), text: []byte(s.text)}
			p.tokens = p.x.Scan(nil, p.text)
			if len(p.tokens) != 1 || p.tokens[0].Kind != TokenWord {
				continue // a code in several parts, W/cm3, is the grammar's
			}
			if got, ok := p.symbol(p.tokens[0]); !ok || got != s.unit {
				t.Errorf("symbol %q leads to %q, want %q", s.text, got, s.unit)
			}
		}
	}
	if n < 200 {
		t.Errorf("only %d symbols", n)
	}
}
