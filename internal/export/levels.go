package export

import (
	"io"

	"saywatt/schema"
)

// writeLevels writes the operating levels as CSV, one row a level, in the
// order of the record:
//
//	mode      input, output, output-shared, perhaps behind a mode of the product and a slash
//	port      USB-C1, USB-A, …; joined ports with +; empty where not told
//	protocol  PD, PPS, …; empty where not told
//	v_low     volts; a fixed level has v_low = v_high
//	v_high    volts
//	a         amperes, the upper end of a range; empty where not told
//	w         watts as said, the upper end of a range; empty where not told
//	status    the least sure of its values: open, repaired, heard, settled
//	at        seconds, when its first value was told; empty where untimed
func writeLevels(w io.Writer, r *schema.Record, header bool) error {
	c := newTable(w)
	if header {
		c.Write([]string{"mode", "port", "protocol", "v_low", "v_high", "a", "w", "status", "at"})
	}
	for i := range r.Levels {
		l := &r.Levels[i]
		c.Write([]string{
			cell(l.Mode), cell(l.Port), cell(l.Protocol),
			number(&l.Voltage, "V", false), number(&l.Voltage, "V", true), number(l.Current, "A", true), number(l.Power, "W", true),
			statusName(leastSure(statusesOf(&l.Voltage, l.Current, l.Power)...)),
			seconds(firstTold(r, &l.Voltage, l.Current, l.Power)),
		})
	}
	c.Flush()
	return c.Error()
}
