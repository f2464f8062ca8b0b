package picture

import (
	"bufio"
	"fmt"
	"html"
	"io"
	"math"
	"strconv"
	"strings"
)

// A Histogram shows how values are spread: a bar for each bin with its count
// above it, the median as a dashed line, values that disagree with the rest as
// crosses under the axis, a remark below.
type Histogram struct {
	Title    string
	Unit     string // as shown, "" for what is counted
	Bins     []Bin  // by their values; none where there is nothing to draw but the title
	Median   float64
	Outliers []float64
	Remark   string // of the values, "" for none
	Log      bool   // the axis is logarithmic
}

// A Bin is one bar of a histogram: values from Low up to High.
type Bin struct {
	Low, High float64
	N         int
}

// Measures of a histogram, in user units, and its inks.
const (
	svgWidth, svgHeight        = 720, 400
	svgLeft, svgRight          = 60, 20
	svgTop, svgBottom          = 50, 60
	svgRemark                  = 24 // the line of the remark, below
	svgFont                    = `font-family="system-ui, sans-serif" font-size="13"`
	svgBar, svgInk, svgOutlier = "#4a6fa5", "#111", "#b3261e"
)

// WriteSVG writes the histogram as an SVG picture (SVG 1.1). It is legible
// without colours. An error is one of w.
func (h *Histogram) WriteSVG(w io.Writer) error {
	b := bufio.NewWriter(w)
	height := svgHeight
	if h.Remark != "" {
		height += svgRemark
	}
	fmt.Fprintf(b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" width="%d" height="%d" role="img" aria-label="%s">`+"\n",
		svgWidth, height, svgWidth, height, html.EscapeString(h.Title))
	fmt.Fprintf(b, `<rect width="%d" height="%d" fill="#fff"/>`+"\n", svgWidth, height)
	text := func(x, y float64, anchor, s string) {
		fmt.Fprintf(b, `<text x="%.1f" y="%.1f" text-anchor="%s" %s fill="%s">%s</text>`+"\n", x, y, anchor, svgFont,
			svgInk, html.EscapeString(s))
	}
	text(svgWidth/2, 18, "middle", h.Title)
	if len(h.Bins) > 0 {
		h.bars(b, text)
	}
	fmt.Fprintln(b, "</svg>")
	return b.Flush()
}

// bars draws bars, axis, median and crosses.
func (h *Histogram) bars(b *bufio.Writer, text func(x, y float64, anchor, s string)) {
	const wide, high = svgWidth - svgLeft - svgRight, svgHeight - svgTop - svgBottom
	base := float64(svgHeight - svgBottom)
	first, last := h.Bins[0].Low, h.Bins[len(h.Bins)-1].High
	low, span := h.scale(first), h.scale(last)-h.scale(first)
	place := func(x float64) float64 {
		if span == 0 {
			return svgLeft + wide/2
		}
		return svgLeft + wide*(h.scale(x)-low)/span
	}
	most := 1
	for _, bin := range h.Bins {
		most = max(most, bin.N)
	}
	for _, bin := range h.Bins {
		up := float64(high) * float64(bin.N) / float64(most)
		x := place(bin.Low)
		width := place(bin.High) - x
		if span == 0 { // one value is all there is
			x, width = svgLeft, wide
		}
		fmt.Fprintf(b, `<rect x="%.1f" y="%.1f" width="%.1f" height="%.1f" fill="%s"/>`+"\n", x+1, base-up, width-2, up,
			svgBar)
		if bin.N > 0 {
			text(x+width/2, base-up-4, "middle", fmt.Sprint(bin.N))
		}
	}
	fmt.Fprintf(b, `<line x1="%d" y1="%.1f" x2="%d" y2="%.1f" stroke="%s"/>`+"\n", svgLeft, base, svgWidth-svgRight,
		base, svgInk)
	for _, i := range labelled(len(h.Bins)) {
		x := last
		if i < len(h.Bins) {
			x = h.Bins[i].Low
		}
		text(place(x), base+32, "middle", FewDigits(x))
	}
	m := place(h.Median)
	fmt.Fprintf(b, `<line x1="%.1f" y1="%d" x2="%.1f" y2="%.1f" stroke="%s" stroke-dasharray="6 4"/>`+"\n", m,
		svgTop-26, m, base, svgInk)
	text(m+4, svgTop-16, "start", strings.TrimSpace("median "+FewDigits(h.Median)+" "+h.Unit))
	for _, v := range h.Outliers {
		x := place(v)
		fmt.Fprintf(b, `<path d="M%.1f %.1f l8 8 m0 -8 l-8 8" stroke="%s" stroke-width="2"/>`+"\n", x-4, base+6,
			svgOutlier)
	}
	axis := h.Unit
	if h.Log {
		axis += ", logarithmic"
	}
	if len(h.Outliers) > 0 {
		axis += "; crosses disagree with the rest"
	}
	text(svgWidth/2, svgHeight-10, "middle", strings.TrimPrefix(axis, ", "))
	if h.Remark != "" {
		text(svgWidth/2, svgHeight+svgRemark/2-4, "middle", h.Remark)
	}
}

// labelled are the edges of n bars that get a number.
func labelled(n int) []int {
	step := (n + 5) / 6
	var all []int
	for i := 0; i <= n; i += step {
		all = append(all, i)
	}
	return all
}

// scale places a value on the axis.
func (h *Histogram) scale(x float64) float64 {
	if h.Log {
		return math.Log10(x)
	}
	return x
}

// FewDigits writes a number beside an axis or in a list: four significant digits, with
// an exponent only where it has more than six digits or zeros before the point or behind it.
func FewDigits(x float64) string {
	s := strconv.FormatFloat(x, 'g', 4, 64)
	if a := math.Abs(x); a < 1e-6 || a >= 1e6 {
		return s
	}
	rounded, err := strconv.ParseFloat(s, 64)
	if err != nil { // it was written a moment ago
		return s
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}
