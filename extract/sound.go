package extract

import "strings"

// SoundKey is a rough phonetic key of a name: consonants by class, the first
// vowel, no blanks. Names that captions spell in different ways share it or
// nearly so. It is "" for a name without a letter of a to z that sounds.
func SoundKey(name string) string {
	var b []byte
	n := strings.ToLower(strings.ReplaceAll(strings.ReplaceAll(name, " kn", " n"), " ", "")) // the k of "knock" is silent
	for i := 0; i < len(n); i++ {
		c := n[i]
		next := byte(0)
		if i+1 < len(n) {
			next = n[i+1]
		}
		var out string
		switch c {
		case 'a', 'e', 'i', 'o', 'u':
			if len(b) == 0 {
				out = "A"
			}
		case 'y':
			if len(b) == 0 {
				out = "J"
			}
		case 'h':
			if len(b) == 0 && i == 0 {
				out = "H"
			}
		case 'b':
			out = "B"
		case 'p':
			if out = "P"; next == 'h' {
				out = "F"
				i++
			}
		case 'c':
			switch next {
			case 'e', 'i', 'y':
				out = "S"
			case 'h', 'k':
				out = "K"
				i++
			default:
				out = "K"
			}
		case 'g':
			if out = "K"; next == 'e' || next == 'i' {
				out = "J"
			}
		case 'k':
			if out = "K"; next == 'n' && i == 0 { // of "knot" too
				out = ""
			}
		case 'q':
			out = "K"
		case 'x':
			out = "KS"
		case 'd', 't':
			out = "T"
		case 'f', 'v':
			out = "F"
		case 'w':
			if next != 0 && strings.IndexByte("aeiouh", next) >= 0 {
				out = "F"
			}
		case 's', 'z':
			out = "S"
		case 'j':
			out = "J"
		case 'l':
			out = "L"
		case 'm':
			out = "M"
		case 'n':
			out = "N"
		case 'r':
			out = "R"
		}
		for k := 0; k < len(out); k++ {
			if len(b) == 0 || b[len(b)-1] != out[k] {
				b = append(b, out[k])
			}
		}
	}
	return string(b)
}

// soundsAlike compares two keys: equal, or one edit apart where they are long
// enough, two in very long ones. A swap of neighbours is one edit.
func soundsAlike(a, b string) bool {
	if a == b {
		return a != ""
	}
	limit := 0
	switch n := min(len(a), len(b)); {
	case n >= 8:
		limit = 2
	case n >= 5:
		limit = 1
	case n == 4 && a[len(a)-1] == b[len(b)-1]:
		limit = 1 // a letter more or two swapped, but not a longer name
	}
	return limit > 0 && EditDistance(a, b) <= limit
}

// EditDistance is the optimal string alignment distance of two short strings.
func EditDistance(a, b string) int {
	var rows [3][32]int
	if len(a) > 30 || len(b) > 30 {
		return max(len(a), len(b))
	}
	for j := 0; j <= len(b); j++ {
		rows[1][j] = j
	}
	for i := 1; i <= len(a); i++ {
		rows[2][0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			d := min(rows[1][j]+1, rows[2][j-1]+1, rows[1][j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, rows[0][j-2]+1)
			}
			rows[2][j] = d
		}
		rows[0], rows[1] = rows[1], rows[2]
	}
	return rows[1][len(b)]
}
