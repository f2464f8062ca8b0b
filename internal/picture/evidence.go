package picture

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"saywatt/schema"
)

// maxReadings bounds the readings that an evidence picture shows.
const maxReadings = 5

// Evidence draws the readings of one quantity, best first: a bar for the
// probability of each, and below it what speaks for it, to the right, and against
// it, to the left, beside the likeliest other reading: what says the same of both
// says nothing. False where there are no readings.
func Evidence(s *schema.Said) (*Picture, bool) {
	if len(s.Readings) == 0 {
		return nil, false
	}
	e := evidence{said: s, readings: slices.Clone(s.Readings[:min(len(s.Readings), maxReadings)])}
	for i := range e.readings {
		e.readings[i].Terms = compared(s.Readings, i)
	}
	for _, r := range e.readings {
		for _, t := range r.Terms {
			if !math.IsInf(t.Score, 0) && !math.IsNaN(t.Score) {
				e.most = math.Max(e.most, math.Abs(t.Score))
			}
		}
	}
	e.title = "“" + strings.Join(strings.Fields(s.Heard), " ") + "”"
	if s.At != nil {
		e.title += " at " + s.At.Clock()
	}
	if s.Role != "" {
		e.title += ", as " + schema.RoleWords(s.Role, "")
	}
	if s.Context != "" && s.Context != s.Heard {
		e.context = lines("in “"+strings.Join(strings.Fields(s.Context), " ")+"”", sizeSmall, evidenceWidth-2*margin)
	}
	h := e.height()
	return &Picture{
		Name: fmt.Sprintf("evidence-%d", s.Number), Title: e.title, Alt: e.alt(), width: evidenceWidth, height: h,
		draw: func(c draw.Canvas) { e.draw(pen{c}, h) },
	}, true
}

// slightest is the difference of scores below which a term says nothing that a
// person could use: a factor of 1.2 on the odds.
const slightest = 0.18

// compared are the terms of a reading less those of the likeliest other one, in
// the order in which the two have them; none where there is no other.
func compared(all []schema.Reading, i int) []schema.Term {
	if len(all) < 2 {
		return nil
	}
	rival := &all[0]
	if i == 0 {
		rival = &all[1]
	}
	var out []schema.Term
	add := func(name, note string, score float64) {
		k := slices.IndexFunc(out, func(o schema.Term) bool { return o.Name == name })
		if k < 0 {
			k = len(out)
			out = append(out, schema.Term{Name: name})
		}
		out[k].Score += score
		out[k].Note = cmp.Or(note, out[k].Note)
	}
	for _, t := range all[i].Terms {
		add(t.Name, t.Note, t.Score)
	}
	for _, t := range rival.Terms {
		add(t.Name, "", -t.Score)
	}
	for k := range out {
		if out[k].Note == "" {
			_, out[k].Note = schema.TermWords(out[k].Name)
		}
	}
	return slices.DeleteFunc(out, func(t schema.Term) bool { return math.Abs(t.Score) < slightest })
}

// Sizes of the picture in points.
const (
	evidenceWidth vg.Length = 560
	readingHeight vg.Length = 22
	termHeight    vg.Length = 12
	termsWide     vg.Length = 130 // of that column
	nameWide      vg.Length = 86  // of the names of terms
)

type evidence struct {
	said     *schema.Said
	readings []schema.Reading
	title    string
	context  []string
	most     float64 // largest score in magnitude
}

func (e *evidence) height() vg.Length {
	h := headHeight + vg.Length(len(e.context))*footLine + 14
	for _, r := range e.readings {
		h += readingHeight + vg.Length(len(r.Terms))*termHeight + 8
	}
	if e.most > 0 {
		h += footLine
	}
	return h + margin
}

// scale explains the figures beside the bars of the terms.
const scale = "Beside the likeliest other reading: ×10 makes it ten times likelier, ÷10 ten times less likely."

func (e *evidence) draw(p pen, h vg.Length) {
	p.fill(paper, box{0, 0, evidenceWidth, h})
	p.bold(margin, 18, fitBold(e.title, sizeTitle, evidenceWidth-2*margin-20), sizeTitle, left)
	y := headHeight
	for _, l := range e.context {
		p.text(margin, y+sizeSmall, l, sizeSmall, left, faint)
		y += footLine
	}
	y += 4
	x := margin + nameWide
	if e.most > 0 {
		mid := x + termsWide/2
		p.text(mid-3, y+sizeSmall, "← against", sizeSmall, right, faint)
		p.text(mid+3, y+sizeSmall, "for →", sizeSmall, left, faint)
	}
	y += 10
	for i := range e.readings {
		y = e.reading(p, y, i)
	}
	if e.most > 0 {
		p.text(margin, y+sizeSmall, scale, sizeSmall, left, faint)
	}
}

// reading draws one reading from y on and returns where it ends.
func (e *evidence) reading(p pen, y vg.Length, i int) vg.Length {
	r := &e.readings[i]
	chosen := r.Quantity.Same(e.said.Quantity)
	name := r.Quantity.String()
	x := margin + nameWide
	bar := evidenceWidth - x - margin - 44
	if chosen {
		p.fill(tint, box{margin - 4, y, evidenceWidth - 2*margin + 8,
			readingHeight + vg.Length(len(r.Terms))*termHeight + 3})
		p.bold(margin, y+14, fitBold(name, sizeText, nameWide-4), sizeText, left)
	} else {
		p.text(margin, y+14, fit(name, sizeText, nameWide-4), sizeText, left, ink)
	}
	long := bar * share(r.Confidence)
	p.fill(paper, box{x, y + 5, bar, 11})
	if chosen {
		p.fill(colors[1], box{x, y + 5, long, 11})
	} else {
		p.fill(faint, box{x, y + 7.5, long, 6})
	}
	p.box(ink, 0.6, nil, box{x, y + 5, bar, 11})
	p.text(x+bar+5, y+14, percent(r.Confidence), sizeText, left, ink)
	y += readingHeight
	for _, t := range r.Terms {
		e.term(p, x, y, t)
		y += termHeight
	}
	return y + 8
}

func (e *evidence) term(p pen, x, y vg.Length, t schema.Term) {
	base := y + 8.2
	name, _ := schema.TermWords(t.Name)
	p.text(x-6, base, fit(name, sizeSmall, nameWide-12), sizeSmall, right, ink)
	mid := x + termsWide/2
	long := vg.Length(0)
	if e.most > 0 {
		long = (termsWide/2 - 26) * share(math.Abs(t.Score)/e.most)
	}
	score := written(t.Score)
	if strings.HasPrefix(score, "÷") {
		b := box{mid - long, y + 2.5, long, 6}
		p.fill(paper, b) // empty: against
		p.box(ink, 0.7, nil, b)
		p.text(mid-long-3, base, score, sizeSmall, right, ink)
	} else {
		p.fill(ink, box{mid, y + 2.5, long, 6})
		p.text(mid+long+3, base, score, sizeSmall, left, ink)
	}
	p.line(ink, 0.6, nil, mid, y, mid, y+termHeight)
	p.text(x+termsWide+6, base, fit(t.Note, sizeSmall, evidenceWidth-x-termsWide-6-margin), sizeSmall, left, faint)
}

// share keeps a part of one within 0 and 1; what is no number is none.
func share(p float64) vg.Length {
	if !(p > 0) {
		return 0
	}
	return vg.Length(min(p, 1))
}

// written is a difference of scores as a factor on the odds.
func written(score float64) string {
	sign := "×"
	if score < 0 {
		sign = "÷"
	}
	switch f := math.Exp(math.Abs(score)); {
	case math.IsNaN(f):
		return "?"
	case f > 1000:
		return sign + ">1000"
	case f >= 9.95:
		return fmt.Sprintf("%s%.0f", sign, f)
	default:
		return fmt.Sprintf("%s%.1f", sign, f)
	}
}

// percent writes a probability for people; certainty is never claimed.
func percent(p float64) string {
	switch {
	case p >= 0.995:
		return ">99 %"
	case !(p >= 0.01): // NaN too
		return "<1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

func (e *evidence) alt() string {
	var parts []string
	for _, r := range e.readings {
		parts = append(parts, r.Quantity.String()+" "+percent(r.Confidence))
	}
	return "Readings of what was heard: " + strings.Join(parts, ", ") + "."
}
