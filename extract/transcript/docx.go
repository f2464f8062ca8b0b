package transcript

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
)

// A Word document (ECMA-376, WordprocessingML) is a ZIP archive; its words are
// in word/document.xml. They are taken out as lines of plain text, one a
// paragraph, and read on as any text is: with times, with speakers, as SubRip
// pasted in, or as notes. Spans are bytes of the text taken out, since the
// document's own are compressed; Transcript.Source is that text, and
// Transcript.Taken says so.
//
// No library is used: those that read such documents bring styles, pictures and
// writers along, and what is wanted here is three elements of one file.
const docxPart = "word/document.xml"

// maxNesting bounds how deep elements of a document may be nested.
const maxNesting = 1000

// isZIP reports the local file header of a ZIP archive (APPNOTE.TXT 4.3.7).
func isZIP(raw []byte) bool { return bytes.HasPrefix(raw, []byte("PK\x03\x04")) }

// docxText takes the text out of a document. ok is false for another archive.
func docxText(name string, raw []byte) (text []byte, ok bool, err error) {
	fail := func(err error) error {
		return &ParseError{Name: name, Err: fmt.Errorf("%w: %w", ErrDocument, err)}
	}
	z, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		if bytes.Contains(raw, []byte(docxPart)) {
			return nil, true, fail(err)
		}
		return nil, false, nil
	}
	for _, f := range z.File {
		if f.Name != docxPart {
			continue
		}
		r, err := f.Open()
		if err != nil {
			return nil, true, fail(err)
		}
		defer r.Close()
		limited := &io.LimitedReader{R: r, N: DefaultMaxBytes + 1}
		text, err := documentText(limited)
		if limited.N <= 0 {
			err := fmt.Errorf("%w: unpacked, more than %d bytes", ErrTooBig, int64(DefaultMaxBytes))
			return nil, true, &ParseError{Name: name, Err: err}
		}
		if err != nil {
			return nil, true, fail(err)
		}
		return text, true, nil
	}
	return nil, false, nil
}

// documentText reads a main document part (ECMA-376 part 1, 17.2 and 17.3.3).
// What was deleted or moved away, properties, and the second showing of a
// picture's words are left out.
func documentText(r io.Reader) ([]byte, error) {
	w := documentReader{}
	d := xml.NewDecoder(r)
	depth := 0
	passed := 0 // depth of an element that is passed over, 0 outside
	for {
		token, err := d.Token()
		if err == io.EOF {
			if !w.body {
				return nil, fmt.Errorf("%s has no body", docxPart)
			}
			return w.text, nil
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", docxPart, err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			if depth++; depth > maxNesting {
				return nil, fmt.Errorf("%s: elements are nested more than %d deep", docxPart, maxNesting)
			}
			switch token.Name.Local {
			case "del", "moveFrom", "Fallback", "pPr", "rPr", "sectPr":
				if passed == 0 {
					passed = depth
				}
			}
			if passed == 0 {
				w.start(token.Name.Local)
			}
		case xml.EndElement:
			if passed == 0 {
				w.end(token.Name.Local)
			}
			if depth == passed {
				passed = 0
			}
			depth--
		case xml.CharData:
			if w.said && passed == 0 {
				w.chars(token)
			}
		case xml.Directive:
			return nil, fmt.Errorf("%s: %w", docxPart, ErrDTD)
		}
	}
}

type documentReader struct {
	text []byte
	body bool
	said bool // inside a t element
	cell int  // depth of table cells
}

func (w *documentReader) start(name string) {
	switch name {
	case "body":
		w.body = true
	case "t":
		w.said = w.body
	case "tab":
		w.text = append(w.text, '\t')
	case "br", "cr":
		w.text = append(w.text, '\n')
	case "noBreakHyphen":
		w.text = append(w.text, '-')
	case "tc":
		w.cell++
	}
}

func (w *documentReader) end(name string) {
	switch name {
	case "t":
		w.said = false
	case "p":
		if w.cell == 0 {
			w.text = append(w.text, '\n')
		} else {
			w.text = append(w.text, ' ')
		}
	case "tc":
		w.cell--
		w.text = append(bytes.TrimRight(w.text, " "), '\t')
	case "tr":
		w.text = append(bytes.TrimRight(w.text, "\t "), '\n')
	}
}

// chars adds characters of a run; a line break in them is a blank.
func (w *documentReader) chars(text []byte) {
	at := len(w.text)
	w.text = append(w.text, text...)
	for i := at; i < len(w.text); i++ {
		if c := w.text[i]; c == '\n' || c == '\r' || c == '\t' {
			w.text[i] = ' '
		}
	}
}
