package workbook

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"time"
)

// The library goes through all links of a sheet for each that is added, and 50,000
// links take it a minute. So links are written here: hyperlinks in the part of the
// sheet, before its margins (ECMA-376-1, 18.3.1.48 and the order of 18.3.1.99), and
// their addresses in the part of its relationships (ECMA-376-2, 9.3).

// A cellLink leads from a cell, "M12", to an address.
type cellLink struct{ cell, address string }

// sheetPart and relationsPart are the parts of the sheet that was added as number
// n, from 1 on.
func sheetPart(n int) string     { return fmt.Sprintf("xl/worksheets/sheet%d.xml", n) }
func relationsPart(n int) string { return fmt.Sprintf("xl/worksheets/_rels/sheet%d.xml.rels", n) }

// The names that the standard has for links.
const (
	relationsSpace = "http://schemas.openxmlformats.org/package/2006/relationships"
	officeSpace    = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
)

// hyperlinks is the element of a sheet that lists its links.
func hyperlinks(links []cellLink) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, `<hyperlinks xmlns:r="%s">`, officeSpace)
	for i, l := range links {
		fmt.Fprintf(&b, `<hyperlink ref="%s" r:id="rId%d"/>`, l.cell, i+1)
	}
	b.WriteString("</hyperlinks>")
	return b.Bytes()
}

// relations is the part that has the addresses of a sheet's links.
func relations(links []cellLink) []byte {
	var b bytes.Buffer
	b.WriteString(xmlHead)
	fmt.Fprintf(&b, `<Relationships xmlns="%s">`, relationsSpace)
	for i, l := range links {
		fmt.Fprintf(&b, `<Relationship Id="rId%d" Type="%s/hyperlink" Target="`, i+1, officeSpace)
		xml.EscapeText(&b, []byte(l.address)) // a buffer takes everything
		b.WriteString(`" TargetMode="External"/>`)
	}
	b.WriteString("</Relationships>")
	return b.Bytes()
}

// xmlHead is the first line of a part.
const xmlHead = `<?xml version="1.0" encoding="UTF-8" standalone="yes"?>` + "\n"

// A packer writes the parts of a workbook into a zip file. Each has the first day
// that a part can have as its date: the library leaves day and month 0, which some
// programs refuse. Links are put into the sheets that have some.
type packer struct {
	*zip.Writer
	links map[string][]cellLink // by the part of their sheet
	last  *inserter             // into the part that is written
}

func (p *packer) Create(name string) (io.Writer, error) {
	if err := p.finish(); err != nil {
		return nil, err
	}
	firstDay := time.Date(1980, time.January, 1, 0, 0, 0, 0, time.UTC)
	w, err := p.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: firstDay})
	if links := p.links[name]; err == nil && len(links) > 0 {
		p.last = &inserter{w: w, text: hyperlinks(links), before: []byte("<pageMargins ")}
		return p.last, nil
	}
	return w, err
}

func (p *packer) Close() error {
	if err := p.finish(); err != nil {
		return err
	}
	return p.Writer.Close()
}

// finish ends the part that was written last.
func (p *packer) finish() error {
	last := p.last
	p.last = nil
	if last == nil {
		return nil
	}
	return last.finish()
}

// An inserter writes what it is given, and a text before the first place that has
// the words of before.
type inserter struct {
	w            io.Writer
	text, before []byte
	held         []byte // what may be the beginning of these words
	done         bool
}

func (i *inserter) Write(data []byte) (int, error) {
	if i.done {
		return i.w.Write(data)
	}
	all := append(i.held, data...)
	at := bytes.Index(all, i.before)
	if i.done = at >= 0; i.done {
		i.held = nil
		return len(data), i.write(all[:at], i.text, all[at:])
	}
	sure := max(len(all)-len(i.before)+1, 0)
	i.held = bytes.Clone(all[sure:])
	return len(data), i.write(all[:sure])
}

func (i *inserter) write(parts ...[]byte) error {
	for _, p := range parts {
		if _, err := i.w.Write(p); err != nil {
			return err
		}
	}
	return nil
}

// finish says that all was given; an error where there was no such place.
func (i *inserter) finish() error {
	if !i.done {
		return fmt.Errorf("a sheet without %q has no place for links", i.before)
	}
	return nil
}
