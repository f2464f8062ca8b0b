package validate

import (
	"strings"
	"sync"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// sumTable is what the rules on sums and totals need.
type sumTable struct {
	share, rounding, usb float64
	classes              []float64
}

var sums = sync.OnceValue(func() *sumTable {
	t := &sumTable{share: standard.LimitOf("sum.share").High, rounding: standard.LimitOf("sum.rounding").High,
		usb: standard.LimitOf("usb.power").High}
	for _, r := range schema.MustReadTable(tables, "tables/power_classes.tsv").Rows {
		t.classes = append(t.classes, mustFloat(r, "power"))
	}
	return t
})

// ruleSplitTotal: what the ports give together is not more than there is.
var ruleSplitTotal = &Rule{
	Name: "split-total",
	Doc:  "powers given at once add up to no more than the total",
	Detail: "45 W + 20 W is a split of a 65 W charger, 45 W + 30 W is not. One percent and one watt are left for " +
		"rounding. The total is a power claimed without a port. A split is the shared powers said one after the " +
		"other until a port comes again.",
	Source:   "conservation of energy (handbook 8.1 I05)",
	Standing: standard.Computed,
	Severity: schema.SeverityError,
	Relates:  []string{"claim.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		claims := newClaimsOf(r)
		for _, s := range splitsOf(r) {
			for k := range merged(claims.totals[""], claims.totals[s.product], s.product != "") {
				if !yield(splitCase(r, s, k)) {
					return
				}
			}
		}
	},
	Loose: either(looseRow, looseTotal(0)),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		total, sum, ok := addUp(q)
		if !ok {
			return none
		}
		if sum > total*sums().share+sums().rounding {
			return breaks(0, sum, total)
		}
		j := fits()
		if sum > total-sums().rounding {
			j.Chance = chanceWithin(total, sums().rounding)
		}
		return j
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return sumOf(q) + " is " + amount(j.Got, "W") + ", more than the total of " + q[0].String()
	},
}

// ruleSplitSum: the speaker added it up himself.
var ruleSplitSum = &Rule{
	Name: "split-sum",
	Doc:  "the sum given for ports in use together is the sum of their powers",
	Detail: "\"45 watts plus 18 watts, 63 watts\": three numbers that must agree, up to one percent and one watt " +
		"for rounding.",
	Source:   "arithmetic (handbook 8.1 I05)",
	Standing: standard.Computed,
	Severity: schema.SeverityError,
	Relates:  []string{"claim.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for _, s := range splitsOf(r) {
			if s.total >= 0 && !yield(splitCase(r, s, s.total)) {
				return
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		total, sum, ok := addUp(q)
		if !ok {
			return none
		}
		tol := total*(sums().share-1) + sums().rounding
		if sum > total+tol || sum < total-tol {
			return breaks(0, sum, total)
		}
		j := fits()
		j.Chance = chanceWithin(total, tol)
		return j
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return sumOf(q) + " is " + amount(j.Got, "W") + ", but " + q[0].String() + " was said for them together"
	},
	Propose: func(c *Case, q []schema.Quantity, j Judgement) (schema.Quantity, bool) {
		return toGrid(j.Got, 1, "W"), true
	},
}

// ruleSplitWithinPort: sharing adds nothing.
var ruleSplitWithinPort = &Rule{
	Name:     "split-within-port",
	Doc:      "no port gives more in a split than alone",
	Detail:   "Compared with the power claimed for the same port and product mode when it is the only one in use.",
	Source:   "handbook 8.1 I06",
	Standing: standard.Computed,
	Severity: schema.SeverityError,
	Relates:  []string{"claim.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		type alone struct{ port, product, protocol string }
		powers := map[alone][]int{}
		for k := range r.Claims {
			d := &r.Claims[k]
			if on, g := claimMode(d.Mode); isPower(d) && g == place.Output {
				powers[alone{d.Port, on, d.Protocol}] = append(powers[alone{d.Port, on, d.Protocol}], k)
			}
		}
		for i := range r.Claims {
			c := &r.Claims[i]
			product, f := claimMode(c.Mode)
			if !isPower(c) || c.Port == "" || f != place.Shared {
				continue
			}
			for k := range merged(powers[alone{c.Port, "", c.Protocol}], powers[alone{c.Port, product, c.Protocol}],
				product != "") {
				if !yield(Case{Claim: c, Args: []Arg{arg(&c.Value, place.Claim(i)),
					arg(&r.Claims[k].Value, place.Claim(k))}}) {
					return
				}
			}
		}
	},
	Loose: looseShared,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		shared, alone, ok := two(q, schema.KindPower, schema.KindPower)
		if !ok {
			return none
		}
		if shared > alone*sums().share {
			return breaks(0, shared, alone)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " while sharing is more than the " + q[1].String() + " it gives alone"
	},
}

// splitCase relates a total with the members of a split.
func splitCase(r *schema.Record, s split, total int) Case {
	args := make([]Arg, 0, len(s.members)+1)
	args = append(args, arg(&r.Claims[total].Value, place.Claim(total)))
	name := s.product
	for i, m := range s.members {
		args = append(args, arg(&r.Claims[m].Value, place.Claim(m)))
		if i > 0 && s.row {
			continue
		}
		if i > 0 {
			name += " +"
		}
		name = place.Label(name, r.Claims[m].Port)
	}
	return Case{Label: name, Extra: s.row, Args: args}
}

// addUp gives the first power and the sum of the others.
func addUp(q []schema.Quantity) (total, sum float64, ok bool) {
	for i := range q {
		w, ok := one(&q[i], schema.KindPower)
		if !ok {
			return 0, 0, false
		}
		if i == 0 {
			total = w
		} else {
			sum += w
		}
	}
	return total, sum, true
}

// sumOf writes "45 W + 18 W".
func sumOf(q []schema.Quantity) string {
	parts := make([]string, 0, len(q))
	for i := range q[1:] {
		parts = append(parts, q[i+1].String())
	}
	return strings.Join(parts, " + ")
}
