package workbook

import (
	"bytes"
	"strings"
	"testing"
)

// A text is put before the first place that has the words, wherever what is written
// is cut.
func TestInserter(t *testing.T) {
	const given = "<pageM<pageMargins left><pageMargins right>"
	const want = "<pageM<a/><pageMargins left><pageMargins right>"
	for size := 1; size <= len(given); size++ {
		var b bytes.Buffer
		i := &inserter{w: &b, text: []byte("<a/>"), before: []byte("<pageMargins ")}
		for at := 0; at < len(given); at += size {
			piece := given[at:min(at+size, len(given))]
			if n, err := i.Write([]byte(piece)); n != len(piece) || err != nil {
				t.Fatalf("by %d: %d, %v", size, n, err)
			}
		}
		if err := i.finish(); err != nil || b.String() != want {
			t.Errorf("by %d: %q, %v", size, b.String(), err)
		}
	}
	i := &inserter{w: &bytes.Buffer{}, text: []byte("<a/>"), before: []byte("<pageMargins ")}
	if _, err := i.Write([]byte("<pageMargins>")); err != nil {
		t.Error(err)
	}
	if err := i.finish(); err == nil || !strings.Contains(err.Error(), "no place for links") {
		t.Errorf("without a place: %v", err)
	}
	if _, err := (&inserter{w: failing{}, before: []byte("x")}).Write([]byte(".x")); err == nil {
		t.Error("a writer that fails is not reported")
	}
}

// Addresses may hold what XML must not.
func TestRelations(t *testing.T) {
	got := string(relations([]cellLink{{"A1", `https://v.example/?a=1&t="2"<3`}}))
	want := xmlHead + `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">` +
		`<Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/hyperlink" ` +
		`Target="https://v.example/?a=1&amp;t=&#34;2&#34;&lt;3" TargetMode="External"/></Relationships>`
	if got != want {
		t.Errorf("got %s", got)
	}
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, bytes.ErrTooLarge }
