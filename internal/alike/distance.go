package alike

// short is up to how many letters Distance needs no memory but its own.
const short = 32

// Distance is how many letters must be put in, left out, changed or swapped
// with their neighbour to make b of a (optimal string alignment), or most
// where it is not less. It takes time in the length of a by most.
func Distance(a, b string, most int) int {
	var letters [2][short]rune
	s, t := runes(letters[0][:0], a), runes(letters[1][:0], b)
	if len(s)-len(t) >= most || len(t)-len(s) >= most {
		return max(most, 0)
	}
	var room [3][short + 1]int
	rows := [3][]int{room[0][:], room[1][:], room[2][:]}
	if len(t) > short {
		all := make([]int, 3*(len(t)+1))
		for i := range rows {
			rows[i] = all[i*(len(t)+1) : (i+1)*(len(t)+1)]
		}
	}
	before, row, next := rows[0], rows[1], rows[2]
	for j := range min(len(t), most) + 1 {
		row[j] = j
	}
	for i := 1; i <= len(s); i++ {
		// A cell further than most from the diagonal is no less than most.
		first, last := max(1, i-most), min(len(t), i+most)
		next[first-1] = most
		if first == 1 {
			next[0] = i
		}
		for j := first; j <= last; j++ {
			d := row[j-1]
			if s[i-1] != t[j-1] {
				d++
			}
			d = min(d, next[j-1]+1)
			if j < i+most { // else above it is outside
				d = min(d, row[j]+1)
			}
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				d = min(d, before[j-2]+1)
			}
			next[j] = d
		}
		before, row, next = row, next, before
	}
	return min(row[len(t)], most)
}

// runes adds the letters of a name to a list.
func runes(list []rune, name string) []rune {
	for _, r := range name {
		list = append(list, r)
	}
	return list
}
