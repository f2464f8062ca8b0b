package alike

import "strings"

// Key is a rough phonetic key of a name: consonants by class, the first
// vowel, no blanks. Names that captions spell in different ways share it or
// nearly so. It is "" for a name without a letter of a to z that sounds.
func Key(name string) string {
	var b []byte
	// the k of "knock" is silent
	n := strings.ToLower(strings.ReplaceAll(strings.ReplaceAll(name, " kn", " n"), " ", ""))
	for i := 0; i < len(n); {
		out, read := letterSound(n, i, len(b) == 0)
		for k := 0; k < len(out); k++ {
			if len(b) == 0 || b[len(b)-1] != out[k] {
				b = append(b, out[k])
			}
		}
		i += read
	}
	return string(b)
}

// letterClasses are the classes of the letters a to z that sound alike wherever
// they stand: a blank for those that letterSound looks at.
const letterClasses = " B T F   J LMN  KRST F   S"

// letterSound returns the classes of the sound at n[i], first where none came
// before, and how many letters it is written with.
func letterSound(n string, i int, first bool) (string, int) {
	next := byte(0)
	if i+1 < len(n) {
		next = n[i+1]
	}
	switch c := n[i]; c {
	case 'a', 'e', 'i', 'o', 'u':
		return onlyFirst("A", first), 1
	case 'y':
		return onlyFirst("J", first), 1
	case 'h':
		return onlyFirst("H", first && i == 0), 1
	case 'p':
		if next == 'h' {
			return "F", 2
		}
		return "P", 1
	case 'c':
		return soundOfC(next)
	case 'g':
		if next == 'e' || next == 'i' {
			return "J", 1
		}
		return "K", 1
	case 'k':
		return onlyFirst("K", next != 'n' || i > 0), 1 // "knot" has none
	case 'w':
		return onlyFirst("F", next != 0 && strings.IndexByte("aeiouh", next) >= 0), 1
	case 'x':
		return "KS", 1
	default:
		if c >= 'a' && c <= 'z' {
			return letterClasses[c-'a' : c-'a'+1], 1
		}
	}
	return "", 1
}

// onlyFirst is the class where it sounds, "" elsewhere.
func onlyFirst(class string, sounds bool) string {
	if sounds {
		return class
	}
	return ""
}

// soundOfC is letterSound of a c.
func soundOfC(next byte) (string, int) {
	switch next {
	case 'e', 'i', 'y':
		return "S", 1
	case 'h', 'k':
		return "K", 2
	}
	return "K", 1
}

// Sounds compares two keys: equal, or one edit apart where they are long
// enough, two in very long ones.
func Sounds(a, b string) bool {
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
	return limit > 0 && Distance(a, b, limit+1) <= limit
}
