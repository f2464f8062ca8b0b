package validate

import (
	"math"
	"sync"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// qiTable is what the rules on wireless charging need.
type qiTable struct {
	profiles            []qiProfile
	band, magnetic      standard.Limit
	width               float64
	leastCoil, mostCoil float64
}

// qiProfile is a row of qi_profiles.tsv.
type qiProfile struct {
	family place.Protocol
	power  float64 // W
	standard.Ground
}

var qi = sync.OnceValue(func() *qiTable {
	t := &qiTable{band: standard.LimitOf("qi.frequency"), magnetic: standard.LimitOf("qi.frequency.magnetic"),
		width:     standard.LimitOf("qi.frequency.width").High,
		leastCoil: standard.LimitOf("qi.frequency.least").High, mostCoil: standard.LimitOf("qi.frequency.most").High}
	for _, r := range schema.MustReadTable(tables, "tables/qi_profiles.tsv").Rows {
		p := qiProfile{power: mustFloat(r, "power"), Ground: standard.GroundOf(r)}
		p.family = place.FamilyNamed(r.Get("family"))
		t.profiles = append(t.profiles, p)
	}
	return t
})

// profile gives the row of a family, nil if the protocol is Qi without one.
func (t *qiTable) profile(p place.Protocol) *qiProfile {
	for i := range t.profiles {
		if t.profiles[i].family == p {
			return &t.profiles[i]
		}
	}
	return nil
}

// isWireless reports whether a claim or condition is about a charging pad.
func isWireless(port, protocol string) bool {
	p := place.ProtocolOf(protocol)
	return place.SocketOf(port) == place.SocketPad || p >= place.Qi && p <= place.QiMPP25
}

// ruleQiPower knows the profiles.
var ruleQiPower = &Rule{
	Name: "qi-power",
	Doc:  "a wireless pad gives at most 5 W (baseline), 15 W (extended, magnetic) or 25 W (Qi 2.2)",
	Detail: "Where the profile was said, its limit counts; otherwise that of the strongest profile. 7.5, 10 or 50 " +
		"W modes of vendors exist beside Qi, so this only warns. What a pad draws at its input is not judged.",
	Source:   "Qi (5 W and 15 W: R22; 25 W and 30 W unverified)",
	Standing: standard.Verified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"claim.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for k := range r.Claims {
			c := &r.Claims[k]
			if _, f := claimMode(c.Mode); !isPower(c) || f == place.Input || !isWireless(c.Port, c.Protocol) {
				continue
			}
			if !yield(Case{Claim: c, Extra: c, Args: []Arg{arg(&c.Value, place.Claim(k))}}) {
				return
			}
		}
	},
	Loose: both(looseQi, looseWithin(onProtocol, 2)),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		w, ok := one(&q[0], schema.KindPower)
		if !ok {
			return none
		}
		t := qi()
		p := t.profile(place.ProtocolOf(c.Extra.(*schema.Claim).Protocol))
		if p == nil {
			p = &t.profiles[len(t.profiles)-1]
		}
		if w > p.power {
			return breaks(0, w, p.power).on(p.Source, p.Standing)
		}
		return fits().on(p.Source, p.Standing)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		if qi().profile(place.ProtocolOf(c.Extra.(*schema.Claim).Protocol)) == nil {
			return q[0].String() + " is above the " + amount(j.Limit, "W") + " of the strongest Qi profile"
		}
		return q[0].String() + " is above the " + amount(j.Limit, "W") + " of its Qi profile"
	},
}

// ruleQiFrequency knows the bands.
var ruleQiFrequency = &Rule{
	Name: "qi-frequency",
	Doc:  "a charging coil works between 87 and 205 kHz, or at 360 kHz",
	Detail: "The first is the band of the baseline and extended profiles, the second that of the magnetic one. Two " +
		"percent are left for the meter.",
	Source:   "Qi (handbook 3.3, R22)",
	Standing: standard.Verified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"measurement.frequency"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for i := range r.Measurements {
			m := &r.Measurements[i]
			if m.Property != "frequency" {
				continue
			}
			coil := m.Subject == "coil"
			if m.Condition != nil {
				coil = coil || isWireless(m.Condition.Port, m.Condition.Protocol)
			}
			if coil && !yield(Case{Label: "coil", Args: []Arg{arg(&m.Value, place.Item("measurements", i, "value"))}}) {
				return
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		low, high, ok := in(&q[0], schema.KindFrequency)
		if !ok || high <= 0 {
			return none
		}
		t := qi()
		if low >= t.band.Low*(1-t.width) && high <= t.band.High*(1+t.width) {
			return fits()
		}
		if math.Abs(low-t.magnetic.High) <= t.magnetic.High*t.width &&
			math.Abs(high-t.magnetic.High) <= t.magnetic.High*t.width {
			return fits()
		}
		j := breaks(0, high, t.band.High)
		if high > t.leastCoil && high < t.mostCoil {
			j.Verdict = VerdictOdd
		}
		return j
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		t := qi()
		return q[0].String() + " is neither within " + amount(t.band.Low, "kHz") + " to " + amount(t.band.High, "kHz") +
			" nor " + amount(t.magnetic.High, "kHz")
	},
}
