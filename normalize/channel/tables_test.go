package channel

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"saywatt/normalize/testdata/tabletest"
	"saywatt/schema"
)

// Tables that do not hold together are said once: every test would fail of them.
func TestMain(m *testing.M) {
	func() {
		defer func() {
			if fault := recover(); fault != nil {
				fmt.Fprintln(os.Stderr, "normalize/channel/tables:", fault)
				os.Exit(1)
			}
		}()
		loadWeights()
		Default()
	}()
	os.Exit(m.Run())
}

func TestDistortionsTable(t *testing.T) {
	c := Default()
	for i, r := range schema.MustReadTable(tables, "tables/distortions.tsv").Rows {
		tabletest.CheckSource(t, "distortions.tsv", r)
		if r.Get("name") != names[i] {
			t.Errorf("distortions.tsv:%d: %s, want %s", r.Line, r.Get("name"), names[i])
		}
		n, of := tabletest.Number(t, "distortions.tsv", r, "n"), tabletest.Number(t, "distortions.tsv", r, "of")
		if n < 1 || n > of {
			t.Errorf("distortions.tsv:%d: seen %v of %v times", r.Line, n, of)
		}
		if want := -math.Log((n + 0.5) / (of + 1)); math.Abs(float64(c.cost[i])-want) > 1e-6 {
			t.Errorf("distortions.tsv:%d: costs %v, want %v", r.Line, c.cost[i], want)
		}
		if Distortion(i) != Intact && c.cost[i] <= c.cost[Intact] {
			t.Errorf("distortions.tsv:%d: %s costs %v, less than hearing right (%v)", r.Line, r.Get("name"), c.cost[i],
				c.cost[Intact])
		}
		if c.words[i] == "" || c.words[i] != strings.TrimSpace(c.words[i]) {
			t.Errorf("distortions.tsv:%d: words %q", r.Line, c.words[i])
		}
	}
}

func TestUnitConfusionsTable(t *testing.T) {
	given := map[string]float64{}
	for _, r := range schema.MustReadTable(tables, "tables/unitconfusions.tsv").Rows {
		tabletest.CheckSource(t, "unitconfusions.tsv", r)
		heard := tabletest.Unit(t, "unitconfusions.tsv", r, "heard")
		meant := tabletest.Unit(t, "unitconfusions.tsv", r, "meant")
		if heard == meant {
			t.Errorf("unitconfusions.tsv:%d: %s for itself", r.Line, heard)
		}
		by, share := r.Get("distortion"), tabletest.Number(t, "unitconfusions.tsv", r, "share")
		if !(share > 0 && share <= 1) {
			t.Errorf("unitconfusions.tsv:%d: share %v", r.Line, share)
		}
		given[string(heard)+" "+by] += share
		h, m := heard.Kind(), meant.Kind()
		switch by {
		case "prefix_lost", "prefix_wrong", "letter_case":
			if h != m && !(h == schema.KindData && m == schema.KindDataRate) {
				t.Errorf("unitconfusions.tsv:%d: another prefix makes no %s of a %s", r.Line, m, h)
			}
		case "hour_lost":
			if !(h == schema.KindCurrent && m == schema.KindCharge || h == schema.KindPower && m == schema.KindEnergy) {
				t.Errorf("unitconfusions.tsv:%d: an hour makes no %s of a %s", r.Line, m, h)
			}
		case "unit_swapped":
			if h == m {
				t.Errorf("unitconfusions.tsv:%d: %s and %s are both of %s", r.Line, heard, meant, h)
			}
		default:
			t.Errorf("unitconfusions.tsv:%d: %s changes no clear unit", r.Line, by)
		}
	}
	for key, sum := range given {
		if sum > 1+1e-9 {
			t.Errorf("unitconfusions.tsv: the shares of %s add up to %v", key, sum)
		}
	}
}
