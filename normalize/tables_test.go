package normalize

import (
	"strings"
	"testing"

	"saywatt/normalize/testdata/tabletest"
	"saywatt/schema"
)

// All weights are used (loadWeights refuses unknown and missing ones), those
// that are probabilities are between 0 and 1.
func TestWeightsTable(t *testing.T) {
	w := loadWeights()
	for _, r := range schema.MustReadTable(tables, "tables/weights.tsv").Rows {
		v := tabletest.Number(t, "weights.tsv", r, "value")
		meaning := r.Get("meaning")
		if len(meaning) < 10 {
			t.Errorf("weights.tsv:%d: %s means %q", r.Line, r.Get("name"), meaning)
		}
		if (strings.HasPrefix(meaning, "probability") || strings.HasPrefix(meaning, "share")) && !(v > 0 && v < 1) {
			t.Errorf("weights.tsv:%d: %s is a probability of %v", r.Line, r.Get("name"), v)
		}
		if v <= 0 {
			t.Errorf("weights.tsv:%d: %s is %v", r.Line, r.Get("name"), v)
		}
	}
	if DefaultThreshold() != w.Threshold || w.Threshold <= 0.5 {
		t.Errorf("threshold %v", w.Threshold)
	}
	if w.RoleProperty < w.RoleSubject || w.RoleSubject < w.RoleSection || w.RoleSection < w.RoleAny {
		t.Error("a nearer context must weigh more")
	}
	if w.DensityLow >= w.DensityHigh {
		t.Errorf("densities from %v to %v", w.DensityLow, w.DensityHigh)
	}
}
