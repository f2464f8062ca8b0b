package table

import (
	"strings"

	"saywatt/internal/export/account"
	"saywatt/schema"
)

// Levels has one row an operating level, in the order of the record:
//
//	mode      input, output, output-shared, perhaps behind a mode of the product and a slash
//	port      USB-C1, USB-A, AC for a mains outlet, …; joined ports with +; empty where not given and for
//	          the mains inlet
//	protocol  PD, PPS, …; AC for the mains; empty where not given
//	v_low     volts; a fixed level has v_low = v_high
//	v_high    volts
//	a         amperes, the upper end of a range; empty where not given
//	w         watts as said, the upper end of a range; empty where not given
//	status    the least sure of its values: open, repaired, heard, settled
//	at        seconds, when its first value was said; empty where untimed
//
// Its columns are settled: what else is known of a level, whether its values may
// belong elsewhere, is in the table (Tables).
func Levels(r *schema.Record) Table {
	t := Table{Name: "levels", Columns: []string{"mode", "port", "protocol", "v_low", "v_high", "a", "w", "status",
		"at"}}
	for i := range r.Levels {
		l := &r.Levels[i]
		port, protocol := l.Port, l.Protocol
		if port == schema.MainsPort { // a record of before had the port alone
			protocol = schema.MainsProtocol
			if strings.HasSuffix(l.Mode, "input") {
				port = ""
			}
		}
		t.Rows = append(t.Rows, []any{
			l.Mode, port, protocol, in(&l.Voltage, "V", false), in(&l.Voltage, "V", true), in(l.Current, "A", true),
			in(l.Power, "W", true),
			statusName(leastSure(statusesOf(&l.Voltage, l.Current, l.Power)...)),
			timeCell(account.FirstSaid(r, &l.Voltage, l.Current, l.Power)),
		})
	}
	return t
}
