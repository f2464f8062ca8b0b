package schema

import "strings"

// A Split is what ports in use together give in one operating mode.
type Split struct {
	Mode  string
	Ports string   // joined with +
	Each  []*Value // powers stated for them, in the order said: that of the ports where there are as many
	Total *Value   // power stated for all of them together, nil where none was
}

// InSplit reports whether a claim is the power of ports in use together: what Splits
// gathers.
func (c *Claim) InSplit() bool {
	return c.Property == "power" && strings.Contains(c.Port, "+") && c.Protocol == ""
}

// Splits gathers the powers of ports in use together, each set of ports of a mode
// once, in the order said. A power alone is that of all of them. The last of three
// or more is their total where the others add up to it, to one watt; where there is
// one more than ports, also where they do so to a tenth, for a total is rounded, or
// is a limit a little below the shares. Another power is that of a port that was not
// named: nothing says that it is a sum.
func (r *Record) Splits() []Split {
	var all []Split
	at := map[[2]string]int{}
	for i := range r.Claims {
		c := &r.Claims[i]
		if !c.InSplit() {
			continue
		}
		key := [2]string{c.Mode, c.Port}
		n, ok := at[key]
		if !ok {
			n = len(all)
			at[key] = n
			all = append(all, Split{Mode: c.Mode, Ports: c.Port})
		}
		all[n].Each = append(all[n].Each, &c.Value)
	}
	for i := range all {
		s := &all[i]
		last := len(s.Each) - 1
		switch {
		case last == 0:
			s.Each, s.Total = nil, s.Each[0]
		case last >= 2 && s.sums(last):
			s.Each, s.Total = s.Each[:last], s.Each[last]
		}
	}
	return all
}

// Count is how many ports are in use.
func (s *Split) Count() int { return strings.Count(s.Ports, "+") + 1 }

// Port is the port that gives the power with an index of Each, "" where there are
// more or fewer powers than ports.
func (s *Split) Port(i int) string {
	if len(s.Each) != s.Count() {
		return ""
	}
	return strings.Split(s.Ports, "+")[i]
}

// What the shares of a total may be off by: a watt of rounding, and, where a power
// more than ports was said, a tenth (common practice, no source).
var (
	sumRounds = NewDecimal(1, 0)
	sumLimit  = NewDecimal(1, -1)
)

// sums reports whether the power with an index is the total of those before it.
func (s *Split) sums(last int) bool {
	total, ok := watts(s.Each[last])
	if !ok {
		return false
	}
	left := total
	for _, v := range s.Each[:last] {
		w, ok := watts(v)
		if !ok || w.Cmp(total) > 0 { // of a range nobody can say; no share is above the total
			return false
		}
		left = left.Sub(w)
	}
	if left.Sign() < 0 {
		left = left.Neg()
	}
	return left.Cmp(sumRounds) <= 0 || last == s.Count() && left.Cmp(total.Mul(sumLimit)) <= 0
}

// watts is a power in watts, false for a range and for what is no power.
func watts(v *Value) (Decimal, bool) {
	q := &v.Quantity
	if q.Range {
		return Decimal{}, false
	}
	w, err := q.Unit.Convert(q.Low, "W")
	return w, err == nil
}
