package export

import (
	"io"
	"strings"

	"saywatt/schema"
)

// writeLevels writes the operating levels as CSV, one row a level, in the
// order of the record:
//
//	mode      input, output, output-shared, perhaps behind a mode of the product and a slash
//	port      USB-C1, USB-A, AC for a mains outlet, …; joined ports with +; empty where not told, and for the mains inlet
//	protocol  PD, PPS, …; AC for the mains; empty where not told
//	v_low     volts; a fixed level has v_low = v_high
//	v_high    volts
//	a         amperes, the upper end of a range; empty where not told
//	w         watts as said, the upper end of a range; empty where not told
//	status    the least sure of its values: open, repaired, heard, settled
//	at        seconds, when its first value was told; empty where untimed
func writeLevels(w io.Writer, r *schema.Record, header bool) error {
	return levelsTable(r).WriteCSV(w, header)
}

func levelsTable(r *schema.Record) Table {
	t := Table{Name: "levels", Columns: []string{"mode", "port", "protocol", "v_low", "v_high", "a", "w", "status", "at"}}
	for i := range r.Levels {
		l := &r.Levels[i]
		port, protocol := l.Port, l.Protocol
		if port == mains {
			protocol = mains
			if strings.HasSuffix(l.Mode, "input") { // an inlet is no port of its own in this table
				port = ""
			}
		}
		t.Rows = append(t.Rows, []any{
			l.Mode, port, protocol, in(&l.Voltage, "V", false), in(&l.Voltage, "V", true), in(l.Current, "A", true), in(l.Power, "W", true),
			statusName(leastSure(statusesOf(&l.Voltage, l.Current, l.Power)...)), timeCell(firstTold(r, &l.Voltage, l.Current, l.Power)),
		})
	}
	return t
}

// mains is the port of a record that stands for the mains inlet or an outlet.
const mains = "AC"
