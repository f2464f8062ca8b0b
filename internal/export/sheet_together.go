package export

import (
	"strings"

	"saywatt/schema"
)

// A split is what ports in use together give: the powers stated for them in
// the order said, and their total where one was stated.
type split struct {
	mode, ports string
	each        []*schema.Value // in the order said, which is that of the ports where there are as many
	total       *schema.Value
}

// inTogether reports whether a claim is shown in the table of ports in use
// together.
func inTogether(c *schema.Claim) bool {
	return c.Property == "power" && strings.Contains(c.Port, "+") && c.Protocol == ""
}

// splits gathers the powers of ports in use together, each set of ports once,
// in the order said. The last of three or more powers is the total where it
// is the sum of the others, to one watt, or there is one more than ports and it is
// less than none of them; of two for two ports none is.
func splits(r *schema.Record) []split {
	var all []split
	at := map[[2]string]int{}
	for i := range r.Claims {
		c := &r.Claims[i]
		if !inTogether(c) {
			continue
		}
		key := [2]string{c.Mode, c.Port}
		n, ok := at[key]
		if !ok {
			n = len(all)
			at[key] = n
			all = append(all, split{mode: c.Mode, ports: c.Port})
		}
		all[n].each = append(all[n].each, &c.Value)
	}
	for i := range all {
		s := &all[i]
		last := len(s.each) - 1
		ports := strings.Count(s.ports, "+") + 1
		switch {
		case last == 0: // one power for all of them
			s.each, s.total = nil, s.each[0]
		case last >= 2 && (last == ports && covers(s.each[last], s.each[:last]) || addsUp(s.each[:last], s.each[last])):
			s.each, s.total = s.each[:last], s.each[last]
		}
	}
	return all
}

// portList writes "USB-C1 + C2 + A": what all the names begin with stands once.
func portList(joined string) string {
	names := strings.Split(schema.PortWords(joined), "+")
	for i := 1; i < len(names); i++ {
		if rest, ok := strings.CutPrefix(names[i], "USB-"); ok && strings.HasPrefix(names[0], "USB-") {
			names[i] = rest
		}
	}
	return strings.Join(names, " + ")
}

// odd tells of a split whose powers are not one a port, "" otherwise.
func (s *split) odd() string {
	n := strings.Count(s.ports, "+") + 1
	if len(s.each) == 0 || len(s.each) == n {
		return ""
	}
	return plural(len(s.each), "power", "powers") + " stated for " + plural(n, "port", "ports")
}

// watts is a power in watts, false for a range.
func watts(v *schema.Value) (float64, bool) {
	q := &v.Quantity
	if q.Range {
		return 0, false
	}
	d, err := q.Unit.Convert(q.Low, "W")
	return d.Float64(), err == nil
}

// covers reports whether a total is less than none of its parts.
func covers(total *schema.Value, parts []*schema.Value) bool {
	all, ok := watts(total)
	for _, p := range parts {
		if w, fine := watts(p); ok && fine && w > all {
			return false
		}
	}
	return true
}

// addsUp reports whether powers add up to a total, to one watt of rounding.
func addsUp(parts []*schema.Value, total *schema.Value) bool {
	left, ok := watts(total)
	for _, p := range parts {
		w, fine := watts(p)
		left -= w
		ok = ok && fine
	}
	return ok && left >= -1 && left <= 1
}

// each writes the powers of a split in their order: "65 W + 45 W".
func (p *page) each(s *split) []run {
	var body []run
	for i, v := range s.each {
		if i > 0 {
			body = append(body, run{nbsp + "+ ", stylePlain})
		}
		body = append(body, p.spec(v)...)
	}
	return body
}

// together writes the powers of ports in use together: which ports, what
// each gives in that order, and the total where one was stated.
func (p *page) together() {
	var rows []row
	mode := ""
	for _, s := range splits(p.record) {
		if product, _, ok := strings.Cut(s.mode, "/"); ok && product != mode {
			mode = product
			rows = append(rows, row{label: words(product) + " mode"})
		}
		body := p.each(&s)
		if s.total != nil {
			equals := run{nbsp + "= ", stylePlain}
			if body == nil {
				equals.text = glue("together ")
			}
			body = append(append(body, equals), p.spec(s.total)...)
		}
		if odd := s.odd(); odd != "" {
			body = append(body, run{" (" + odd + ")", styleFaint})
		}
		values := append(append([]*schema.Value{}, s.each...), s.total)
		rows = append(rows, p.said(portList(s.ports), body, values...))
	}
	p.table("Ports in use together", rows)
}
