package validate

import (
	"strings"

	"saywatt/schema"
	"saywatt/validate/place"
)

// claimMode is ModeOf for claims, where no direction means output, and a bare
// product mode ("mains") the output in it.
func claimMode(mode string) (product string, f place.Flow) {
	if mode == "" {
		return "", place.Output
	}
	if product, f = place.ModeOf(mode); f == place.OtherFlow {
		return mode, place.Output
	}
	return product, f
}

// isPower reports whether a claim is of power and stated, not measured.
func isPower(c *schema.Claim) bool {
	return c.Property == "power" && c.Value.Basis != schema.BasisMeasured
}

// claimLabel opens a sentence about a claim.
func claimLabel(c *schema.Claim) string {
	product, f := claimMode(c.Mode)
	if f == place.Input {
		return place.Label(product, c.Port, c.Protocol, "input")
	}
	return place.Label(product, c.Port, c.Protocol)
}

// manyPorts stands for the only port where there are several; no port has that
// name.
const manyPorts = "+"

// solePort is the only port that gives output in the record's levels; "" where
// none is named, manyPorts where there are several.
func solePort(r *schema.Record) string {
	port := ""
	for i := range r.Levels {
		l := &r.Levels[i]
		if _, f := place.ModeOf(l.Mode); f == place.Input || l.Port == "" {
			continue
		}
		if port != "" && port != l.Port {
			return manyPorts
		}
		port = l.Port
	}
	for i := range r.Ports {
		if port != "" && r.Ports[i].Name != port && place.SocketOf(r.Ports[i].Name) != place.SocketMains {
			return manyPorts
		}
	}
	return port
}

// totals iterates with the index of every claim that is the power of the
// whole output.
func totals(r *schema.Record, yield func(i int, c *schema.Claim) bool) {
	for i := range r.Claims {
		c := &r.Claims[i]
		if _, f := claimMode(c.Mode); isPower(c) && c.Port == "" && c.Protocol == "" && f == place.Output &&
			!yield(i, c) {
			return
		}
	}
}

// split is a set of powers given for ports that are in use at once.
type split struct {
	product string
	members []int // claims, by index
	total   int   // claim of the sum, -1 where not given
	row     bool  // all said of the ports joined
}

// splitsOf sorts the claims of shared output into splits. Claims come in the
// order said: a split runs until a port comes again, the product mode
// changes, or a claim for exactly its ports together closes it. A joined
// port ("USB-C2+USB-A") that is not the sum of what went before is a rail
// that these ports share, and one member.
func splitsOf(r *schema.Record) []split {
	var all []split
	open := split{total: -1}
	ports := map[string]bool{} // of the members
	shut := func() {
		if len(open.members) > 0 {
			all = append(all, open)
		}
		open = split{total: -1}
		clear(ports)
	}
	for i := range r.Claims {
		c := &r.Claims[i]
		product, f := claimMode(c.Mode)
		if !isPower(c) || f != place.Shared {
			continue
		}
		if product != open.product {
			shut()
			open.product = product
		}
		switch {
		case again(r, &open, c):
			open.members, open.row = append(open.members, i), true
		case c.Port == "" || len(open.members) > 1 && !open.row && isSum(ports, c.Port):
			if len(open.members) < 2 {
				continue
			}
			open.total = i
			shut()
		case overlaps(ports, c.Port):
			shut()
			fallthrough
		default:
			open.product = product
			open.members = append(open.members, i)
			for p := range strings.SplitSeq(c.Port, "+") {
				ports[p] = true
			}
		}
	}
	shut()
	return all
}

// again reports whether a power is the next of a row said for ports joined, one for
// each: "C1 + C2: 45 W + 20 W".
func again(r *schema.Record, open *split, c *schema.Claim) bool {
	n := len(open.members)
	if n == 0 || n >= strings.Count(c.Port, "+")+1 {
		return false
	}
	for _, m := range open.members {
		if r.Claims[m].Port != c.Port {
			return false
		}
	}
	return next(&r.Claims[open.members[n-1]].Value, &c.Value)
}

// isSum reports whether a joined port names exactly the ports of a split.
func isSum(ports map[string]bool, joined string) bool {
	if len(ports) < 2 || strings.Count(joined, "+")+1 != len(ports) {
		return false
	}
	seen := map[string]bool{}
	for p := range strings.SplitSeq(joined, "+") {
		if !ports[p] || seen[p] {
			return false
		}
		seen[p] = true
	}
	return true
}

// overlaps reports whether a split has one of the joined ports already.
func overlaps(ports map[string]bool, joined string) bool {
	for p := range strings.SplitSeq(joined, "+") {
		if ports[p] {
			return true
		}
	}
	return false
}
