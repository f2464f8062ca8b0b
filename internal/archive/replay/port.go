package replay

import (
	"slices"
	"strings"

	"saywatt/schema"
)

// renamed is a port or protocol that a person put right.
type renamed struct {
	kind     schema.TermKind // TermPort or TermProtocol
	was, now string          // now "" for none
	terms    []int           // of the record: those put right
}

// renames adds a term that was put right, of those that had the same name.
func renames(all []renamed, kind schema.TermKind, term int, was, now string) []renamed {
	if kind != schema.TermPort && kind != schema.TermProtocol || was == now {
		return all
	}
	i := slices.IndexFunc(all, func(n renamed) bool { return n.was == was && n.now == now })
	if i < 0 {
		i = len(all)
		all = append(all, renamed{kind: kind, was: was, now: now})
	}
	all[i].terms = append(all[i].terms, term)
	return all
}

// placeTerms writes anew where terms of ports and protocols are in the list of ports.
func placeTerms(r *schema.Record) {
	for i := range r.Terms {
		t := &r.Terms[i]
		switch t.Kind {
		case schema.TermPort:
			t.Place = r.PortPath(t.Meant)
		case schema.TermProtocol:
			t.Place = r.ProtocolPath(t.Meant)
		}
	}
}

// replay gives levels, claims and ports the name. Where some of the terms of the old
// name stay as they are, those said behind a term that was put right, and before one
// that was not, get it.
func (n *renamed) replay(r *schema.Record) {
	all := true
	for i := range r.Terms {
		t := &r.Terms[i]
		all = all && (t.Kind != n.kind || t.Meant != n.was || slices.Contains(n.terms, i))
	}
	// of gives a place its name: ports in use together are joined.
	of := func(port, protocol *string, v *schema.Value) {
		held := protocol
		if n.kind == schema.TermPort {
			held = port
		}
		if names := strings.Split(*held, "+"); slices.Contains(names, n.was) && (all || n.before(r, v)) {
			*held = strings.Join(n.put(names), "+")
		}
	}
	for i := range r.Levels {
		of(&r.Levels[i].Port, &r.Levels[i].Protocol, &r.Levels[i].Voltage)
	}
	for i := range r.Claims {
		of(&r.Claims[i].Port, &r.Claims[i].Protocol, &r.Claims[i].Value)
	}
	if n.kind == schema.TermPort {
		number, numbered := strings.CutPrefix(n.now, n.was)
		n.ports(r, all || numbered && strings.Trim(number, "0123456789") == "") // ports of a kind have numbers all
		return
	}
	for i := range r.Ports {
		p := &r.Ports[i]
		if slices.Contains(p.Protocols, n.was) {
			if !all && !slices.Contains(p.Protocols, n.now) && n.now != "" {
				p.Protocols = append(p.Protocols, n.now)
			} else if all {
				p.Protocols = n.put(p.Protocols)
			}
		}
	}
}

// put writes the name in a list in place of the old one, each name once.
func (n *renamed) put(names []string) []string {
	var out []string
	for _, name := range names {
		if name == n.was {
			name = n.now
		}
		if name != "" && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}

// ports gives the list of ports the name: one that is there already gets the protocols
// of the other.
func (n *renamed) ports(r *schema.Record, all bool) {
	at := slices.IndexFunc(r.Ports, func(p schema.Port) bool { return p.Name == n.was })
	if at < 0 {
		return
	}
	to := slices.IndexFunc(r.Ports, func(p schema.Port) bool { return p.Name == n.now })
	switch {
	case n.now == "":
	case to >= 0 && all:
		for _, name := range r.Ports[at].Protocols {
			if p := &r.Ports[to]; !slices.Contains(p.Protocols, name) {
				p.Protocols = append(p.Protocols, name)
			}
		}
	case to < 0 && all:
		r.Ports[at].Name = n.now
		return
	case to < 0:
		r.Ports = append(r.Ports, schema.Port{Name: n.now})
		return
	}
	if all {
		r.Ports = slices.Delete(r.Ports, at, at+1)
	}
}

// before reports whether of the terms of the old name the last before a value was put
// right, or the first where all are behind it.
func (n *renamed) before(r *schema.Record, v *schema.Value) bool {
	if len(v.Said) == 0 {
		return false
	}
	q := r.Quantity(v.Said[0])
	if q == nil {
		return false
	}
	last := -1
	for i := range r.Terms {
		t := &r.Terms[i]
		if t.Kind != n.kind || t.Meant != n.was && !slices.Contains(n.terms, i) {
			continue
		}
		if last < 0 || t.Span.Start <= q.Span.Start {
			last = i
		}
	}
	return slices.Contains(n.terms, last)
}
