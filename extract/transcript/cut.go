package transcript

// cutTimingNote says what was done about a file that ends so.
const cutTimingNote = "the file ends inside this line of times, left out"

// cutTiming reports whether the rest of a file, behind the empty line that ends
// a cue, is a line of times that was cut off: a clock with two digits for hours
// or minutes, its colon, and nothing but what such lines have. A file that ends
// with a line feed is whole.
func cutTiming(rest []byte) bool {
	clock := 0 // signs of "00:0", which "00:" shows
	for i, b := range rest {
		switch {
		case b >= '0' && b <= '9':
			if clock < 2 || clock == 3 {
				clock++
			}
		case b == ':':
			if i == 2 && clock == 2 {
				clock++
			}
		case b == '.', b == ',', b == ' ', b == '\t', b == '-', b == '>':
		default:
			return false
		}
	}
	return clock >= 3
}

// cutStamp reports whether the last line of a stamped file is a stamp that was
// cut off: it has nothing but what stamps have, and the bracket that they open
// with, or the comma between two times, or the colon of a clock.
func cutStamp(line []byte, open byte) bool {
	begun := false
	for _, b := range line {
		switch {
		case b >= '0' && b <= '9', b == '.', b == ' ', b == '\t', b == '-', b == '>':
		case b == ':', open != 0 && b == open:
			begun = true
		default:
			return false
		}
	}
	return begun
}
