package sheet

import (
	"strings"

	"saywatt/internal/export/line"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// PortList writes "USB-C1 + C2 + A": what all the names begin with stands once.
func PortList(joined string) string {
	names := strings.Split(schema.PortWords(joined), "+")
	for i := 1; i < len(names); i++ {
		if rest, ok := strings.CutPrefix(names[i], "USB-"); ok && strings.HasPrefix(names[0], "USB-") {
			names[i] = rest
		}
	}
	return strings.Join(names, " + ")
}

// Oddly names a split whose powers are not one a port, "" otherwise.
func Oddly(s *schema.Split) string {
	n := s.Count()
	if len(s.Each) == 0 || len(s.Each) == n {
		return ""
	}
	return word.Plural(len(s.Each), "power", "powers") + " stated for " + word.Plural(n, "port", "ports")
}

// Each writes the powers of a split in their order: "65 W + 45 W".
func Each(r *schema.Record, s *schema.Split) []line.Run {
	var body []line.Run
	for i, v := range s.Each {
		if i > 0 {
			body = append(body, line.Plain(word.NBSP+"+ "))
		}
		body = append(body, Spec(r, v)...)
	}
	return body
}

// together writes the powers of ports in use together: which ports, what
// each gives in that order, and the total where one was stated.
func (p *page) together() {
	var rows []Row
	mode := ""
	for _, s := range p.record.Splits() {
		if product, _, ok := strings.Cut(s.Mode, "/"); ok && product != mode {
			mode = product
			rows = append(rows, Row{Label: word.Words(product) + " mode"})
		}
		body := Each(p.record, &s)
		if s.Total != nil {
			equals := line.Plain(word.NBSP + "= ")
			if body == nil {
				equals.Text = word.Glue("together ")
			}
			body = append(append(body, equals), p.spec(s.Total)...)
		}
		if odd := Oddly(&s); odd != "" {
			body = append(body, line.Faint(" ("+odd+")"))
		}
		values := append(append([]*schema.Value{}, s.Each...), s.Total)
		rows = append(rows, p.row(PortList(s.Ports), body, values...))
	}
	p.table(TogetherTitle, rows)
}
