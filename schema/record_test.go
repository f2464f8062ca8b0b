package schema

import (
	"bytes"
	"errors"
	"io"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// sameDecimal compares decimals as they print, trailing zeros too.
var sameDecimal = cmp.Comparer(func(a, b Decimal) bool { return a.String() == b.String() })

func TestRecordRoundTrip(t *testing.T) {
	r := sampleRecord()
	first := written(t, r)
	back, err := ReadRecord(bytes.NewReader(first))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(r, back, sameDecimal); diff != "" {
		t.Errorf("record read is not the record written (-want +got):\n%s", diff)
	}
	if second := written(t, back); !bytes.Equal(first, second) {
		t.Errorf("written again it differs (-first +second):\n%s", cmp.Diff(string(first), string(second)))
	}
	var line bytes.Buffer
	if err := r.WriteLine(&line); err != nil {
		t.Fatal(err)
	}
	if n := bytes.Count(line.Bytes(), []byte("\n")); n != 1 || !bytes.HasSuffix(line.Bytes(), []byte("}\n")) {
		t.Errorf("WriteLine wrote %d lines", n)
	}
	fromLine, err := ReadRecord(&line)
	if err != nil || !bytes.Equal(written(t, fromLine), first) {
		t.Errorf("the line holds another record: %v", err)
	}
}

// TestWriteKeepsText: letters of any script and the signs of HTML are written
// as they are, so that what was heard can be searched for in the file.
func TestWriteKeepsText(t *testing.T) {
	heard := `<b>5 Ω & 3 µF</b> – "größer"`
	b := written(t, sampleRecord(func(r *Record) { r.Quantities[0].Heard = heard }))
	if want := `"heard": "<b>5 Ω & 3 µF</b> – \"größer\""`; !bytes.Contains(b, []byte(want)) {
		t.Errorf("no %s in\n%s", want, b)
	}
}

// TestWriteLeavesRecordAlone: lists are filled in for writing, not in place.
func TestWriteLeavesRecordAlone(t *testing.T) {
	r := &Record{Version: RecordVersion, Quantities: []Said{
		{Number: 1, Kind: KindVoltage, Status: StatusHeard, Quantity: MustQuantity("5 V")},
		{Number: 2, Kind: KindVoltage, Status: StatusHeard, Quantity: MustQuantity("9 V"), Why: []string{"as heard"}},
	}}
	b := written(t, r)
	if r.Cautions != nil || r.Quantities[0].Why != nil || r.Quantities[1].Readings != nil {
		t.Errorf("Write changed the record: %+v", r)
	}
	if bytes.Contains(b, []byte(`"readings": null`)) || bytes.Contains(b, []byte(`"why": null`)) || bytes.Contains(b, []byte(`"cautions": null`)) {
		t.Errorf("null for a list:\n%s", b)
	}
	if bytes.Count(b, []byte(`"readings": []`)) != 2 || bytes.Count(b, []byte(`"why": []`)) != 1 {
		t.Errorf("want two empty readings and one empty why:\n%s", b)
	}
}

func TestReadRecordErrors(t *testing.T) {
	good := string(written(t, sampleRecord()))
	for _, tt := range []struct {
		name, in string
		want     error  // nil: see message
		message  string // part of it
	}{
		{"empty", "", io.EOF, "record: "},
		{"cut short", good[:len(good)/2], io.ErrUnexpectedEOF, "record: "},
		{"another version", strings.Replace(good, RecordVersion, "saywatt/record/9", 1), ErrRecordVersion, `"saywatt/record/9", want "saywatt/record/1"`},
		{"no version", `{}`, ErrRecordVersion, `""`},
		{"null", `null`, ErrRecordVersion, `""`},
		{"list", `[]`, nil, "cannot unmarshal array"},
		{"two documents", good + good, ErrTrailing, "record: "},
		{"trailing text", good + "x", ErrTrailing, "record: "},
		{"unknown field", `{"version":"saywatt/record/1","colour":"red"}`, nil, `unknown field "colour"`},
		{"numbers out of order", strings.Replace(good, `"number": 2`, `"number": 3`, 1), ErrNumbering, "number 3 stands at place 2"},
		{"status left out", strings.Replace(good, `"status": "heard",`, ``, 1), nil, "status 0 has no name"},
		{"null for a basis", strings.Replace(good, `"basis": "measured"`, `"basis": null`, 1), nil, "basis 0 has no name"},
	} {
		_, err := ReadRecord(strings.NewReader(tt.in))
		if err == nil || tt.want != nil && !errors.Is(err, tt.want) || !strings.Contains(err.Error(), tt.message) {
			t.Errorf("%s: error %v, want %v with %q", tt.name, err, tt.want, tt.message)
		}
	}
	if _, err := ReadRecord(io.LimitReader(strings.NewReader(good+"  \n\t "), 1<<20)); err != nil {
		t.Errorf("blanks after the document: %v", err)
	}
	broken := errors.New("disk")
	if _, err := ReadRecord(io.MultiReader(strings.NewReader(good), errReader{broken})); !errors.Is(err, broken) {
		t.Errorf("error of the reader: %v", err)
	}
}

type errReader struct{ err error }

func (r errReader) Read([]byte) (int, error) { return 0, r.err }

func TestQuantityByNumber(t *testing.T) {
	r := sampleRecord()
	for number, want := range map[int]*Said{-1: nil, 0: nil, 1: &r.Quantities[0], 2: &r.Quantities[1], 3: nil} {
		if got := r.Quantity(number); got != want {
			t.Errorf("Quantity(%d) = %p, want %p", number, got, want)
		}
	}
}

// drawInto fills v with drawn values that can be written.
func drawInto(t *rapid.T, v reflect.Value, depth int) {
	switch p := v.Addr().Interface().(type) {
	case *Decimal:
		*p = drawDecimal(t, "decimal")
		return
	case *Seconds:
		*p = Seconds(rapid.Int64Range(-1e6, 1e9).Draw(t, "ms"))
		return
	case *Span:
		p.Start = rapid.IntRange(0, 1000).Draw(t, "start")
		p.End = p.Start + rapid.IntRange(0, 1000).Draw(t, "len")
		return
	case *Unit:
		*p = rapid.SampledFrom(Units()).Draw(t, "unit").Unit
		return
	case *Quantity:
		p.Unit = rapid.SampledFrom(append(Units(), UnitInfo{})).Draw(t, "unit").Unit
		p.Low = drawDecimal(t, "low")
		p.High = p.Low
		if p.Range = rapid.Bool().Draw(t, "range"); p.Range {
			p.High = drawDecimal(t, "high")
		}
		drawInto(t, reflect.ValueOf(&p.Typical).Elem(), depth+1)
		drawInto(t, reflect.ValueOf(&p.Tolerance).Elem(), depth+1)
		return
	}
	if drawNamed(t, v.Addr().Interface()) {
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(rapid.OneOf(rapid.Just(""), rapid.StringN(0, 12, -1),
			rapid.SampledFrom([]string{"<&>", "\u2028", "a\"b\\"})).Draw(t, "text"))
	case reflect.Bool:
		v.SetBool(rapid.Bool().Draw(t, "bool"))
	case reflect.Int:
		v.SetInt(int64(rapid.IntRange(-3, 1000).Draw(t, "int")))
	case reflect.Float64:
		v.SetFloat(rapid.Float64Range(0, 1).Draw(t, "probability"))
	case reflect.Pointer:
		if depth < 5 && rapid.Bool().Draw(t, "there") {
			v.Set(reflect.New(v.Type().Elem()))
			drawInto(t, v.Elem(), depth+1)
		}
	case reflect.Slice:
		n := 0
		if depth < 5 {
			n = rapid.IntRange(-1, 2).Draw(t, "n")
		}
		if n < 0 {
			return // nil
		}
		v.Set(reflect.MakeSlice(v.Type(), n, n))
		for i := range n {
			drawInto(t, v.Index(i), depth+1)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			drawInto(t, v.Field(i), depth+1)
		}
	default:
		t.Fatalf("no values for %v", v.Type())
	}
}

// drawNamed draws one of the names of a type that has a list of them, and reports
// whether the value is of such a type.
func drawNamed(t *rapid.T, v any) bool {
	switch p := v.(type) {
	case *Kind:
		*p = Kind(rapid.IntRange(1, int(kindEnd)-1).Draw(t, "kind"))
	case *Status:
		*p = Status(rapid.IntRange(1, len(statusNames)-1).Draw(t, "status"))
	case *Basis:
		*p = Basis(rapid.IntRange(1, len(basisNames)-1).Draw(t, "basis"))
	case *Qualifier:
		*p = Qualifier(rapid.IntRange(0, len(qualifierNames)-1).Draw(t, "qualifier"))
	case *Aside:
		*p = Aside(rapid.IntRange(0, len(asideNames)-1).Draw(t, "aside"))
	case *TermKind:
		*p = TermKind(rapid.IntRange(1, len(termKindNames)-1).Draw(t, "kind of term"))
	case *Severity:
		*p = Severity(rapid.IntRange(1, len(severityNames)-1).Draw(t, "severity"))
	default:
		return false
	}
	return true
}

// TestDrawnRecords: any record that can be written is read back, and written
// again byte for byte.
func TestDrawnRecords(t *testing.T) {
	var lines RecordWriter // in one memory for all
	rapid.Check(t, func(t *rapid.T) {
		var r Record
		drawInto(t, reflect.ValueOf(&r).Elem(), 0)
		r.Version = RecordVersion
		r.Source.File += rapid.SampledFrom([]string{"", "\xff.vtt"}).Draw(t, "bytes in the name")
		for i := range r.Quantities {
			r.Quantities[i].Number = i + 1
		}
		var first, second bytes.Buffer
		if err := r.Write(&first); err != nil {
			t.Fatal(err)
		}
		back, err := ReadRecord(bytes.NewReader(first.Bytes()))
		if err != nil {
			t.Fatalf("%v\n%s", err, first.Bytes())
		}
		if err := back.Write(&second); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(first.Bytes(), second.Bytes()) {
			t.Fatalf("(-first +second):\n%s", cmp.Diff(first.String(), second.String()))
		}
		var line, again bytes.Buffer
		if err := errors.Join(r.WriteLine(&line), lines.WriteLine(&again, &r)); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(line.Bytes(), again.Bytes()) {
			t.Fatalf("written behind others (-alone +behind):\n%s", cmp.Diff(line.String(), again.String()))
		}
	})
}

func FuzzReadRecord(f *testing.F) {
	small := &Record{Version: RecordVersion, Quantities: sampleRecord().Quantities[:1], Levels: sampleRecord().Levels}
	for _, r := range []*Record{sampleRecord(), small, {Version: RecordVersion}} {
		var b bytes.Buffer
		if err := r.WriteLine(&b); err != nil {
			f.Fatal(err)
		}
		f.Add(b.Bytes())
	}
	f.Add([]byte(`{"version":"saywatt/record/1","quantities":null}`))
	f.Add([]byte(`{"version":"saywatt/record/2"}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := ReadRecord(bytes.NewReader(b))
		if err != nil {
			return
		}
		var first, second bytes.Buffer
		if err := r.Write(&first); err != nil {
			t.Fatalf("what was read cannot be written: %v", err)
		}
		back, err := ReadRecord(bytes.NewReader(first.Bytes()))
		if err != nil {
			t.Fatalf("what was written cannot be read: %v\n%s", err, first.Bytes())
		}
		if err := back.Write(&second); err != nil || !bytes.Equal(first.Bytes(), second.Bytes()) {
			t.Fatalf("written again it differs: %v (-first +second):\n%s", err,
				cmp.Diff(first.String(), second.String()))
		}
	})
}

func BenchmarkRecordWrite(b *testing.B) {
	r := sampleRecord(func(r *Record) {
		for len(r.Quantities) < 100 {
			r.Quantities = append(r.Quantities, r.Quantities[len(r.Quantities)%2])
		}
	})
	var n countWriter
	if err := r.Write(&n); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(n))
	b.ReportAllocs()
	for b.Loop() {
		if err := r.Write(io.Discard); err != nil {
			b.Fatal(err)
		}
	}
}

type countWriter int

func (n *countWriter) Write(p []byte) (int, error) {
	*n += countWriter(len(p))
	return len(p), nil
}

func BenchmarkReadRecord(b *testing.B) {
	var doc bytes.Buffer
	if err := sampleRecord().Write(&doc); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(doc.Len()))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ReadRecord(bytes.NewReader(doc.Bytes())); err != nil {
			b.Fatal(err)
		}
	}
}

func TestLevelProduct(t *testing.T) {
	level := func(volts, amps string) *Level {
		l := &Level{}
		if volts != "" {
			l.Voltage.Quantity = MustQuantity(volts)
		}
		if amps != "" {
			l.Current = &Value{Quantity: MustQuantity(amps)}
		}
		return l
	}
	for _, c := range []struct{ volts, amps, want string }{
		{"20 V", "3.25 A", "65 W"},
		{"5 V", "500 mA", "2.5 W"},
		{"3.3..11 V", "3 A", "9.9..33 W"},
		{"230 V", "2..2.5 A", "460..575 W"},
		{"20 V", "", ""},
		{"", "3 A", ""},
		{"20 V", "3 W", ""},
		{"20 A", "3 A", ""},
	} {
		got, ok := level(c.volts, c.amps).Product()
		if ok != (c.want != "") || ok && got.String() != MustQuantity(c.want).String() {
			t.Errorf("%s × %s is %v, %v; want %s", c.volts, c.amps, got, ok, c.want)
		}
	}
}
