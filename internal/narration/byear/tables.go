package byear

import (
	"embed"
	"fmt"
	"strconv"
	"strings"
	"sync"

	"saywatt/internal/narration"
	"saywatt/schema"
)

//go:embed tables/*.tsv
var tableFiles embed.FS

// unitWords are the words of a unit behind one and behind others; none where a
// symbol is no unit.
type unitWords struct{ one, many []string }

// numberParts are the words that join those of numbers.
type numberParts struct {
	hundred, thousand, million, point, and string
	zero                                   string // another word for it
}

// share is a value with how many parts of all draws it has.
type share struct {
	value string
	parts int
}

// wordTables are the tables that this package reads.
type wordTables struct {
	signs, between, before, words, letters map[string][]string // words said, by text
	money, units                           map[string]unitWords
	ports, protocols                       map[string][][]string // forms
	spelling                               *strings.Replacer
	parts                                  numberParts
	amounts                                map[string]bool
	value                                  map[string]int // of number words up to nineteen, and of the tens
	voices, stretches                      []share
}

var loadTables = sync.OnceValue(func() *wordTables {
	t := &wordTables{
		signs: map[string][]string{}, between: map[string][]string{}, before: map[string][]string{},
		words: map[string][]string{}, letters: map[string][]string{},
		money: map[string]unitWords{}, units: map[string]unitWords{},
		ports: map[string][][]string{}, protocols: map[string][][]string{},
		amounts: map[string]bool{}, value: map[string]int{},
	}
	t.loadSpoken()
	t.loadNumbers()
	t.loadVoices()
	return t
})

// loadSpoken reads spoken.tsv behind the units of the schema.
func (t *wordTables) loadSpoken() {
	table := schema.MustReadTable(tableFiles, "tables/spoken.tsv")
	var spelling []string
	for _, r := range table.Rows {
		if r.Get("where") == "spelling" {
			spelling = append(spelling, r.Get("text"), r.Get("words"))
		}
	}
	t.spelling = strings.NewReplacer(spelling...)
	for _, u := range schema.Units() {
		if u.Symbol != "" {
			t.units[symbol(u.Symbol)] = t.oneMany([]string{u.One, u.Many})
		}
	}
	plain := map[string]map[string][]string{"sign": t.signs, "between": t.between, "before": t.before, "word": t.words,
		"letter": t.letters}
	for _, r := range table.Rows {
		where, text, forms := r.Get("where"), r.Get("text"), r.List("words")
		switch {
		case plain[where] != nil:
			plain[where][text] = strings.Fields(forms[0])
		case where == "money":
			t.money[text] = t.oneMany(forms)
		case where == "unit":
			t.units[symbol(text)] = t.oneMany(forms)
		case where == "port":
			t.ports[text] = fields(forms)
		case where == "protocol":
			t.protocols[text] = fields(forms)
		case where != "spelling":
			panic(fmt.Sprintf("%s:%d: where %q", table.Name, r.Line, where))
		}
	}
}

// oneMany returns the words of a unit in the spelling and case of the recogniser.
func (t *wordTables) oneMany(forms []string) unitWords {
	if len(forms) != 2 {
		return unitWords{}
	}
	words := func(s string) []string {
		return strings.Fields(strings.ToLower(strings.ReplaceAll(t.spelling.Replace(s), "-", " ")))
	}
	return unitWords{words(forms[0]), words(forms[1])}
}

func fields(forms []string) [][]string {
	var out [][]string
	for _, f := range forms {
		out = append(out, strings.Fields(f))
	}
	return out
}

// loadNumbers reads numberparts.tsv, and the number words of package narration.
func (t *wordTables) loadNumbers() {
	table := schema.MustReadTable(tableFiles, "tables/numberparts.tsv")
	p := &t.parts
	into := map[string]*string{"hundred": &p.hundred, "thousand": &p.thousand, "million": &p.million, "point": &p.point,
		"and": &p.and, "zero": &p.zero}
	for _, r := range table.Rows {
		switch at := into[r.Get("part")]; {
		case at != nil && *at == "":
			*at = r.Get("word")
		case r.Get("part") == "amount":
			t.amounts[r.Get("word")] = true
		default:
			panic(fmt.Sprintf("%s:%d: part %q", table.Name, r.Line, r.Get("part")))
		}
	}
	for n := range 100 {
		if n < 20 || n%10 == 0 {
			t.value[narration.InWords(n, false)] = n
		}
	}
}

func (t *wordTables) loadVoices() {
	table := schema.MustReadTable(tableFiles, "tables/voices.tsv")
	for _, r := range table.Rows {
		parts, err := strconv.Atoi(r.Get("share"))
		if err != nil || parts < 1 {
			panic(fmt.Sprintf("%s:%d: share %q", table.Name, r.Line, r.Get("share")))
		}
		s := share{r.Get("value"), parts}
		switch r.Get("what") {
		case "voice":
			t.voices = append(t.voices, s)
		case "stretch":
			t.stretches = append(t.stretches, s)
		default:
			panic(fmt.Sprintf("%s:%d: what %q", table.Name, r.Line, r.Get("what")))
		}
	}
}

// numeral reports whether a word is of a number, or in digits, or an amount.
func (t *wordTables) numeral(word string) bool {
	if _, ok := t.value[word]; ok || t.amounts[word] || word != "" && digit(word[0]) {
		return true
	}
	p := &t.parts
	switch word {
	case p.hundred, p.thousand, p.million, p.point, p.zero:
		return true
	}
	return false
}

// symbol writes a symbol of a unit with one of the two signs that Unicode has for
// micro and for ohm.
func symbol(s string) string { return oneSign.Replace(s) }

var oneSign = strings.NewReplacer("μ", "µ", "\u2126", "\u03a9")

func digit(c byte) bool { return c >= '0' && c <= '9' }
