package extract

import (
	"fmt"
	"strconv"

	"saywatt/schema"
)

// reaches say how far words reach that say something of what is near them, from
// tables/reach.tsv.
type reaches struct {
	inductor, marking, in                               int
	together, portWords, join, alike                    int
	property, closer, change, bare, after, paying       int
	spot, spotBehind, total, goesOn, denial             int
	topology, outside, maker, count, board, name, parts int
	linkBefore, linkBehind                              int
}

// fields are the reaches by their names in the table.
func (r *reaches) fields() map[string]*int {
	return map[string]*int{
		"inductor":    &r.inductor,
		"marking":     &r.marking,
		"together":    &r.together,
		"closer":      &r.closer,
		"change":      &r.change,
		"paying":      &r.paying,
		"goes_on":     &r.goesOn,
		"spot_behind": &r.spotBehind,
		"port_words":  &r.portWords,
		"join":        &r.join,
		"in":          &r.in,
		"topology":    &r.topology,
		"denial":      &r.denial,
		"property":    &r.property,
		"spot":        &r.spot,
		"bare":        &r.bare,
		"after":       &r.after,
		"outside":     &r.outside,
		"total":       &r.total,
		"maker":       &r.maker,
		"count":       &r.count,
		"alike":       &r.alike,
		"board":       &r.board,
		"name":        &r.name,
		"parts":       &r.parts,
		"link_before": &r.linkBefore,
		"link_behind": &r.linkBehind,
	}
}

func (x *Lexicon) loadReaches() error {
	x.reach = &reaches{}
	fields := x.reach.fields()
	t, err := schema.ReadTable(tables, "tables/reach.tsv")
	if err != nil {
		return err
	}
	for _, row := range t.Rows {
		f, ok := fields[row.Get("reach")]
		n, err := strconv.Atoi(row.Get("n"))
		if !ok || err != nil || n < 1 {
			return fmt.Errorf("reach.tsv:%d: reach %q, n %q", row.Line, row.Get("reach"), row.Get("n"))
		}
		*f = n
		delete(fields, row.Get("reach"))
	}
	for name := range fields {
		return fmt.Errorf("reach.tsv: no reach %s", name)
	}
	return nil
}
