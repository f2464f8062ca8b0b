package extract

import (
	"fmt"
	"strings"

	"saywatt/schema"
)

// kindValue is a row of kindvalues.tsv.
type kindValue struct {
	general, kind int32
	wireless      bool
	values        []valueRange
}

// valueRange is a range of one physical kind in SI units.
type valueRange struct {
	phys      schema.Kind
	low, high float64
}

func (x *Lexicon) loadKindValues() error {
	t, err := schema.ReadTable(tables, "tables/kindvalues.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		v := kindValue{general: x.cue.kindID(r.Get("general")), kind: x.cue.kindID(r.Get("kind")),
			wireless: r.Get("when") == "wireless"}
		if v.general < 0 || v.kind < 0 {
			return fmt.Errorf("kindvalues.tsv:%d: a kind is not known", r.Line)
		}
		for _, s := range r.List("values") {
			span, err := parseValueRange(s)
			if err != nil {
				return fmt.Errorf("kindvalues.tsv:%d: %q: %w", r.Line, s, err)
			}
			v.values = append(v.values, span)
		}
		if len(v.values) == 0 {
			return fmt.Errorf("kindvalues.tsv:%d: no values", r.Line)
		}
		x.cue.kindValues = append(x.cue.kindValues, v)
	}
	return nil
}

func parseValueRange(s string) (v valueRange, err error) {
	number, code, _ := strings.Cut(s, " ")
	low, high, _ := strings.Cut(number, "..")
	unit, err := schema.ParseUnit(code)
	if err != nil {
		return v, err
	}
	v.phys = unit.Kind
	for _, end := range [...]struct {
		text string
		to   *float64
	}{{low, &v.low}, {high, &v.high}} {
		d, err := schema.ParseDecimal(end.text)
		if err != nil {
			return v, err
		}
		*end.to = schema.Quantity{Low: d, High: d, Unit: unit.Unit}.SI()
	}
	return v, nil
}

// settleKinds gives the parts named by a general word the closer kind that
// their numbers show, numbers as heard: 450 V and 82 µF are those of a bulk
// capacitor.
func (s *placer) settleKinds() {
	of := s.mentionsOf()
	for j := range s.d.Subjects {
		sub := &s.d.Subjects[j]
		general := s.c.kindID(sub.Kind)
		for k := range s.c.kindValues {
			v := &s.c.kindValues[k]
			if v.general == general && (!v.wireless || s.wireless()) && s.tellsAll(of[j], v.values) {
				sub.Kind = s.c.kinds[v.kind].name
				break
			}
		}
	}
}

// mentionsOf lists the mentions of each subject.
func (s *placer) mentionsOf() [][]int32 {
	of := make([][]int32, len(s.d.Subjects))
	for i := range s.d.Mentions {
		if j := s.d.Mentions[i].Context.Subject; j >= 0 {
			of[j] = append(of[j], int32(i))
		}
	}
	return of
}

// tellsAll reports whether numbers among the mentions lie in each of the ranges.
func (s *placer) tellsAll(mentions []int32, values []valueRange) bool {
	for _, v := range values {
		held := false
		for _, i := range mentions {
			m := &s.d.Mentions[i]
			if m.Not != NotNothing || m.Withdrawn || !m.HasUnit() || m.Range || m.Unit.Unit.Kind() != v.phys {
				continue
			}
			d := m.Low.Decimal()
			if si := (schema.Quantity{Low: d, High: d, Unit: m.Unit.Unit}).SI(); si >= v.low*(1-1e-9) &&
				si <= v.high*(1+1e-9) {
				held = true
				break
			}
		}
		if !held {
			return false
		}
	}
	return true
}
