package picture

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"saywatt/schema"
)

// A powerBar is what one port, or several together, can do in one mode.
type powerBar struct {
	mode, port string
	levels     float64 // watts of the strongest level given, 0 where none
	text       string  // of that
	ranged     bool    // it is the upper end of a range
	claim      float64 // watts claimed, 0 where none
	claimText  string
	shares     []float64 // watts of each port, where the claim is of ports in use together
}

// Powers draws a bar for each mode and port: filled to the strongest operating
// level given, framed to the power claimed. A level's power is as said, else
// voltage times current; ranges of voltage count, with their upper end, where
// there is no other level. The frame of ports in use together is parted into what
// each of them gives. A power far above the others goes beyond the scale,
// with an arrow and its figure. False where there is none.
func Powers(r *schema.Record) (*Picture, bool) { return powers(r, wideSheet) }

// PowersNarrow is Powers for a telephone or a column of print.
func PowersNarrow(r *schema.Record) (*Picture, bool) { return powers(r, narrowSheet) }

func powers(r *schema.Record, form sheet) (*Picture, bool) {
	w := form.powersWide
	bars, marks := powerBars(r)
	if len(bars) == 0 {
		return nil, false
	}
	const heads = "power by mode and port"
	title := nameOf(r) + ": " + heads
	const (
		row     vg.Length = 17
		heading vg.Length = 20
		gutter  vg.Length = 12
	)
	names := gutter
	var watts []float64
	modes := 0
	for i, b := range bars {
		names = max(names, width(fit(b.label(), sizeText, w/3), sizeText))
		watts = append(watts, math.Max(b.levels, b.claim))
		if i == 0 || bars[i-1].mode != b.mode {
			modes++
		}
	}
	names = min(names, w/3)
	foot := signLegend(marks, w-2*margin)
	plotHeight := vg.Length(len(bars))*row + vg.Length(modes)*heading
	h := headHeight + plotHeight + 26 + 18 + 12
	h += vg.Length(len(foot)) * footLine
	step, count := ticks(reach(watts), 5)
	scale := float64(count) * step
	return &Picture{
		Name: namePowers, Title: title, Alt: powersAlt(bars), width: w, height: h,
		draw: func(canvas draw.Canvas) {
			p := pen{canvas}
			p.fill(paper, box{0, 0, w, h})
			p.bold(margin, 18, fitBold(form.heading(title, heads), sizeTitle, w-2*margin), sizeTitle, left)
			x0 := margin + names + 8
			long := w - x0 - 70
			at := func(v float64) vg.Length { return x0 + long*vg.Length(math.Min(v, scale)/scale) }
			bottom := headHeight + plotHeight
			for i := range count + 1 {
				v := float64(i) * step
				p.line(grid, 0.4, nil, at(v), headHeight, at(v), bottom)
				p.line(ink, 0.6, nil, at(v), bottom, at(v), bottom+3)
				p.text(at(v), bottom+11, short(v), sizeSmall, center, ink)
			}
			p.line(ink, 0.8, nil, x0, bottom, at(scale), bottom)
			p.text(x0+long/2, bottom+22, "power in W", sizeSmall, center, ink)
			y := headHeight
			for i, b := range bars {
				if i == 0 || bars[i-1].mode != b.mode {
					p.fill(paper, box{margin, y, w - 2*margin, heading})
					p.bold(margin, y+14, fitBold(modeWords(b.mode), sizeText, w-2*margin), sizeText, left)
					y += heading
				}
				b.draw(p, y, row, names, x0, w, at, scale)
				p.line(ink, 0.8, nil, x0, y, x0, y+row)
				y += row
			}
			y = bottom + 30
			p.fill(colors[1], box{margin, y, 14, 8})
			p.text(margin+20, y+6.8, "strongest level stated", sizeSmall, left, ink)
			next := margin + 20 + width("strongest level stated", sizeSmall) + 18
			p.box(ink, 1, []vg.Length{3, 2}, box{next, y, 14, 8})
			p.text(next+20, y+6.8, "power claimed", sizeSmall, left, ink)
			for i, l := range foot {
				p.text(margin, y+20+vg.Length(i)*footLine, l, sizeSmall, left, faint)
			}
		},
	}, true
}

func (b *powerBar) label() string {
	if b.port == "" {
		return "whole product"
	}
	return b.port
}

func (b *powerBar) draw(p pen, y, row, names, x0, w vg.Length, at func(float64) vg.Length, scale float64) {
	p.text(margin+names, y+row/2+3, fit(b.label(), sizeText, names), sizeText, right, ink)
	end := x0
	if b.levels > 0 {
		p.fill(colors[1], box{x0, y + 4, at(b.levels) - x0, row - 8})
		end = at(b.levels)
	}
	if b.claim > 0 {
		p.box(ink, 1, []vg.Length{3, 2}, box{x0, y + 2, at(b.claim) - x0, row - 4})
		sum := 0.0
		for _, w := range b.shares {
			if sum += w; sum < math.Min(b.claim, scale) {
				p.line(ink, 1, []vg.Length{3, 2}, at(sum), y+2, at(sum), y+row-2)
			}
		}
		end = max(end, at(b.claim))
	}
	if math.Max(b.levels, b.claim) > scale { // goes on beyond: an arrow at the edge
		p.arrow(end, y+row/2, 10, 0)
		end += 10
	}
	text := b.text
	switch {
	case text == "":
		text = b.claimText + " claimed"
	case b.claim > 0 && math.Abs(b.claim-b.levels) > 0.5:
		text += ", " + b.claimText + " claimed"
	}
	text = fit(text, sizeSmall, w-margin-x0-4)
	long := width(text, sizeSmall)
	x := end + 6
	if x+long > w-margin { // no room behind it: on the bar
		if x = at(scale) - 6 - long; x < x0+4 {
			x = w - margin - long
		}
	}
	p.fill(paper, box{x - 2, y + 2, long + 4, row - 4})
	p.text(x, y+row/2+2.6, text, sizeSmall, left, ink)
}

// powerBars gathers the bars, those of a mode together, all in the order said.
func powerBars(r *schema.Record) (bars []*powerBar, marks string) {
	bar := func(mode, port string) *powerBar {
		for _, b := range bars {
			if b.mode == mode && b.port == port {
				return b
			}
		}
		bars = append(bars, &powerBar{mode: mode, port: port})
		return bars[len(bars)-1]
	}
	for i := range r.Levels {
		l := &r.Levels[i]
		w, text := powerShown(r, l)
		if !(w > 0) {
			continue
		}
		// A programmable level reaches its highest voltage and its full current
		// together only where its power allows it: what is said fixed goes first.
		ranged := l.Voltage.Quantity.Range && l.Power == nil
		b := bar(l.Mode, l.Port)
		if b.levels == 0 || b.ranged && !ranged || b.ranged == ranged && w > b.levels {
			b.levels, b.text, b.ranged = w, text, ranged
		}
	}
	for i := range r.Claims {
		c := &r.Claims[i]
		if c.Property != "power" || c.InSplit() {
			continue
		}
		if _, w, ok := ends(&c.Value, "W"); ok && w > 0 {
			if b := bar(c.Mode, c.Port); w > b.claim {
				b.claim, b.claimText = w, plain(r, &c.Value)
			}
		}
	}
	for _, s := range r.Splits() {
		if w, text, shares := together(r, &s); w > 0 {
			b := bar(s.Mode, s.Ports)
			b.claim, b.claimText, b.shares = w, text, shares
		}
	}
	var modes []string
	for _, b := range bars {
		if !slices.Contains(modes, b.mode) {
			modes = append(modes, b.mode)
		}
		marks += b.text + b.claimText
	}
	slices.SortStableFunc(bars, func(a, b *powerBar) int {
		return slices.Index(modes, a.mode) - slices.Index(modes, b.mode)
	})
	return bars, marks
}

// together is the power of ports in use together in watts, as stated for all of
// them or else of their shares, how it is written, "45 W + 18 W = 63 W", and the
// shares.
func together(r *schema.Record, s *schema.Split) (watts float64, text string, shares []float64) {
	var parts []string
	for _, v := range s.Each {
		_, w, ok := ends(v, "W")
		if !ok {
			return 0, "", nil
		}
		watts += w
		shares, parts = append(shares, w), append(parts, plain(r, v))
	}
	text = strings.Join(parts, " + ")
	if s.Total == nil {
		return watts, text, shares
	}
	_, watts, _ = ends(s.Total, "W")
	if text != "" {
		text += " = "
	}
	return watts, text + plain(r, s.Total), shares
}

// powerShown is the power of a level in watts, and how it is written: as said,
// or with the least sure of the signs of what it is computed from.
func powerShown(r *schema.Record, l *schema.Level) (float64, string) {
	if _, w, ok := ends(l.Power, "W"); ok {
		return w, plain(r, l.Power)
	}
	product, ok := l.Product()
	if !ok {
		return 0, ""
	}
	sign := mark(l.Voltage.Status)
	if s := mark(l.Current.Status); sign == "" || s == "?" {
		sign = s
	}
	sign += max(r.PlaceDoubtOf(&l.Voltage), r.PlaceDoubtOf(l.Current)).Mark()
	if _, v, _ := ends(&l.Voltage, "V"); v > highest && strings.HasSuffix(l.Mode, "input") {
		return 0, "" // what a mains input is rated for is not what it takes
	}
	w := product.High.Float64()
	return w, fmt.Sprintf("%.4g W%s", w, sign)
}

func powersAlt(bars []*powerBar) string {
	var parts []string
	for _, b := range bars {
		s := b.label() + ", " + modeWords(b.mode) + ": "
		if b.text != "" {
			s += b.text
		}
		if b.claim > 0 {
			s = strings.TrimSuffix(s+", ", ": , ") + "claimed " + b.claimText
			if b.text == "" {
				s = b.label() + ", " + modeWords(b.mode) + ": claimed " + b.claimText
			}
		}
		parts = append(parts, s)
	}
	return "Bars of power. " + strings.Join(parts, "; ") + "."
}
