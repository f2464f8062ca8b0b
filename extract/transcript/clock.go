package transcript

import "time"

// maxHours keeps times inside a time.Duration with room to add.
const maxHours = 1_000_000

// strictClock reads a WebVTT timestamp (W3C WebVTT, "collect a WebVTT
// timestamp") at the start of s and returns its length.
func strictClock(s []byte) (d time.Duration, n int, ok bool) {
	first, n := digits(s)
	if n == 0 {
		return 0, 0, false
	}
	hours := n != 2 || first > 59
	second, n, ok := pair(s, n)
	if !ok {
		return 0, 0, false
	}
	var h, m, sec int
	if hours || n < len(s) && s[n] == ':' {
		third, k, ok := pair(s, n)
		if !ok {
			return 0, 0, false
		}
		h, m, sec, n = first, second, third, k
	} else {
		m, sec = first, second
	}
	if n >= len(s) || s[n] != '.' {
		return 0, 0, false
	}
	milli, k := digits(s[n+1:])
	if k != 3 || m > 59 || sec > 59 || h > maxHours {
		return 0, 0, false
	}
	return time.Duration(h)*time.Hour + time.Duration(m)*time.Minute + time.Duration(sec)*time.Second +
		time.Duration(milli)*time.Millisecond, n + 1 + k, true
}

// pair reads ":dd" at s[n:].
func pair(s []byte, n int) (v, end int, ok bool) {
	if n >= len(s) || s[n] != ':' {
		return 0, 0, false
	}
	v, k := digits(s[n+1:])
	return v, n + 1 + k, k == 2
}

// looseClock reads a clock time as people and tools write it: two or three
// groups, any number of digits in each, a dot or comma (or, after three
// groups, a third colon) before the fraction, which may be missing.
func looseClock(s []byte) (d time.Duration, n int, ok bool) {
	var groups [4]int
	count := 0
	for count < 4 {
		v, k := digits(s[n:])
		if k == 0 {
			break
		}
		if count == 3 { // h:mm:ss:mmm
			groups[3] = 1
			d = fraction(s[n : n+k])
			n += k
			count++
			break
		}
		groups[count] = v
		count++
		n += k
		if n >= len(s) || s[n] != ':' || n+1 >= len(s) || !isDigit(s[n+1]) {
			break
		}
		n++
	}
	if count < 2 {
		return 0, 0, false
	}
	if count < 4 && n+1 < len(s) && (s[n] == '.' || s[n] == ',') && isDigit(s[n+1]) {
		_, k := digits(s[n+1:])
		d = fraction(s[n+1 : n+1+k])
		n += 1 + k
	}
	h, m, sec := groups[0], groups[1], groups[2]
	if count == 2 {
		h, m, sec = 0, groups[0], groups[1]
	}
	if h > maxHours || m > 60*maxHours || sec > 3600*maxHours {
		return 0, 0, false
	}
	return d + time.Duration(h)*time.Hour + time.Duration(m)*time.Minute + time.Duration(sec)*time.Second, n, true
}

// fraction reads decimal digits after the point as a part of a second.
func fraction(s []byte) time.Duration {
	d, unit := time.Duration(0), time.Second/10
	for _, c := range s {
		d += time.Duration(c-'0') * unit
		if unit /= 10; unit == 0 {
			break
		}
	}
	return d
}

// digits reads decimal digits at the start of s; a value too large to matter
// is held at a bound, so it cannot overflow.
func digits(s []byte) (v, n int) {
	for n < len(s) && isDigit(s[n]) {
		if v < 1<<40 {
			v = v*10 + int(s[n]-'0')
		}
		n++
	}
	return v, n
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

func isBlank(c byte) bool { return c == ' ' || c == '\t' || c == '\f' }

func skipBlank(s []byte, n int) int {
	for n < len(s) && isBlank(s[n]) {
		n++
	}
	return n
}

// A timing is what a cue's "start --> end" line says.
type timing struct {
	start, end time.Duration
	strict     bool // as the WebVTT standard writes it
	startRead  bool
	endRead    bool
}

// readTiming reads "start --> end settings"; the line must hold "-->".
func readTiming(line []byte) (tm timing) {
	n := skipBlank(line, 0)
	var k int
	var ok bool
	tm.strict = true
	if tm.start, k, ok = strictClock(line[n:]); !ok || !arrowAt(line, n+k) {
		tm.strict = false
		if tm.start, k, ok = looseClock(line[n:]); !ok || !arrowAt(line, n+k) {
			return timing{}
		}
	}
	tm.startRead = true
	n = skipBlank(line, skipBlank(line, n+k)+len("-->"))
	if tm.end, _, ok = strictClock(line[n:]); !ok {
		tm.strict = false
		if tm.end, _, ok = looseClock(line[n:]); !ok {
			tm.end = tm.start
			return tm
		}
	}
	tm.endRead = true
	return tm
}

func arrowAt(line []byte, n int) bool {
	n = skipBlank(line, n)
	return n+3 <= len(line) && line[n] == '-' && line[n+1] == '-' && line[n+2] == '>'
}
