package sound

import "strings"

// Say appends the phones of a word to dst and returns it. An apostrophe and
// what is no letter of a to z are silent.
func (m *Model) Say(dst []Phone, word []byte) []Phone {
	var room [maxWord]byte
	w := fold(room[:0], word)
	if p, ok := m.said[string(w)]; ok {
		return append(dst, p...)
	}
	k := 0
	for _, c := range w {
		if c >= 'a' && c <= 'z' {
			w[k] = c
			k++
		}
	}
	w = w[:k]
	if p, ok := m.said[string(w)]; ok && k > 1 {
		return append(dst, p...)
	}
	for i := 0; i < len(w); {
		i, dst = m.sayAt(dst, w, i)
	}
	return dst
}

// sayAt appends what the letters at i stand for and returns where the next
// ones are. A sound doubled in writing is one.
func (m *Model) sayAt(dst []Phone, w []byte, i int) (int, []Phone) {
	for k := range m.rules[w[i]] {
		r := &m.rules[w[i]][k]
		if !strings.HasPrefix(string(w[i:]), r.letters) || !before(r.before, w[:i]) ||
			!behind(r.behind, w[i+len(r.letters):]) {
			continue
		}
		for _, p := range r.phones {
			if n := len(dst); n == 0 || dst[n-1] != p {
				dst = append(dst, p)
			}
		}
		return i + len(r.letters), dst
	}
	return i + 1, dst
}

// anything is the context that always fits.
const anything = "."

// behind reports whether the letters fit a context.
func behind(pattern string, w []byte) bool {
	if pattern == anything {
		return true
	}
	for k := range len(pattern) {
		if pattern[k] == '#' {
			return len(w) == k
		}
		if k >= len(w) || !fits(pattern[k], w[k]) {
			return false
		}
	}
	return true
}

// before reports whether the letters fit a context, which is read from its
// end.
func before(pattern string, w []byte) bool {
	if pattern == anything {
		return true
	}
	for k := range len(pattern) {
		c, at := pattern[len(pattern)-1-k], len(w)-1-k
		if c == '#' {
			return at < 0
		}
		if at < 0 || !fits(c, w[at]) {
			return false
		}
	}
	return true
}

// fits reports whether a letter is of the class V, C or F, or is the letter.
func fits(class, c byte) bool {
	switch class {
	case 'V':
		return vowelLetter(c)
	case 'C':
		return !vowelLetter(c)
	case 'F':
		return c == 'e' || c == 'i' || c == 'y'
	}
	return c == class
}

func vowelLetter(c byte) bool {
	switch c {
	case 'a', 'e', 'i', 'o', 'u', 'y':
		return true
	}
	return false
}
