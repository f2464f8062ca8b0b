package alike

import (
	"testing"

	"pgregory.net/rapid"
)

func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b       string
		most, want int
	}{
		{"", "", 3, 0}, {"port", "port", 3, 0}, {"prot", "port", 3, 1}, {"port", "sport", 3, 1}, {"ports", "port", 3, 1}, {"part", "port", 3, 1},
		{"Ω", "µ", 3, 1}, {"abc", "xyz", 3, 3}, {"abcdef", "a", 3, 3}, {"ca", "abc", 9, 3}, // OSA, not the unrestricted distance
	} {
		if got := Distance(c.a, c.b, c.most); got != c.want {
			t.Errorf("%s, %s: %d, want %d", c.a, c.b, got, c.want)
		}
	}
}

// A bound and rows of our own change nothing: the whole table gives the same.
func TestDistanceIsThatOfTheWholeTable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringOfN(rapid.RuneFrom([]rune("abcµ")), 0, 40, -1)
		a, b := word.Draw(t, "a"), word.Draw(t, "b")
		most := rapid.IntRange(1, 50).Draw(t, "most")
		if got, want := Distance(a, b, most), min(whole([]rune(a), []rune(b)), most); got != want {
			t.Fatalf("%q, %q, at most %d: %d, want %d", a, b, most, got, want)
		}
	})
}

// whole is the distance by its definition.
func whole(a, b []rune) int {
	d := make([][]int, len(a)+1)
	for i := range d {
		d[i] = make([]int, len(b)+1)
		for j := range d[i] {
			switch {
			case i == 0 || j == 0:
				d[i][j] = i + j
				continue
			case a[i-1] == b[j-1]:
				d[i][j] = d[i-1][j-1]
			default:
				d[i][j] = min(d[i-1][j-1], d[i-1][j], d[i][j-1]) + 1
			}
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d[i][j] = min(d[i][j], d[i-2][j-2]+1)
			}
		}
	}
	return d[len(a)][len(b)]
}

func BenchmarkDistance(b *testing.B) {
	for b.Loop() {
		Distance("BKSLM", "BKSLN", 3)
	}
}
