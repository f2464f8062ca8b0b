package desk

import (
	"embed"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"sync"

	"saywatt/extract"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// Bounds on what is typed, in bytes.
const (
	maxTyped = 200
	maxNote  = 1000
)

// Errors of what was typed.
var (
	errTypedNothing = errors.New("no number is in what you typed; write for instance 3.25, 3.25 A or 3.3 to 21 V")
	errTypedMany    = errors.New("more than one quantity is in what you typed; write one")
	errTypedLong    = fmt.Errorf("a value of more than %d bytes is not read", maxTyped)
)

// An otherKind is a value of another physical kind than what was heard is read
// as: a voltage where a current is asked about. It is taken when it is typed
// again as it stands.
type otherKind struct{ typed, asked schema.Kind }

func (e *otherKind) Error() string { return e.words() + ". Enter again takes it." }

// words say what it is and what is asked about.
func (e *otherKind) words() string { return e.typed.Words() + ", not " + e.asked.Words() }

// ofOtherKind says where a value is of another kind than is asked about, nil where
// it is not.
func ofOtherKind(v *typedValue, open *schema.Said) error {
	if open.LikeKind(&v.Quantity) {
		return nil
	}
	return &otherKind{v.Quantity.Unit.Kind(), open.Quantity.Unit.Kind()}
}

// A typedValue is what was understood of what a person typed.
type typedValue struct {
	Quantity schema.Quantity
	Beside   string // what was said beside it: about, at most; "" where nothing
}

// note is what is put down of the words beside the value.
func (v *typedValue) note(typed string) string {
	if v.Beside == "" {
		return ""
	}
	return v.Beside + ": typed as " + quoted(typed)
}

// typedQuantity reads what a person typed, by the scanner that reads captions.
// A number without a unit has the one given.
func typedQuantity(text string, unit schema.Unit) (*schema.Quantity, error) {
	v, err := understand(text, unit)
	if err != nil {
		return nil, err
	}
	return &v.Quantity, nil
}

// understand reads a value with what stands beside it.
func understand(text string, unit schema.Unit) (*typedValue, error) {
	text = withoutMarks(strings.TrimSpace(text))
	if len(text) > maxTyped {
		return nil, errTypedLong
	}
	found := extract.ParseQuantities(text)
	if len(found) == 0 {
		return nil, errTypedNothing
	}
	first, last := found[0].Span, found[len(found)-1].Span
	before, ok1 := besideOf(text[:first.Start])
	after, ok2 := besideOf(text[last.End:])
	if !ok1 || !ok2 {
		return nil, fmt.Errorf("“%s” is not understood; write for instance 3.25, 3.25 A or 3.3 to 21 V", clip(text, 60))
	}
	v := &typedValue{Quantity: found[0].Quantity, Beside: strings.Join(append(before, after...), ", ")}
	for i := 1; i < len(found); i++ {
		between := strings.TrimSpace(text[found[i-1].Span.End:found[i].Span.Start])
		sum, ok := together(v.Quantity, minutesBehind(v.Quantity, &found[i], i == len(found)-1))
		if !ok || between != "" && between != "and" {
			return nil, errTypedMany
		}
		v.Quantity = sum
	}
	if !found[0].HasUnit {
		if unit == "" {
			return nil, errTypedNothing
		}
		v.Quantity.Unit = unit
	}
	v.Quantity.Unit = degreesOf(v.Quantity.Unit, unit)
	return v, nil
}

// withoutMarks takes out the apostrophes that group digits in threes: 10'000.
func withoutMarks(text string) string {
	var b strings.Builder
	done := 0
	for i, c := range text {
		if c != '\'' && c != '’' || i == 0 || !isDigit(text[i-1]) {
			continue
		}
		end := i + len(string(c))
		n := end
		for n < len(text) && isDigit(text[n]) {
			n++
		}
		if n-end == 3 {
			b.WriteString(text[done:i])
			done = end
		}
	}
	return b.String() + text[done:]
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// minutesBehind is what stands behind hours: 1 h 30 and 1h30m are minutes, which
// else would have no unit, or be metres.
func minutesBehind(large schema.Quantity, small *extract.Found, last bool) schema.Quantity {
	q := small.Quantity
	if last && large.Unit == "h" && (!small.HasUnit || q.Unit == "m") {
		q.Unit = "min"
	}
	return q
}

// together adds a value in a smaller unit to one in a larger: 2 h 15 min.
func together(large, small schema.Quantity) (schema.Quantity, bool) {
	if large.Range || small.Range || large.Unit.Kind() != small.Unit.Kind() ||
		large.Unit.Kind() == schema.KindTemperature ||
		!(large.Unit.Scale() > small.Unit.Scale()) || !large.Low.IsWhole() {
		return large, false
	}
	in, err := large.Unit.Convert(large.Low, small.Unit)
	if err != nil || small.Low.Cmp(mustOne(large.Unit, small.Unit)) >= 0 {
		return large, false
	}
	return schema.One(in.Add(small.Low), small.Unit), true
}

// mustOne is one of the larger unit in the smaller.
func mustOne(large, small schema.Unit) schema.Decimal {
	one, err := large.Convert(schema.NewDecimal(1, 0), small)
	if err != nil {
		return schema.Decimal{}
	}
	return one
}

// degreesOf takes degrees for those of the temperature that is asked about.
func degreesOf(typed, asked schema.Unit) schema.Unit {
	if typed.Kind() == schema.KindAngle && asked.Kind() == schema.KindTemperature {
		return asked
	}
	return typed
}

//go:embed tables/beside.tsv
var besideFiles embed.FS

// besideWords are the words that may stand beside a value, the longest first.
var besideWords = sync.OnceValue(func() []schema.Row {
	rows := slices.Clone(schema.MustReadTable(besideFiles, "tables/beside.tsv").Rows)
	slices.SortStableFunc(rows, func(a, b schema.Row) int { return len(b.Get("word")) - len(a.Get("word")) })
	return rows
})

// besideOf says what the words before or behind a value say; ok is false where
// some are not known, which would be lost.
func besideOf(text string) (says []string, ok bool) {
	for {
		text = strings.TrimLeft(text, " \t,")
		if strings.Trim(text, ".") == "" {
			return says, true
		}
		word := slices.IndexFunc(besideWords(), func(r schema.Row) bool { return begins(text, r.Get("word")) })
		if word < 0 {
			return nil, false
		}
		r := besideWords()[word]
		says, text = append(says, r.Get("as")), text[len(r.Get("word")):]
	}
}

// begins reports whether a text begins with a word, in any case.
func begins(text, word string) bool {
	if len(text) < len(word) || !strings.EqualFold(text[:len(word)], word) {
		return false
	}
	rest := text[len(word):]
	letter := func(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }
	return rest == "" || !letter(rest[0]) || !letter(word[len(word)-1])
}

// pointLikeThousands reports whether a number has one point with three digits
// behind it: elsewhere that is how thousands are grouped.
func pointLikeThousands(text string) bool {
	whole, rest, found := strings.Cut(text, ".")
	if !found || whole == "" || !isDigit(whole[len(whole)-1]) || strings.TrimLeft(whole, "0") == "" {
		return false
	}
	n := 0
	for n < len(rest) && isDigit(rest[n]) {
		n++
	}
	return n == 3 && !strings.ContainsAny(rest[n:], ".,")
}

// understood says to a page what would be taken of what is being typed.
func (d *Desk) understood(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	said := quantityAt(s.record, q.URL.Query().Get("at"))
	text := q.URL.Query().Get("typed")
	if said == nil || strings.TrimSpace(text) == "" {
		return
	}
	v, err := understand(text, r.undecided(s, said).Quantity.Unit)
	if err != nil {
		w.Write([]byte("? " + err.Error()))
		return
	}
	out := "= " + word.Quantity(&v.Quantity)
	if v.Beside != "" {
		out += "; put down with it: " + v.Beside
	}
	var other *otherKind
	if errors.As(ofOtherKind(v, r.undecided(s, said)), &other) {
		out += "; " + other.words()
	}
	if pointLikeThousands(text) {
		out += "; the point is the decimal sign"
	}
	w.Write([]byte(out))
}
