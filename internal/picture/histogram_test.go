package picture

import (
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// A remark has a line of its own below everything else, inside the picture.
func TestHistogramRemark(t *testing.T) {
	h := Histogram{Title: "output power", Unit: "W", Median: 30,
		Bins: []Bin{{Low: 10, High: 20, N: 2}, {Low: 20, High: 50, N: 3}}}
	plain, remarked := svgOf(t, &h), ""
	h.Remark = "5 of 29 may belong elsewhere"
	remarked = svgOf(t, &h)
	if strings.Contains(plain, `height="424"`) || !strings.Contains(remarked, `viewBox="0 0 720 424"`) {
		t.Error("the remark does not make the picture higher by its line")
	}
	lowest, at := 0.0, 0.0
	texts := regexp.MustCompile(`<text x="[^"]*" y="([^"]*)"[^>]*>([^<]*)<`)
	for _, m := range texts.FindAllStringSubmatch(remarked, -1) {
		y, err := strconv.ParseFloat(m[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		if m[2] == h.Remark {
			at = y
		} else {
			lowest = max(lowest, y)
		}
	}
	if at < lowest+13 || at > 424 {
		t.Errorf("the remark is at %g, the lowest other text at %g", at, lowest)
	}
}

func svgOf(t *testing.T, h *Histogram) string {
	t.Helper()
	var b strings.Builder
	if err := h.WriteSVG(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// Numbers beside an axis have four digits and no needless exponent.
func TestFewDigits(t *testing.T) {
	for x, want := range map[float64]string{0: "0", 0.007: "0.007", 27: "27", 39.55: "39.55", 10000: "10000",
		123456: "123500", -3.14159: "-3.142", 2.5e9: "2.5e+09", 1e-9: "1e-09"} {
		if got := FewDigits(x); got != want {
			t.Errorf("%g: %s, want %s", x, got, want)
		}
	}
}
