package picture

import (
	"math"
	"strconv"

	"gonum.org/v1/plot/vg"
)

// A frame is the drawing area of a panel with its two axes from zero up.
type frame struct {
	area         box
	xMost, yMost float64
}

func (f frame) x(v float64) vg.Length { return f.area.x + f.area.w*vg.Length(v/f.xMost) }
func (f frame) y(v float64) vg.Length {
	return f.area.y + f.area.h - f.area.h*vg.Length(v/f.yMost)
}

// axes draws the frame with ticks, a light grid, and the names of the axes.
func (f frame) axes(p pen, xStep, yStep float64, xName, yName string) {
	for i := 0; ; i++ {
		v := float64(i) * xStep
		if v > f.xMost*1.0001 {
			break
		}
		x := f.x(v)
		p.line(grid, 0.4, nil, x, f.area.y, x, f.area.y+f.area.h)
		p.line(ink, 0.6, nil, x, f.area.y+f.area.h, x, f.area.y+f.area.h+3)
		p.text(x, f.area.y+f.area.h+11, short(v), sizeSmall, center, ink)
	}
	for i := 0; ; i++ {
		v := float64(i) * yStep
		if v > f.yMost*1.0001 {
			break
		}
		y := f.y(v)
		p.line(grid, 0.4, nil, f.area.x, y, f.area.x+f.area.w, y)
		p.line(ink, 0.6, nil, f.area.x-3, y, f.area.x, y)
		p.text(f.area.x-5, y+2.6, short(v), sizeSmall, right, ink)
	}
	p.line(ink, 0.8, nil, f.area.x, f.area.y, f.area.x, f.area.y+f.area.h, f.area.x+f.area.w, f.area.y+f.area.h)
	p.text(f.area.x+f.area.w/2, f.area.y+f.area.h+22, xName, sizeSmall, center, ink)
	p.upward(f.area.x-22, f.area.y+f.area.h/2, yName, sizeSmall)
}

// short writes a number of a scale.
func short(v float64) string {
	return strconv.FormatFloat(math.Round(v*1e6)/1e6, 'f', -1, 64)
}

// power draws a curve of constant power through the frame and names it beyond
// the right edge.
func (f frame) power(p pen, watts float64) {
	const steps = 48
	from := watts / f.yMost
	var xy []vg.Length
	for i := 0; i <= steps; i++ {
		v := from * math.Pow(f.xMost/from, float64(i)/steps)
		xy = append(xy, f.x(v), f.y(watts/v))
	}
	p.line(faint, 0.5, []vg.Length{1.5, 2}, xy...)
	p.text(f.area.x+f.area.w+3, f.y(watts/f.xMost)+2.6, strconv.FormatFloat(watts, 'g', 3, 64)+" W", sizeSmall, left,
		faint)
}

// A labeller finds room for labels among what is drawn already.
type labeller struct {
	within box
	taken  []box
	points []vg.Point // that have labels
}

// keep notes a box that labels must leave free.
func (l *labeller) keep(b box) { l.taken = append(l.taken, b) }

// place returns the corner of a label of a size beside a point: the first of
// some places around it that is free and that a line from the point reaches
// freely. led asks for that line: the label stands off, or another point is as
// near. ok is false where there is no place.
func (l *labeller) place(x, y, w, h vg.Length) (b box, led, ok bool) {
	for _, near := range []bool{true, false} {
		for _, gap := range []vg.Length{6, 10, 16, 24, 34, 48} {
			for _, b := range l.around(x, y, w, h, gap) {
				if !b.inside(l.within) || !l.free(b) || !l.reaches(x, y, b) || near && !l.nearest(x, y, b) {
					continue
				}
				led := !near || distance(b, x, y) > unled
				l.keep(box{b.x - 3, b.y, b.w + 6, b.h})
				if led {
					l.keepLine(x, y, b)
				}
				return b, led, true
			}
		}
	}
	return box{}, false, false
}

// around lists places beside a point, the better first.
func (l *labeller) around(x, y, w, h, gap vg.Length) []box {
	d := gap * 0.72
	edge := l.within.x + l.within.w - w
	return []box{
		{x + gap, y - h/2, w, h}, {x - w/2, y - gap - h, w, h}, {x - gap - w, y - h/2, w, h}, {x - w/2, y + gap, w, h},
		{x + d, y - d - h, w, h}, {x - d - w, y - d - h, w, h}, {x + d, y + d, w, h}, {x - d - w, y + d, w, h},
		{edge, y - gap - h, w, h}, {edge, y + gap, w, h},
	}
}

// nearest reports whether no other point is about as near to a label.
func (l *labeller) nearest(x, y vg.Length, b box) bool {
	own := distance(b, x, y)
	for _, p := range l.points {
		if (p.X != x || p.Y != y) && distance(b, p.X, p.Y) < own+3 {
			return false
		}
	}
	return true
}

// unled is how far a label may stand from its point without a line to it.
const unled vg.Length = 12

// leader is the line from a point to the nearest point of a label.
func leader(x, y vg.Length, b box) (toX, toY vg.Length) {
	return min(max(x, b.x), b.x+b.w), min(max(y, b.y), b.y+b.h)
}

// along calls do with small boxes on the line from a point to a label, but for
// those upon the mark at the point and the last.
func along(x, y vg.Length, b box, do func(box) bool) bool {
	toX, toY := leader(x, y, b)
	const steps = 12
	for i := 1; i < steps; i++ {
		k := vg.Length(i) / steps
		at := box{x + (toX-x)*k - 0.5, y + (toY-y)*k - 0.5, 1, 1}
		if at.overlaps(box{x - 5, y - 5, 10, 10}) {
			continue
		}
		if !do(at) {
			return false
		}
	}
	return true
}

func (l *labeller) reaches(x, y vg.Length, b box) bool { return along(x, y, b, l.free) }

func (l *labeller) keepLine(x, y vg.Length, b box) {
	along(x, y, b, func(at box) bool {
		l.keep(at)
		return true
	})
}

func distance(b box, x, y vg.Length) vg.Length {
	dx := max(b.x-x, 0, x-b.x-b.w)
	dy := max(b.y-y, 0, y-b.y-b.h)
	return vg.Length(math.Hypot(float64(dx), float64(dy)))
}

func (l *labeller) free(b box) bool {
	for _, t := range l.taken {
		if b.overlaps(t) {
			return false
		}
	}
	return true
}
