package extract

import "saywatt/schema"

// reaches say how far words reach that say something of what is near them, from
// tables/reach.tsv.
type reaches struct {
	portReaches
	partReaches
	in, property, closer, change, bare, after, paying    int
	spot, spotBehind, total, totalBehind, goesOn, denial int
	linkBefore, linkBehind, heading, anchor              int
	rehearWords, rehearUnits, unitWords                  int
	knownBefore, knownBehind                             int
}

// portReaches are those of ports and what is said of them.
type portReaches struct {
	portWords, join, alike, alikeEnd, likened, except, protocol int
}

// partReaches are those of parts, cells and the product.
type partReaches struct {
	inductor, marking, topology, outside, maker, board, name, parts int
	count, countBefore, each, cellFormat                            int
}

// fields are the reaches by their names in the table.
func (r *reaches) fields() map[string]*int {
	return map[string]*int{
		"inductor":     &r.inductor,
		"marking":      &r.marking,
		"closer":       &r.closer,
		"change":       &r.change,
		"paying":       &r.paying,
		"goes_on":      &r.goesOn,
		"spot_behind":  &r.spotBehind,
		"port_words":   &r.portWords,
		"join":         &r.join,
		"in":           &r.in,
		"topology":     &r.topology,
		"denial":       &r.denial,
		"property":     &r.property,
		"spot":         &r.spot,
		"bare":         &r.bare,
		"after":        &r.after,
		"outside":      &r.outside,
		"total":        &r.total,
		"maker":        &r.maker,
		"count":        &r.count,
		"alike":        &r.alike,
		"board":        &r.board,
		"name":         &r.name,
		"parts":        &r.parts,
		"link_before":  &r.linkBefore,
		"link_behind":  &r.linkBehind,
		"protocol":     &r.protocol,
		"each":         &r.each,
		"likened":      &r.likened,
		"alike_end":    &r.alikeEnd,
		"except":       &r.except,
		"heading":      &r.heading,
		"count_before": &r.countBefore,
		"total_behind": &r.totalBehind,
		"anchor":       &r.anchor,
		"cell_format":  &r.cellFormat,
		"rehear_words": &r.rehearWords,
		"rehear_units": &r.rehearUnits,
		"unit_words":   &r.unitWords,
		"known_before": &r.knownBefore,
		"known_behind": &r.knownBehind,
	}
}

func (x *Lexicon) loadReaches() error {
	x.reach = &reaches{}
	return schema.ReadNumbers(tables, "tables/reach.tsv", "reach", "n", x.reach.fields())
}
