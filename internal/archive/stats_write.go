package archive

import (
	"bufio"
	"fmt"
	"html"
	"io"
	"math"
	"strings"

	"saywatt/schema"
)

// WriteDistribution writes a distribution for the terminal: numbers, bars, and
// who disagrees with the rest.
func (l Look) WriteDistribution(w io.Writer, d *Distribution) error {
	p := l.printer(w)
	p.line(p.paint(p.text(d.title()), bold))
	if d.Note != "" {
		p.line(p.text(d.Note))
	}
	if d.Values == 0 {
		return p.err
	}
	unit := d.Unit.Symbol()
	for _, s := range d.PlaceLines() {
		p.line(p.text(s))
	}
	p.line(p.text(fmt.Sprintf("median %s, from %s to %s %s", number(d.Median), number(d.Least), number(d.Most), unit)))
	p.line("")
	most := 0
	for _, b := range d.Bins {
		most = max(most, b.N)
	}
	const labels, counts = 24, 7
	room := max(p.Width-labels-counts, 10)
	for _, b := range d.Bins {
		n := b.N * room / max(most, 1)
		bar := strings.Repeat("█", n)
		if n == 0 && b.N > 0 {
			bar = "▌"
		}
		p.line(pad(p.text(fmt.Sprintf("%s – %s %s", number(b.Low), number(b.High), unit)), labels) +
			pad(p.text(bar), room+1) + fmt.Sprint(b.N))
	}
	if d.Ranges > 0 {
		p.line("")
		p.linef("%d more said as ranges, which have no one value", d.Ranges)
	}
	p.line("")
	switch {
	case len(d.Outliers) == 0 && len(d.Damages) > 0:
		p.line("whether a review disagrees with the rest cannot be said: something cannot be read")
		return p.err
	case len(d.Outliers) == 0:
		p.line("no review disagrees with the rest")
		return p.err
	}
	p.line(p.paint(p.text(fmt.Sprintf("Disagree with the rest (robust z-score of %g and more)", outlierZ)), bold))
	for i := range d.Outliers {
		o := &d.Outliers[i]
		p.line(p.text(fmt.Sprintf("%+6.1f  %s [%s]", o.Z, o.Review.shown(), o.Review.Name)))
		p.match(&o.Review, &o.Match)
	}
	p.legend()
	return p.err
}

// PlaceLines says how many of the values may belong elsewhere, a line for each sign.
func (d *Distribution) PlaceLines() []string {
	var all []string
	for sure := schema.PlaceUncertain; sure <= schema.PlaceUnlikely; sure++ {
		if n := d.Places[sure]; n > 0 {
			all = append(all, fmt.Sprintf("%s %s: %d of %d", sure.Mark(), sure.Words(), n, d.Values))
		}
	}
	return all
}

func (d *Distribution) title() string {
	if d.Values == 0 {
		return d.Subject + ": no review tells it"
	}
	values, reviews := "values", "reviews"
	if d.Values == 1 {
		values = "value"
	}
	if d.Reviews == 1 {
		reviews = "review"
	}
	return fmt.Sprintf("%s: %d %s in %d %s", d.Subject, d.Values, values, d.Reviews, reviews)
}

// The JSON form of a distribution.
type (
	distributionJSON struct {
		Subject  string        `json:"subject"`
		Unit     schema.Unit   `json:"unit"`
		Note     string        `json:"note,omitempty"` // why nothing can be told
		Reviews  int           `json:"reviews"`
		Values   int           `json:"values"`
		Ranges   int           `json:"ranges"`
		Places   *placesJSON   `json:"place_doubts,omitempty"` // values that may belong elsewhere
		Least    float64       `json:"least"`
		Median   float64       `json:"median"`
		Most     float64       `json:"most"`
		Spread   float64       `json:"spread"`
		Log      bool          `json:"log"`
		Bins     []binJSON     `json:"bins"`
		Outliers []outlierJSON `json:"outliers"`
		Damages  []string      `json:"damages,omitempty"` // what could not be read
	}
	placesJSON struct {
		May      int `json:"may_belong_elsewhere"`
		Probably int `json:"probably_belongs_elsewhere"`
	}
	binJSON struct {
		Low  float64 `json:"low"`
		High float64 `json:"high"`
		N    int     `json:"n"`
	}
	outlierJSON struct {
		Review string    `json:"review"`
		Z      float64   `json:"z"`
		Match  matchJSON `json:"match"`
	}
)

// WriteDistributionJSON writes a distribution as one JSON document.
func (l Look) WriteDistributionJSON(w io.Writer, d *Distribution) error {
	return writeJSON(w, l.distributionJSON(d))
}

// WriteDistributionsJSON writes those of the subjects that one means together,
// as one JSON document.
func (l Look) WriteDistributionsJSON(w io.Writer, subject string, all []*Distribution) error {
	out := struct {
		Subject string             `json:"subject"`
		Apart   []distributionJSON `json:"apart"`
	}{subject, []distributionJSON{}}
	for _, d := range all {
		out.Apart = append(out.Apart, l.distributionJSON(d))
	}
	return writeJSON(w, out)
}

func (l Look) distributionJSON(d *Distribution) distributionJSON {
	out := distributionJSON{Subject: d.Subject, Unit: d.Unit, Note: d.Note, Reviews: d.Reviews, Values: d.Values,
		Ranges: d.Ranges, Least: d.Least, Median: d.Median, Most: d.Most, Spread: d.Spread, Log: d.Log,
		Bins: []binJSON{}, Outliers: []outlierJSON{}}
	if p := d.Places; p[schema.PlaceUncertain]+p[schema.PlaceUnlikely] > 0 {
		out.Places = &placesJSON{p[schema.PlaceUncertain], p[schema.PlaceUnlikely]}
	}
	for _, one := range d.Damages {
		out.Damages = append(out.Damages, one.Error())
	}
	for _, b := range d.Bins {
		out.Bins = append(out.Bins, binJSON(b))
	}
	for i := range d.Outliers {
		o := &d.Outliers[i]
		out.Outliers = append(out.Outliers,
			outlierJSON{o.Review.Name, math.Round(100*o.Z) / 100, l.matchJSON(&o.Review, &o.Match)})
	}
	return out
}

// The picture's measures, in user units.
const (
	svgWidth, svgHeight        = 720, 400
	svgLeft, svgRight          = 60, 20
	svgTop, svgBottom          = 50, 60
	svgFont                    = `font-family="system-ui, sans-serif" font-size="13"`
	svgBar, svgInk, svgOutlier = "#4a6fa5", "#111", "#b3261e"
)

// WriteDistributionSVG writes the histogram as an SVG picture (SVG 1.1): a bar
// for each bin with its count above it, the median as a dashed line, outliers
// as crosses under the axis. It is legible without colours.
func WriteDistributionSVG(w io.Writer, d *Distribution) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" width="%d" height="%d" role="img" aria-label="%s">`+"\n",
		svgWidth, svgHeight, svgWidth, svgHeight, html.EscapeString(d.title()))
	fmt.Fprintf(b, `<rect width="%d" height="%d" fill="#fff"/>`+"\n", svgWidth, svgHeight)
	text := func(x, y float64, anchor, s string) {
		fmt.Fprintf(b, `<text x="%.1f" y="%.1f" text-anchor="%s" %s fill="%s">%s</text>`+"\n", x, y, anchor, svgFont,
			svgInk, html.EscapeString(s))
	}
	text(svgWidth/2, 18, "middle", d.title())
	if d.Values > 0 {
		d.bars(b, text)
	}
	fmt.Fprintln(b, "</svg>")
	return b.Flush()
}

func (d *Distribution) bars(b *bufio.Writer, text func(x, y float64, anchor, s string)) {
	const wide, high = svgWidth - svgLeft - svgRight, svgHeight - svgTop - svgBottom
	base := float64(svgHeight - svgBottom)
	first, last := d.Bins[0].Low, d.Bins[len(d.Bins)-1].High
	low, span := d.scale(first), d.scale(last)-d.scale(first)
	place := func(x float64) float64 {
		if span == 0 {
			return svgLeft + wide/2
		}
		return svgLeft + wide*(d.scale(x)-low)/span
	}
	most := 1
	for _, bin := range d.Bins {
		most = max(most, bin.N)
	}
	for _, bin := range d.Bins {
		h := float64(high) * float64(bin.N) / float64(most)
		x := place(bin.Low)
		width := place(bin.High) - x
		if span == 0 { // one value is all there is
			x, width = svgLeft, wide
		}
		fmt.Fprintf(b, `<rect x="%.1f" y="%.1f" width="%.1f" height="%.1f" fill="%s"/>`+"\n", x+1, base-h, width-2, h,
			svgBar)
		if bin.N > 0 {
			text(x+width/2, base-h-4, "middle", fmt.Sprint(bin.N))
		}
	}
	fmt.Fprintf(b, `<line x1="%d" y1="%.1f" x2="%d" y2="%.1f" stroke="%s"/>`+"\n", svgLeft, base, svgWidth-svgRight,
		base, svgInk)
	for _, i := range labelled(len(d.Bins)) {
		x := last
		if i < len(d.Bins) {
			x = d.Bins[i].Low
		}
		text(place(x), base+32, "middle", number(x))
	}
	m := place(d.Median)
	fmt.Fprintf(b, `<line x1="%.1f" y1="%d" x2="%.1f" y2="%.1f" stroke="%s" stroke-dasharray="6 4"/>`+"\n", m,
		svgTop-26, m, base, svgInk)
	text(m+4, svgTop-16, "start", strings.TrimSpace("median "+number(d.Median)+" "+d.Unit.Symbol()))
	for i := range d.Outliers {
		q := &d.Outliers[i].Value
		v, err := q.Unit.Convert(q.High, d.Unit)
		if err != nil {
			continue
		}
		x := place(v.Float64())
		fmt.Fprintf(b, `<path d="M%.1f %.1f l8 8 m0 -8 l-8 8" stroke="%s" stroke-width="2"/>`+"\n", x-4, base+6,
			svgOutlier)
	}
	axis := d.Unit.Symbol()
	if d.Log {
		axis += ", logarithmic"
	}
	if len(d.Outliers) > 0 {
		axis += "; crosses disagree with the rest"
	}
	text(svgWidth/2, svgHeight-10, "middle", strings.TrimPrefix(axis, ", "))
	if s := d.PlaceLines(); len(s) > 0 {
		text(svgWidth-svgRight, svgTop-16, "end", strings.Join(s, "; "))
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
