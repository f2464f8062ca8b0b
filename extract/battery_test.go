package extract

import "testing"

// TestCellFormat: the format of the cells is known by its digits where cells are spoken
// of near, and the one that takes another back stands.
func TestCellFormat(t *testing.T) {
	for text, want := range map[string]string{
		"Inside are 4 cells of type 18650.":                    "18650",
		"Inside are 4 cells of type 18 650 sorry it is 21 700": "21700",
		"Inside are 4 cells of type 18650, no, 21700.":         "21700",
		"Inside are 4 cells, the 21700 ones.":                  "21700",
		"The box has 18650 screws.":                            "",
	} {
		d := find(t, text)
		got := ""
		for i := range d.Subjects {
			if d.Subjects[i].Kind == "cell" {
				got = d.Subjects[i].Package
			}
		}
		if got != want {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
}
