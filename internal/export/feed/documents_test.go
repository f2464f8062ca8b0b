package feed

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"pgregory.net/rapid"
)

// read lists what EachDocument finds: documents by their number, line and text,
// and what is wrong.
func read(text string, limit int64, byteByByte bool) (all []string, err error) {
	var r io.Reader = strings.NewReader(text)
	if byteByByte {
		r = iotest.OneByteReader(r)
	}
	err = EachDocument(r, limit, func(d *Document) error {
		all = append(all, fmt.Sprintf("%d:%d:%s", d.Number, d.Line, d.Text))
		return nil
	}, func(e *DocumentError) error {
		all = append(all, e.Error())
		return nil
	})
	return all, err
}

func TestEachDocument(t *testing.T) {
	long := `{"a":"` + strings.Repeat("x", 5000) + `"}`
	for _, c := range []struct {
		name, in string
		want     []string
	}{
		{"nothing", " \n\t\n", nil},
		{"lines", "{\"a\":1}\n\n{\"a\":2}\r\n{\"a\":3}", []string{`1:1:{"a":1}`, `2:3:{"a":2}`, `3:4:{"a":3}`}},
		{"a byte order mark", "\ufeff{}\n{}", []string{"1:1:{}", "2:2:{}"}},
		{"on one line", `{"a":1}{"a":2}`, []string{`1:1:{"a":1}`, `2:1:{"a":2}`}},
		{"over lines", "{\n \"a\": [\n1]}\n{}\n", []string{"1:1:{\n \"a\": [\n1]}", "2:4:{}"}},
		{"a line cut off", "{}\n{\"a\":1,\"b\n{\"c\":1}\n", []string{"1:1:{}",
			"record 2, line 2: this is no JSON from column 10 on", `3:3:{"c":1}`}},
		{"cut off where a value is due", "{\"a\":[1,\n{\"b\":1}\n{\"c\":1}\n", []string{
			"record 1, line 3: this is no JSON from column 1 on", `2:2:{"b":1}`, `3:3:{"c":1}`}},
		{"the end cut off", "{}\n{\"a\":", []string{"1:1:{}", "record 2, line 2: unexpected EOF"}},
		{"other words", "{}\nWEBVTT\nfive\n{\"a\":1}", []string{"1:1:{}",
			"record 2, line 2: this is no JSON from column 1 on", `3:4:{"a":1}`}},
		{"other words last", "{}\nWEBVTT", []string{"1:1:{}", "record 2, line 2: this is no JSON from column 1 on"}},
		{"far beyond a buffer", "[" + long + "\n" + long + "\n{\"a\":1}", []string{
			"record 1, line 2: this is no JSON from column 1 on", "2:2:" + long, `3:3:{"a":1}`}},
	} {
		for _, bytewise := range []bool{false, true} {
			got, err := read(c.in, 1<<20, bytewise)
			if err != nil || strings.Join(got, "\n") != strings.Join(c.want, "\n") {
				t.Errorf("%s: %q, %v; want %q", c.name, got, err, c.want)
			}
		}
	}
	got, err := read("{}\n"+long+"\n{}", 1000, false)
	if err != nil || len(got) != 2 ||
		!strings.Contains(got[1], "record 2, line 2: a record is larger than allowed; what follows") {
		t.Errorf("too large: %q, %v", got, err)
	}
	stop := errors.New("enough")
	if err := EachDocument(strings.NewReader("{}"), 100, func(*Document) error { return stop }, nil); err != stop {
		t.Error(err)
	}
	if err := EachDocument(strings.NewReader("x"), 100, nil, func(*DocumentError) error { return stop }); err != stop {
		t.Error(err)
	}
}

// Of good lines with broken ones between, every good one is read, on its line.
func TestEachDocumentLosesNoLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var in strings.Builder
		var want []string
		n := rapid.IntRange(0, 30).Draw(t, "lines")
		for i := range n {
			line := fmt.Sprintf(`{"n":%d,"s":"%s","l":[1,{"k":null}]}`, i,
				strings.Repeat("y", rapid.IntRange(0, 700).Draw(t, "long")))
			if rapid.Bool().Draw(t, "broken") {
				line = line[:rapid.IntRange(1, len(line)-1).Draw(t, "cut")]
			} else {
				want = append(want, fmt.Sprintf("%d:%s", i+1, line))
			}
			in.WriteString(line + "\n")
		}
		var got []string
		broken := 0
		err := EachDocument(strings.NewReader(in.String()), 1<<20, func(d *Document) error {
			got = append(got, fmt.Sprintf("%d:%s", d.Line, d.Text))
			return nil
		}, func(*DocumentError) error { broken++; return nil })
		if err != nil || strings.Join(got, "\n") != strings.Join(want, "\n") || broken != n-len(want) {
			t.Fatalf("%q, %d broken, %v; want %q of %q", got, broken, err, want, in.String())
		}
	})
}

func FuzzEachDocument(f *testing.F) {
	f.Add("{}\n{\"a\":\n[1]\n{")
	f.Add("\ufeff{\"a\":[1,\n{\"b\":1}\nx\n{}")
	f.Fuzz(func(t *testing.T, text string) {
		whole, err1 := read(text, 1<<16, false)
		bytewise, err2 := read(text, 1<<16, true)
		if err1 != nil || err2 != nil || strings.Join(whole, "\n") != strings.Join(bytewise, "\n") {
			t.Fatalf("%q, %v; byte by byte %q, %v", whole, err1, bytewise, err2)
		}
	})
}
