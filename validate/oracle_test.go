package validate

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"saywatt/schema"
	"saywatt/validate/testdata/notation"
)

// check runs one rule over a record in the notation of testdata/README.md and
// gives the verdict of its gravest case.
func verdict(t *testing.T, rule, record string) Verdict {
	t.Helper()
	r := RuleNamed(rule)
	if r == nil {
		t.Fatalf("no rule %s", rule)
	}
	worst := VerdictNone
	r.Find(notation.Parse(t, record), func(c Case) bool {
		q := make([]schema.Quantity, len(c.Args))
		for i, a := range c.Args {
			q[i] = a.Value.Quantity
		}
		worst = max(worst, r.Judge(&c, q).Verdict)
		return true
	})
	return worst
}

// powerRules is handbook 2.3, computed there from the power rules of
// USB PD R3.x §10.2 (R4, R5, R10): PDP; required amps at 5, 9, 15, 20, 28, 36,
// 48 V; greatest amps at 12 V; the next optional level.
const powerRules = `
7.5,1.5,-,-,-,-,-,-,0.62,-
10,2,-,-,-,-,-,-,0.83,-
12,2.4,-,-,-,-,-,-,1,-
15,3,-,-,-,-,-,-,1.25,9V 1.67
18,3,2,-,-,-,-,-,1.5,15V 1.2
20,3,2.22,-,-,-,-,-,1.67,15V 1.33
22.5,3,2.5,-,-,-,-,-,1.88,15V 1.5
24,3,2.67,-,-,-,-,-,2,15V 1.6
25,3,2.78,-,-,-,-,-,2.08,15V 1.67
27,3,3,-,-,-,-,-,2.25,15V 1.8
30,3,3,2,-,-,-,-,2.5,20V 1.5
33,3,3,2.2,-,-,-,-,2.75,20V 1.65
35,3,3,2.33,-,-,-,-,2.92,20V 1.75
36,3,3,2.4,-,-,-,-,3,20V 1.8
40,3,3,2.67,-,-,-,-,3,20V 2
45,3,3,3,-,-,-,-,3,20V 2.25
50,3,3,3,2.5,-,-,-,3,-
60,3,3,3,3,-,-,-,3,-
65,3,3,3,3.25,-,-,-,3,-
67,3,3,3,3.35,-,-,-,3,-
70,3,3,3,3.5,-,-,-,3,-
80,3,3,3,4,-,-,-,3,-
85,3,3,3,4.25,-,-,-,3,-
87,3,3,3,4.35,-,-,-,3,-
90,3,3,3,4.5,-,-,-,3,-
96,3,3,3,4.8,-,-,-,3,-
100,3,3,3,5,-,-,-,3,-
120,3,3,3,5,4.29,-,-,3,-
130,3,3,3,5,4.64,-,-,3,-
140,3,3,3,5,5,-,-,3,-
150,3,3,3,5,5,4.17,-,3,-
160,3,3,3,5,5,4.44,-,3,-
180,3,3,3,5,5,5,-,3,-
200,3,3,3,5,5,5,4.17,3,-
210,3,3,3,5,5,5,4.38,3,-
240,3,3,3,5,5,5,5,3,-`

func TestPowerRules(t *testing.T) {
	volts := []string{"5", "9", "15", "20", "28", "36", "48"}
	for _, row := range strings.Fields(strings.ReplaceAll(powerRules, "V ", "V_")) {
		cells := strings.Split(row, ",")
		pdp := cells[0]
		claim := "claim power, " + pdp + " W, port=USB-C\n"
		levels := ""
		judge := func(v, a string) Verdict {
			return verdict(t, "pd-power-rule", claim+fmt.Sprintf("level output, USB-C, PD, %s V, %s A", v, a))
		}
		for i, v := range volts {
			if cells[i+1] == "-" {
				continue
			}
			levels += fmt.Sprintf("level output, USB-C, PD, %s V, %s A\n", v, cells[i+1])
			if got := judge(v, cells[i+1]); got != VerdictFits {
				t.Errorf("%s W: %s V %s A %s", pdp, v, cells[i+1], got)
			}
			less := fmt.Sprintf("%.2f", 0.8*schema.MustDecimal(cells[i+1]).Float64())
			if got := judge(v, less); got != VerdictBreaks {
				t.Errorf("%s W: %s V %s A, a fifth too little, %s", pdp, v, less, got)
			}
		}
		if got := judge("12", cells[8]); got != VerdictFits {
			t.Errorf("%s W: optional 12 V %s A %s", pdp, cells[8], got)
		}
		if v, a, ok := strings.Cut(cells[9], "V_"); ok {
			if got := judge(v, a); got != VerdictFits {
				t.Errorf("%s W: optional %s V %s A %s", pdp, v, a, got)
			}
		}
		// The whole list is complete and reaches its claim.
		if got := verdict(t, "headline-reached", claim+levels); got != VerdictFits {
			t.Errorf("%s W: its levels are said not to reach it: %s", pdp, got)
		}
		if got := verdict(t, "pd-missing-level", claim+levels+levels+levels); got != VerdictFits {
			t.Errorf("%s W: a required level is missed: %s", pdp, got)
		}
		if got := verdict(t, "level-trend", levels); got > VerdictFits {
			t.Errorf("%s W: its levels are said to run the wrong way: %s", pdp, got)
		}
		if got := verdict(t, "level-within-claim", claim+levels); got != VerdictFits {
			t.Errorf("%s W: a level of its own is said to exceed it: %s", pdp, got)
		}
	}
}

// TestWorkedExamples holds the check values of handbook section 11.4 that
// concern levels, claims and cables.
func TestWorkedExamples(t *testing.T) {
	tests := []struct {
		id, rule, record string
		want             Verdict
	}{
		{"W69 3 A cable, 250 mΩ (Type-C 4.4.1, R14)", "cable-drop", "cable.resistance = 250 mOhm\ncable.current = 3 A", VerdictFits},
		{"W69 3 A cable, 251 mΩ", "cable-drop", "cable.resistance = 251 mOhm\ncable.current = 3 A", VerdictBreaks},
		{"W70 5 A cable, 150 mΩ (Type-C 4.4.1, R14)", "cable-drop", "cable.resistance = 150 mOhm\ncable.current = 5 A", VerdictFits},
		{"W84 50 W, 20 V 2.5 A (R4)", "pd-power-rule", "claim power, 50 W, port=USB-C\nlevel output, USB-C, PD, 20 V, 2.5 A", VerdictFits},
		{"W84 50 W, 15 V 2.5 A would be too little (R4)", "pd-power-rule", "claim power, 50 W, port=USB-C\nlevel output, USB-C, PD, 15 V, 2.5 A", VerdictBreaks},
		{"W85 65 W, 20 V 3.25 A (R12d)", "pd-power-rule", "claim power, 65 W, port=USB-C\nlevel output, USB-C, PD, 20 V, 3.25 A", VerdictFits},
		{"W86 27 W, optional 12 V 2.25 A (R11)", "level-within-claim", "claim power, 27 W, port=USB-C\nlevel output, USB-C, PD, 12 V, 2.25 A", VerdictFits},
		{"W86 27 W, 12 V 3 A is too much", "level-within-claim", "claim power, 27 W, port=USB-C\nlevel output, USB-C, PD, 12 V, 3 A", VerdictBreaks},
		{"W86 27 W, 15 V 1.8 A and 20 V 1.35 A (R11)", "level-within-claim", "claim power, 27 W, port=USB-C\nlevel output, USB-C, PD, 15 V, 1.8 A\nlevel output, USB-C, PD, 20 V, 1.35 A", VerdictFits},
		{"W87 9 V 2.22 A as 20 W (R44)", "level-power", "level output, USB-C, PD, 9 V, 2.22 A, 20 W", VerdictFits},
		{"W87 12 V 1.67 A as 20 W (R44)", "level-power", "level output, USB-C, PD, 12 V, 1.67 A, 20 W", VerdictFits},
		{"W88 QC 3.0, 6.0 V (R18)", "qc-step", "level output, USB-A, QC 3.0, 6.0 V, 2 A", VerdictFits},
		{"W88 QC 3.0, 5.9 V (R18)", "qc-step", "level output, USB-A, QC 3.0, 5.9 V, 2 A", VerdictBreaks},
		{"W89 UFCS 8 A (T/TAF 083, R19)", "ufcs-cable", "cable.emarker = no\nlevel output, USB-C, UFCS, 10 V, 8 A", VerdictBreaks},
		{"W89 UFCS 6.5 A (T/TAF 083, R19)", "ufcs-cable", "cable.emarker = no\nlevel output, USB-C, UFCS, 10 V, 6.5 A", VerdictOdd},
		{"W90 e-marker 30 V (R3.2 v1.2 Table 6.42, R13)", "cable-voltage", "cable.emarker = yes\ncable.voltage = 30 V", VerdictOdd},
		{"W91 480 Mbit/s and 240 W (R16), rate", "cable-rate", "cable.data_rate = 480 Mbit/s\ncable.power = 240 W", VerdictFits},
		{"W91 480 Mbit/s and 240 W (R16), power", "cable-power-mark", "cable.data_rate = 480 Mbit/s\ncable.power = 240 W", VerdictFits},
		{"W92 9 V contract, 8.55 V (R45)", "contract-voltage", "measure output_voltage, 8.55 V (measured), voltage 9 V", VerdictFits},
		{"W92 9 V contract, 9.45 V (R45)", "contract-voltage", "measure output_voltage, 9.45 V (measured), voltage 9 V", VerdictFits},
		{"W92 9 V contract, 9.46 V (R45)", "contract-voltage", "measure output_voltage, 9.46 V (measured), voltage 9 V", VerdictBreaks},
		{"W95 65 W split 45+20", "split-total", "claim power, 65 W\nclaim power, 45 W, port=USB-C1, mode=output-shared\nclaim power, 20 W, port=USB-C2, mode=output-shared", VerdictFits},
		{"W95 65 W split 45+30", "split-total", "claim power, 65 W\nclaim power, 45 W, port=USB-C1, mode=output-shared\nclaim power, 30 W, port=USB-C2, mode=output-shared", VerdictBreaks},
		{"2.5 27 W PPS 3.3–11 V 3 A (R49)", "pps-power", "claim power, 27 W, port=USB-C\nlevel output, USB-C, PPS, 3.3..11 V, 3 A", VerdictFits},
		{"2.5 15 W PPS 3.3–5.9 V 3 A (R49)", "pps-power", "claim power, 15 W, port=USB-C\nlevel output, USB-C, PPS, 3.3..5.9 V, 3 A", VerdictFits},
		{"8.5 65 W at 100 V draw 1.23–1.48 A (X)", "input-current", "claim power, 65 W\nlevel input, , AC, 100..240 V, 1.2 A", VerdictFits},
		{"8.5 100 W with correction draw 1.20 A (X)", "input-current", "claim power, 100 W\nlevel input, , AC, 100..240 V, 1.2 A", VerdictFits},
		{"8.5 140 W with correction draw 1.67 A (X)", "input-current", "claim power, 140 W\nlevel input, , AC, 100..240 V, 1.7 A", VerdictFits},
		{"W80 fuse 3.15 A with a 65 W input of 1.5 A", "fuse-input-current", "level input, , AC, 100..240 V, 1.5 A\ncomponent fuse, current 3.15 A, voltage 250 V", VerdictFits},
	}
	for _, tt := range tests {
		if got := verdict(t, tt.rule, tt.record); got != tt.want {
			t.Errorf("%s: %s %s, want %s", tt.id, tt.rule, got, tt.want)
		}
	}
}

// TestReadingsRanked: of the readings of a garble the rules together prefer
// the right one by far. W93: "20 volt 325 A" with 65 W is 3.25 A; W94:
// "9 volt 222 A" with 20 W is 2.22 A; both after handbook 9.3 rule 1.
func TestReadingsRanked(t *testing.T) {
	tests := []struct {
		id, record, right string
		readings          []string
	}{
		{"W93", "claim power, 65 W, port=USB-C1\nlevel output, USB-C1, PD, 9 V, 3 A\nlevel output, USB-C1, PD, 20 V, 325 A",
			"3.25", []string{"325", "32.5", "3.25", "0.325"}},
		{"W94", "claim power, 20 W, port=USB-C\nlevel output, USB-C, PD, 5 V, 3 A\nlevel output, USB-C, PD, 9 V, 222 A",
			"2.22", []string{"222", "22.2", "2.22", "0.222"}},
	}
	for _, tt := range tests {
		r := notation.Parse(t, tt.record)
		slot := r.Levels[len(r.Levels)-1].Current
		scores := map[string]float64{}
		for _, reading := range tt.readings {
			slot.Quantity = schema.MustQuantity(reading + " A")
			for _, rule := range Rules() {
				rule.Find(r, func(c Case) bool {
					q := make([]schema.Quantity, len(c.Args))
					for i, a := range c.Args {
						q[i] = a.Value.Quantity
					}
					scores[reading] += rule.Judge(&c, q).LogRatio
					return true
				})
			}
		}
		for _, reading := range tt.readings {
			if reading != tt.right && scores[tt.right]-scores[reading] < math.Log(1000) {
				t.Errorf("%s: %s scores %.1f nats, %s scores %.1f: want the first 1000 times as likely", tt.id,
					tt.right, scores[tt.right], reading, scores[reading])
			}
		}
		t.Logf("%s: %v", tt.id, scores)
	}
}
