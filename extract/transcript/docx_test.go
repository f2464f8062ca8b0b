package transcript

import (
	"archive/zip"
	"bytes"
	"errors"
	"strings"
	"testing"
)

// document makes a Word document of a body.
func document(t testing.TB, body string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range []struct{ name, text string }{
		{"[Content_Types].xml", `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>`},
		{docxPart, `<?xml version="1.0"?><w:document xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main"><w:body>` +
			body + `</w:body></w:document>`},
	} {
		w, err := z.Create(f.name)
		if err == nil {
			_, err = w.Write([]byte(f.text))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// paragraphs are a body with a run a paragraph.
func paragraphs(lines ...string) string {
	var b strings.Builder
	for _, l := range lines {
		b.WriteString("<w:p><w:pPr><w:tabs><w:tab w:pos=\"720\"/></w:tabs></w:pPr><w:r><w:t xml:space=\"preserve\">" +
			l + "</w:t></w:r></w:p>")
	}
	return b.String()
}

var docxTests = []struct {
	name, body, text, cues string
}{
	{
		"speakers", paragraphs("Speaker 1  00:12", "the Nimbrook gives", "20 volts", "", "Speaker 2  00:20", "R&amp;D"),
		"Speaker 1  00:12\nthe Nimbrook gives\n20 volts\n\nSpeaker 2  00:20\nR&D\n",
		"1 12-20: the Nimbrook gives / 20 volts\n5 20-20: R&D\n",
	},
	{
		"times", paragraphs("[0:01] five volts", "[0:04] three amps"), "[0:01] five volts\n[0:04] three amps\n",
		"1 1-4: five volts\n2 4-4: three amps\n",
	},
	{
		"paragraphs", paragraphs("The Nimbrook.", "It gives 20 volts."), "The Nimbrook.\nIt gives 20 volts.\n",
		"1: The Nimbrook.\n2: It gives 20 volts.\n",
	},
	{
		"runs, tabs, breaks, deletions",
		`<w:p><w:r><w:t>20 vo</w:t></w:r><w:r><w:rPr><w:b/></w:rPr><w:t>lts</w:t><w:tab/><w:t>3&#10;amps</w:t><w:br/><w:t>8</w:t>` +
			`<w:noBreakHyphen/><w:t>cell</w:t></w:r><w:del><w:r><w:delText>9 volts</w:delText></w:r></w:del><w:r><w:instrText>PAGE 7</w:instrText></w:r></w:p>`,
		"20 volts\t3 amps\n8-cell\n",
		"1: 20 volts\t3 amps\n2: 8-cell\n",
	},
	{
		"table",
		`<w:tbl><w:tr><w:tc>` + paragraphs("0:01") + `</w:tc><w:tc>` + paragraphs("five", "volts") + `</w:tc></w:tr>` +
			`<w:tr><w:tc>` + paragraphs("0:05") + `</w:tc><w:tc>` + paragraphs("three amps") + `</w:tc></w:tr>` +
			`<w:tr><w:tc>` + paragraphs("0:09") + `</w:tc><w:tc>` + paragraphs("ok") + `</w:tc></w:tr></w:tbl>`,
		"0:01\tfive volts\n0:05\tthree amps\n0:09\tok\n",
		"1 1-5: five volts\n2 5-9: three amps\n3 9-9: ok\n",
	},
}

func TestDOCX(t *testing.T) {
	for _, test := range docxTests {
		t.Run(test.name, func(t *testing.T) {
			raw := document(t, test.body)
			tr := parse(t, string(raw))
			if tr.Format != FormatDOCX || !tr.Taken || string(tr.Source) != test.text {
				t.Errorf("%v, taken %v: %q, want %q", tr.Format, tr.Taken, tr.Source, test.text)
			}
			if got := show(tr); got != test.cues || complaints(tr) != "" {
				t.Errorf("cues\n%swant\n%s%s", got, test.cues, complaints(tr))
			}
			if other := parse(t, test.text); tr.Hash == other.Hash {
				t.Error("the hash is of the text, not of the file")
			}
		})
	}
}

func TestDOCXErrors(t *testing.T) {
	good := document(t, paragraphs("five volts"))
	var bomb, other bytes.Buffer
	z := zip.NewWriter(&bomb)
	w, _ := z.Create(docxPart)
	w.Write([]byte("<document><body><p><r><t>"))
	block := bytes.Repeat([]byte("volts "), 1<<18)
	for range DefaultMaxBytes/len(block) + 1 {
		w.Write(block)
	}
	z.Close()
	z = zip.NewWriter(&other)
	z.Create("sheet.xml")
	z.Close()
	for _, test := range []struct {
		name  string
		src   []byte
		cause error
	}{
		{"cut short", good[:len(good)-30], ErrDocument},
		{"broken XML", document(t, "<w:p><w:r></w:p>"), ErrDocument},
		{"an archive of something else", other.Bytes(), ErrForm},
		{"unpacks beyond the limit", bomb.Bytes(), ErrTooBig},
		{"no words", document(t, paragraphs("", "")), ErrEmpty},
	} {
		_, err := Parse("talk.docx", test.src)
		var pe *ParseError
		if !errors.Is(err, test.cause) || !errors.As(err, &pe) || !strings.HasPrefix(err.Error(), "talk.docx: ") {
			t.Errorf("%s: %v, want %v", test.name, err, test.cause)
		}
	}
	if _, err := documentText(strings.NewReader(`<!DOCTYPE d [<!ENTITY a "b">]><d><body/></d>`)); !errors.Is(err, ErrDTD) {
		t.Errorf("document type: %v", err)
	}
}

// Elements nested without end are given up before they fill the memory.
func TestDOCXNesting(t *testing.T) {
	_, err := documentText(strings.NewReader("<d><body>" + strings.Repeat("<p>", 1<<20)))
	if err == nil || !strings.Contains(err.Error(), "nested more than 1000 deep") {
		t.Error(err)
	}
}
