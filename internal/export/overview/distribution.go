package overview

import (
	"fmt"
	"io"
	"math"
	"strings"

	"saywatt/internal/archive"
	"saywatt/internal/archive/spread"
	"saywatt/internal/export/plainjson"
	"saywatt/internal/picture"
	"saywatt/schema"
)

// WriteDistribution writes a distribution for the terminal: numbers, bars, and
// who disagrees with the rest.
func (l Look) WriteDistribution(w io.Writer, d *archive.Distribution) error {
	p := l.printer(w)
	p.line(p.paint(p.text(spreadTitle(d)), bold))
	if d.Note != "" {
		p.line(p.text(d.Note))
	}
	if d.Values == 0 {
		return p.err
	}
	unit := d.Unit.Symbol()
	for _, s := range PlaceLines(d) {
		p.line(p.text(s))
	}
	p.line(p.text(fmt.Sprintf("median %s, from %s to %s %s", picture.FewDigits(d.Median), picture.FewDigits(d.Least),
		picture.FewDigits(d.Most), unit)))
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
		from, to := picture.FewDigits(b.Low), picture.FewDigits(b.High)
		p.line(pad(p.text(fmt.Sprintf("%s – %s %s", from, to, unit)), labels) +
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
	apart := fmt.Sprintf("Disagree with the rest (robust z-score of %g and more)", spread.OutlierZ)
	p.line(p.paint(p.text(apart), bold))
	for i := range d.Outliers {
		o := &d.Outliers[i]
		p.line(p.text(fmt.Sprintf("%+6.1f  %s [%s]", o.Z, shown(&o.Review), o.Review.Name)))
		p.match(&o.Review, &o.Match)
	}
	p.legend()
	return p.err
}

// PlaceLines says how many of the values may belong elsewhere, a line for each sign.
func PlaceLines(d *archive.Distribution) []string {
	var all []string
	for sure := schema.PlaceUncertain; sure <= schema.PlaceUnlikely; sure++ {
		if n := d.Places[sure]; n > 0 {
			all = append(all, fmt.Sprintf("%s %s: %d of %d", sure.Mark(), sure.Words(), n, d.Values))
		}
	}
	return all
}

// spreadTitle says what a distribution is of, and how many say it.
func spreadTitle(d *archive.Distribution) string {
	if d.Values == 0 {
		return d.Subject + ": no review says it"
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
		Note     string        `json:"note,omitempty"` // why nothing can be said
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
func (l Look) WriteDistributionJSON(w io.Writer, d *archive.Distribution) error {
	return plainjson.Write(w, l.distributionJSON(d))
}

// WriteDistributionsJSON writes those of the subjects that one means together,
// as one JSON document.
func (l Look) WriteDistributionsJSON(w io.Writer, subject string, all []*archive.Distribution) error {
	out := struct {
		Subject string             `json:"subject"`
		Apart   []distributionJSON `json:"apart"`
	}{subject, []distributionJSON{}}
	for _, d := range all {
		out.Apart = append(out.Apart, l.distributionJSON(d))
	}
	return plainjson.Write(w, out)
}

func (l Look) distributionJSON(d *archive.Distribution) distributionJSON {
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

// Histogram is the picture of a distribution: a bar for each bin, the median as
// a line, reviews that disagree with the rest as crosses, and how many values may
// belong elsewhere.
func Histogram(d *archive.Distribution) *picture.Histogram {
	h := &picture.Histogram{Title: spreadTitle(d), Unit: d.Unit.Symbol(), Log: d.Log, Median: d.Median}
	if d.Values == 0 {
		return h
	}
	h.Remark = strings.Join(PlaceLines(d), "; ")
	for _, b := range d.Bins {
		h.Bins = append(h.Bins, picture.Bin(b))
	}
	for i := range d.Outliers {
		q := &d.Outliers[i].Value
		if v, err := q.Unit.Convert(q.High, d.Unit); err == nil {
			h.Outliers = append(h.Outliers, v.Float64())
		}
	}
	return h
}
