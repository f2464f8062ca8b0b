package picture

import (
	"image/color"
	"math"
	"sort"
	"strings"
	"unicode"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"saywatt/internal/wrap"
)

// Colours: ink, two greys, and the palette.
var (
	ink    = color.RGBA{0x00, 0x00, 0x00, 0xFF}
	faint  = color.RGBA{0x55, 0x55, 0x55, 0xFF}
	grid   = color.RGBA{0xD0, 0xD0, 0xD0, 0xFF}
	paper  = color.RGBA{0xFF, 0xFF, 0xFF, 0xFF}
	tint   = color.RGBA{0xE6, 0xE6, 0xE6, 0xFF}
	colors = []color.RGBA{ink, {0x00, 0x72, 0xB2, 0xFF}, {0xD5, 0x5E, 0x00, 0xFF}, {0x00, 0x9E, 0x73, 0xFF},
		{0xCC, 0x79, 0xA7, 0xFF}, {0x56, 0xB4, 0xE9, 0xFF}}
	dashes = [][]vg.Length{nil, {6, 2}, {2, 2}, {8, 2, 2, 2}, {4, 4}, {1, 3}}
)

// Sizes of text in points.
const (
	sizeTitle vg.Length = 11
	sizeText  vg.Length = 9
	sizeSmall vg.Length = 7.5
)

// A pen draws on a canvas with the origin at the top left, as pages are read.
type pen struct {
	c draw.Canvas
}

// at turns a point of the page into one of the canvas.
func (p pen) at(x, y vg.Length) vg.Point {
	return vg.Point{X: p.c.Min.X + x, Y: p.c.Max.Y - y}
}

// face is the one typeface in a size.
func face(size vg.Length, bold bool) text.Style {
	f := font.Font{Typeface: "Liberation", Variant: "Sans", Size: size}
	if bold {
		f.Weight = xfont.WeightBold
	}
	return text.Style{Color: ink, Font: f, Handler: text.Plain{Fonts: fonts()}}
}

// width of text on the page.
func width(s string, size vg.Length) vg.Length { return face(size, false).Width(s) }

// Where text hangs at its point.
type anchor uint8

const (
	left anchor = iota
	center
	right
)

// text writes one line with its baseline at y.
func (p pen) text(x, y vg.Length, s string, size vg.Length, a anchor, c color.Color) {
	p.write(x, y, s, face(size, false), a, c)
}

// bold writes one line in bold.
func (p pen) bold(x, y vg.Length, s string, size vg.Length, a anchor) {
	p.write(x, y, s, face(size, true), a, ink)
}

func (p pen) write(x, y vg.Length, s string, st text.Style, a anchor, c color.Color) {
	st.Color = c
	st.XAlign = []text.XAlignment{text.XLeft, text.XCenter, text.XRight}[a]
	p.c.FillText(st, p.at(x, y), printable(s))
}

// printable replaces what has no shape of its own, and what XML cannot hold.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case !unicode.IsGraphic(r):
			return '·'
		}
		return r
	}, s)
}

// upward writes one line turned to be read from below, centred at y.
func (p pen) upward(x, y vg.Length, s string, size vg.Length) {
	st := face(size, false)
	st.Rotation, st.XAlign = math.Pi/2, text.XCenter
	p.c.FillText(st, p.at(x, y), s)
}

func (p pen) line(c color.Color, w vg.Length, dash []vg.Length, xy ...vg.Length) {
	points := make([]vg.Point, len(xy)/2)
	for i := range points {
		points[i] = p.at(xy[2*i], xy[2*i+1])
	}
	p.c.StrokeLines(draw.LineStyle{Color: c, Width: w, Dashes: dash}, points)
}

func (p pen) box(c color.Color, w vg.Length, dash []vg.Length, b box) {
	p.line(c, w, dash, b.x, b.y, b.x+b.w, b.y, b.x+b.w, b.y+b.h, b.x, b.y+b.h, b.x, b.y)
}

func (p pen) fill(c color.Color, b box) {
	p.c.FillPolygon(c, []vg.Point{p.at(b.x, b.y), p.at(b.x+b.w, b.y), p.at(b.x+b.w, b.y+b.h), p.at(b.x, b.y+b.h)})
}

// mark draws the mark of a number: the shapes differ, and the colours too.
func (p pen) mark(n int, x, y vg.Length) {
	c := colors[n%len(colors)]
	const r = 3.6
	shape := markShapes[n%len(markShapes)]
	points := make([]vg.Point, len(shape)/2)
	for i := range points {
		points[i] = p.at(x+r*vg.Length(shape[2*i]), y+r*vg.Length(shape[2*i+1]))
	}
	if len(points) == 0 {
		p.disc(c, x, y, r)
		return
	}
	p.c.FillPolygon(c, points)
}

// markShapes are polygons about the origin, y downward; the first is a disc.
var markShapes = [][]float64{
	nil,
	{-0.9, -0.9, 0.9, -0.9, 0.9, 0.9, -0.9, 0.9},
	{0, -1.15, 1.1, 0.85, -1.1, 0.85},
	{0, -1.3, 1.1, 0, 0, 1.3, -1.1, 0},
	{-1.1, -0.85, 1.1, -0.85, 0, 1.15},
	{-0.4, -1.2, 0.4, -1.2, 0.4, -0.4, 1.2, -0.4, 1.2, 0.4, 0.4, 0.4, 0.4, 1.2, -0.4, 1.2, -0.4, 0.4, -1.2, 0.4, -1.2,
		-0.4, -0.4, -0.4},
}

func (p pen) disc(c color.Color, x, y, r vg.Length) {
	p.c.SetColor(c)
	p.c.Fill(circle(p.at(x, y), r))
}

// hollow draws an empty mark: what was heard and is not so.
func (p pen) hollow(x, y vg.Length) {
	const r = 3.6
	p.disc(paper, x, y, r)
	p.c.SetColor(ink)
	p.c.SetLineWidth(1)
	p.c.SetLineDash(nil, 0)
	p.c.Stroke(circle(p.at(x, y), r))
}

func circle(at vg.Point, r vg.Length) vg.Path {
	var path vg.Path
	path.Move(vg.Point{X: at.X + r, Y: at.Y})
	path.Arc(at, r, 0, 2*math.Pi)
	path.Close()
	return path
}

// A box is a rectangle of the page, its corner at the top left.
type box struct{ x, y, w, h vg.Length }

func (b box) overlaps(o box) bool {
	return b.x < o.x+o.w && o.x < b.x+b.w && b.y < o.y+o.h && o.y < b.y+b.h
}

func (b box) inside(o box) bool {
	return b.x >= o.x && b.y >= o.y && b.x+b.w <= o.x+o.w && b.y+b.h <= o.y+o.h
}

// fit shortens text to a width, with an ellipsis. It measures no more of the
// text than twice what fits, however long the text is.
func fit(s string, size, most vg.Length) string { return cut(s, face(size, false), most) }

// fitBold is fit for bold text.
func fitBold(s string, size, most vg.Length) string { return cut(s, face(size, true), most) }

func cut(s string, st text.Style, most vg.Length) string {
	const ellipsis = "…"
	ends := make([]int, 1, 64) // byte offset behind so many runes
	for i := range s {
		if i > 0 {
			ends = append(ends, i)
		}
	}
	if s != "" {
		ends = append(ends, len(s))
	}
	whole := len(ends) - 1
	n := min(16, whole)
	for n < whole && st.Width(s[:ends[n]]) <= most {
		n = min(2*n, whole)
	}
	if n == whole && st.Width(s) <= most {
		return s
	}
	kept := sort.Search(n, func(k int) bool { return st.Width(s[:ends[k+1]]+ellipsis) > most })
	return strings.TrimRight(s[:ends[kept]], " ") + ellipsis
}

// lines breaks text at blanks into lines of a width; what is too wide for its
// last line ends in dots.
func lines(s string, size, most vg.Length) []string {
	all := wrap.Lines(s, most, func(line string) vg.Length { return width(line, size) })
	if n := len(all) - 1; n >= 0 {
		all[n] = fit(all[n], size, most)
	}
	return all
}

// ticks returns the steps of an axis from 0 to at least most: about n of them,
// 1, 2 or 5 times a power of ten apart.
func ticks(most float64, n int) (step float64, count int) {
	if !(most > 0) {
		return 1, 1
	}
	raw := most / float64(n)
	power := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5, 10} {
		if step = m * power; step >= raw*0.999 {
			break
		}
	}
	return step, int(math.Ceil(most/step - 1e-9))
}
