package validate

import (
	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// ruleCellRate relates the power of a pack to what its cells hold.
var ruleCellRate = &Rule{
	Name: "cell-rate",
	Doc:  "the cells of a power bank are emptied in no less than an eighth of an hour",
	Detail: "Power over the energy of the cells, which is the current over their charge: 100 W from 74 Wh are 1.35 " +
		"C. Where nominal voltage and cut-off of the cell were said, the rate is that at the cut-off, where the " +
		"same power takes the most current. Above 8 C no cell of this trade delivers; power or energy was misheard.",
	Source:   "common practice, no source (handbook 8.1 I22)",
	Standing: standard.Practice,
	Severity: schema.SeverityNote,
	Relates:  []string{"claim.power", "battery.pack.energy", "battery.pack.capacity", "battery.cell.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		s, ok := storeOf(r.Battery)
		if !ok || len(mainsVoltages(r)) > 0 {
			return
		}
		for k := range r.Claims {
			c := &r.Claims[k]
			if _, f := claimMode(c.Mode); !isPower(c) || f == place.Input {
				continue
			}
			args := joined(arg(&c.Value, place.Claim(k)), s.args)
			if b := &r.Battery.Cell; b.Voltage != nil && b.Cutoff != nil {
				args = append(args, arg(b.Voltage, place.Field("battery.cell.voltage")),
					arg(b.Cutoff, place.Field("battery.cell.cutoff")))
			}
			if !yield(Case{Claim: c, Extra: s, Args: args}) {
				return
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		w, ok1 := one(&q[0], schema.KindPower)
		e, ok2 := c.Extra.(store).joules(q[1:])
		if !ok1 || !ok2 || e <= 0 {
			return none
		}
		rate := w / e * schema.Unit("h").Scale() * atCutoff(c, q)
		if most := cellRateMost().High; rate > most {
			return odd(0, rate, most)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		t := q[0].String() + " from " + c.Extra.(store).words(q[1:]) + " empties the cells at " + amount(j.Got, "1") +
			" C"
		if atCutoff(c, q) > 1 {
			t += " at their cut-off of " + q[len(q)-1].String()
		}
		return t + "; they give up to " + amount(j.Limit, "1") + " C"
	},
}

var cellRateMost = standard.Bound("cell.rate")

// atCutoff is how much more current the cells give at their cut-off than at their
// nominal voltage, 1 where these were not said.
func atCutoff(c *Case, q []schema.Quantity) float64 {
	from := 1 + len(c.Extra.(store).args)
	if len(q) != from+2 {
		return 1
	}
	nominal, ok1 := one(&q[from], schema.KindVoltage)
	least, ok2 := one(&q[from+1], schema.KindVoltage)
	if !ok1 || !ok2 || least > nominal {
		return 1
	}
	return nominal / least
}
