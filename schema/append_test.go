package schema

import (
	"bytes"
	"encoding/json"
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"
)

// encoded is what encoding/json makes of v without its escapes for HTML.
func encoded(v any) (string, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	err := e.Encode(v)
	return string(bytes.TrimSuffix(b.Bytes(), []byte("\n"))), err
}

// The writer of quantities said is written by hand: with any one field filled, and
// with all, it gives what encoding/json does, so that no field can be forgotten.
func TestAppendEveryField(t *testing.T) {
	base := Said{Kind: KindVoltage, Status: StatusHeard, Readings: []Reading{}, Why: []string{}}
	full := base
	for i := range reflect.TypeFor[Said]().NumField() {
		one := base
		for _, s := range []*Said{&one, &full} {
			fillValue(t, reflect.ValueOf(s).Elem().Field(i))
		}
		checkAppend(t, reflect.TypeFor[Said]().Field(i).Name, &one)
	}
	checkAppend(t, "nothing", &base)
	checkAppend(t, "all", &full)
}

func checkAppend(t *testing.T, name string, s *Said) {
	t.Helper()
	want, err := encoded(s)
	if err != nil {
		t.Fatal(err)
	}
	if got, ok := s.append(nil); !ok || string(got) != want {
		t.Errorf("%s: %v\n%s, want\n%s", name, ok, got, want)
	}
}

// fillValue fills a value, and what it holds, with something that is not zero.
func fillValue(t *testing.T, v reflect.Value) {
	switch v.Interface().(type) {
	case Decimal:
		v.Set(reflect.ValueOf(MustDecimal("3.250")))
		return
	case Quantity:
		q := Between(MustDecimal("1.0"), MustDecimal("2"), "V")
		typical := MustDecimal("1.5")
		q.Typical, q.Tolerance = &typical, &Tolerance{MustDecimal("5"), "%"}
		v.Set(reflect.ValueOf(q))
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString("a \"word\" <5\u00a0kΩ>\u2028\x01")
	case reflect.Int, reflect.Int64:
		v.SetInt(1205)
	case reflect.Uint8:
		v.SetUint(2)
	case reflect.Float64:
		v.SetFloat(0.9375)
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fillValue(t, v.Elem())
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		fillValue(t, v.Index(0))
		fillValue(t, v.Index(1))
	case reflect.Struct:
		for i := range v.NumField() {
			fillValue(t, v.Field(i))
		}
	default:
		t.Fatalf("nothing to fill a %s with", v.Type())
	}
}

func TestAppendRefuses(t *testing.T) {
	fine := func() *Said {
		return &Said{Kind: KindVoltage, Status: StatusHeard, Belongs: []Belonging{{}},
			Readings: []Reading{{Terms: []Term{{}}}}}
	}
	for name, spoil := range map[string]func(*Said){
		"no kind":         func(s *Said) { s.Kind = 0 },
		"unknown kind":    func(s *Said) { s.Kind = 200 },
		"no status":       func(s *Said) { s.Status = 0 },
		"unknown status":  func(s *Said) { s.Status = 200 },
		"qualifier":       func(s *Said) { s.Qualifier = 200 },
		"aside":           func(s *Said) { s.Aside = 200 },
		"confidence":      func(s *Said) { s.Confidence = math.NaN() },
		"nothing":         func(s *Said) { s.Nothing = math.Inf(1) },
		"information":     func(s *Said) { s.Information = math.Inf(-1) },
		"of a reading":    func(s *Said) { s.Readings[0].Confidence = math.NaN() },
		"score of a term": func(s *Said) { s.Readings[0].Terms[0].Score = math.Inf(1) },
		"of a belonging":  func(s *Said) { s.Belongs[0].Confidence = math.NaN() },
	} {
		s := fine()
		spoil(s)
		if _, ok := s.append(nil); ok {
			t.Errorf("%s: written", name)
		}
		if _, err := json.Marshal(s); err == nil {
			t.Errorf("%s: encoding/json writes it", name)
		}
	}
	if _, ok := fine().append(nil); !ok {
		t.Error("one with nothing wrong is refused")
	}
}

// Any text and any number is written as encoding/json does.
func TestAppendTextAndNumber(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(rapid.String(),
			rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) }),
			rapid.StringMatching("[a-zA-Z ~]{0,20}[\"\\\\\x00-\x1f\x7f\u00e9]?[a-zA-Z ]{0,20}"),
			rapid.StringMatching("[\u2026-\u202a\"\\\\\x00-\x20<>&a\x7f]*")).Draw(t, "text")
		if want, _ := encoded(text); string(appendText(nil, text)) != want {
			t.Errorf("text %q is %s, want %s", text, appendText(nil, text), want)
		}
		v := rapid.OneOf(rapid.Float64(), rapid.Map(rapid.Int64Range(-1e16, 1e16), func(n int64) float64 {
			return float64(n) / 1e4
		}), rapid.Map(rapid.Int64Range(-1e6, 1e6), func(n int64) float64 { return float64(n) / 1e5 })).Draw(t, "number")
		if want, err := encoded(v); err == nil && string(appendNumber(nil, v)) != want {
			t.Errorf("number %s, want %s", appendNumber(nil, v), want)
		}
	})
	for _, v := range []float64{0, math.Copysign(0, -1), 1e-6, 9.99e-7, -1e-7, 1e-10, 1e20, 1e21, -1e300, 1e-300, 0.1,
		100} {
		if want, _ := encoded(v); string(appendNumber(nil, v)) != want {
			t.Errorf("number %s, want %s", appendNumber(nil, v), want)
		}
	}
}
