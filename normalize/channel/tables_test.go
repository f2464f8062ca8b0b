package channel

import (
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

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

func number(t *testing.T, table string, r schema.Row, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r.Get(column), 64)
	if err != nil {
		t.Errorf("%s:%d: %s: %v", table, r.Line, column, err)
	}
	return v
}

func checkSource(t *testing.T, table string, r schema.Row) {
	t.Helper()
	if s := strings.TrimSpace(r.Get("source")); s == "" || s == "-" {
		t.Errorf("%s:%d: no source", table, r.Line)
	}
}

func checkUnit(t *testing.T, table string, r schema.Row, column string) schema.Unit {
	t.Helper()
	u := schema.Unit(r.Get(column))
	if _, ok := u.Info(); !ok {
		t.Errorf("%s:%d: %q is no unit", table, r.Line, u)
	}
	return u
}

func TestDistortionsTable(t *testing.T) {
	c := Default()
	for i, r := range schema.MustReadTable(tables, "tables/distortions.tsv").Rows {
		checkSource(t, "distortions.tsv", r)
		if r.Get("name") != names[i] {
			t.Errorf("distortions.tsv:%d: %s, want %s", r.Line, r.Get("name"), names[i])
		}
		n, of := number(t, "distortions.tsv", r, "n"), number(t, "distortions.tsv", r, "of")
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
		checkSource(t, "unitconfusions.tsv", r)
		heard, meant := checkUnit(t, "unitconfusions.tsv", r, "heard"), checkUnit(t, "unitconfusions.tsv", r, "meant")
		if heard == meant {
			t.Errorf("unitconfusions.tsv:%d: %s for itself", r.Line, heard)
		}
		by, share := r.Get("distortion"), number(t, "unitconfusions.tsv", r, "share")
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
