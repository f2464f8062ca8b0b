package transcript

import (
	"bytes"
	"encoding/binary"
	"errors"
	"reflect"
	"testing"
)

// fuzzReader drives one reader past the sniffing, on the bytes as they are:
// no panic, spans inside the source, the same result from the same input.
func fuzzReader(f *testing.F, tests []parseTest, read func(*builder) error) {
	for _, test := range tests {
		f.Add([]byte(test.src))
	}
	for _, test := range tests[:2] {
		f.Add(encode16(binary.BigEndian, test.src))
	}
	f.Add([]byte(rolling))
	f.Fuzz(func(t *testing.T, src []byte) {
		first := fuzzOnce(t, src, read)
		if again := fuzzOnce(t, bytes.Clone(src), read); !reflect.DeepEqual(first, again) {
			t.Fatal("two readings differ")
		}
	})
}

func fuzzOnce(t *testing.T, src []byte, read func(*builder) error) *Transcript {
	s, err := newSource("talk", src)
	if err != nil {
		var pe *ParseError
		if !errors.As(err, &pe) {
			t.Fatalf("not a ParseError: %v", err)
		}
		return nil
	}
	b := newBuilder(s)
	if err := read(b); err != nil {
		return nil
	}
	tr := b.finish()
	checkInvariants(t, tr)
	for i := range min(len(tr.Text)+1, 200) {
		tr.TimeAt(i)
	}
	return tr
}

func reader(read func(*builder)) func(*builder) error {
	return func(b *builder) error {
		read(b)
		return nil
	}
}

func FuzzVTT(f *testing.F)     { fuzzReader(f, vttTests, reader(readVTT)) }
func FuzzSRT(f *testing.F)     { fuzzReader(f, srtTests, reader(readSRT)) }
func FuzzTTML(f *testing.F)    { fuzzReader(f, ttmlTests, readTTML) }
func FuzzStamped(f *testing.F) { fuzzReader(f, stampedTests, reader(readStamped)) }
func FuzzNotes(f *testing.F)   { fuzzReader(f, notesTests, reader(readNotes)) }
func FuzzSBV(f *testing.F)     { fuzzReader(f, sbvTests, reader(readSBV)) }
func FuzzASS(f *testing.F)     { fuzzReader(f, assTests, reader(readASS)) }
func FuzzJSON(f *testing.F)    { fuzzReader(f, jsonTests, readJSON) }
func FuzzTable(f *testing.F)   { fuzzReader(f, tableTests, reader(readTable)) }
func FuzzSpeaker(f *testing.F) { fuzzReader(f, speakerTests, reader(readSpeaker)) }

// FuzzDOCX reads a main document part, and a whole file where it is one.
func FuzzDOCX(f *testing.F) {
	for _, test := range docxTests {
		f.Add([]byte(test.body))
		f.Add(document(f, test.body))
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		text, err := documentText(bytes.NewReader(src))
		again, err2 := documentText(bytes.NewReader(src))
		if !bytes.Equal(text, again) || (err == nil) != (err2 == nil) {
			t.Fatal("two readings differ")
		}
		if tr, err := Parse("talk.docx", src); err == nil {
			checkInvariants(t, tr)
		}
	})
}

// FuzzParse goes in at the front door.
func FuzzParse(f *testing.F) {
	for _, tests := range [][]parseTest{
		vttTests, srtTests, ttmlTests, stampedTests, notesTests, sbvTests, assTests, jsonTests, tableTests,
		speakerTests,
	} {
		for _, test := range tests {
			f.Add([]byte(test.src))
		}
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		tr, err := Parse("talk", src)
		if (tr == nil) == (err == nil) {
			t.Fatalf("%v and %v", tr, err)
		}
		if tr != nil {
			checkInvariants(t, tr)
		}
	})
}
