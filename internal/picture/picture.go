package picture

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// A Picture is a drawing of a fixed size with words for those who cannot see
// it.
type Picture struct {
	Name   string // short, for file names: levels, powers, evidence-12
	Title  string
	Alt    string // what it shows, in a sentence or two
	width  vg.Length
	height vg.Length
	draw   func(draw.Canvas)
}

// Resolution of PNG files in dots per inch: two to a CSS pixel and a half, so
// that text stays sharp on dense displays and in print of this size.
const dpi = 192

// pixels of CSS in a point.
const pixels = 96.0 / 72

// WritePNG writes the picture as a PNG file on white.
func (p *Picture) WritePNG(w io.Writer) error {
	c := vgimg.PngCanvas{Canvas: vgimg.NewWith(vgimg.UseWH(p.width, p.height), vgimg.UseDPI(dpi))}
	p.draw(draw.NewCanvas(c, p.width, p.height))
	_, err := c.WriteTo(w)
	return err
}

// WriteSVG writes the picture as an SVG 1.1 file.
func (p *Picture) WriteSVG(w io.Writer) error {
	_, err := io.WriteString(w, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"+p.Inline())
	return err
}

// Inline returns the svg element alone, to stand in a page.
func (p *Picture) Inline() string {
	c := vgsvg.New(p.width, p.height)
	p.draw(draw.NewCanvas(c, p.width, p.height))
	var b bytes.Buffer
	c.WriteTo(&b) // a bytes.Buffer does not fail
	s := b.String()
	open := strings.Index(s, "<svg")
	end := open + strings.Index(s[open:], ">")
	head := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="%.0f" height="%.0f" viewBox="0 0 %.4g %.4g" role="img" aria-label="%s"><title>%s</title><rect width="100%%" height="100%%" fill="#FFFFFF"/>`,
		p.width.Points()*pixels, p.height.Points()*pixels, p.width.Points(), p.height.Points(), escape(p.Alt),
		escape(p.Title))
	return strings.ReplaceAll(head+s[end+1:], "font-family:Liberation Sans;",
		"font-family:'Liberation Sans',Arial,Helvetica,sans-serif;")
}

func escape(s string) string {
	var b strings.Builder
	xml.EscapeText(&b, []byte(printable(s))) // a strings.Builder does not fail
	return b.String()
}
