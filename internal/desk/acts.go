package desk

import (
	"slices"
	"strconv"
)

// howRedo is how an act that was taken back is done again.
const howRedo how = "redo"

// history says which acts can be taken back and which can be done again, each
// with the newest last. The log does not say which act an undo took back: it is
// the newest that had its places. A new act leaves nothing to be done again.
func history(entries []entry) (done, undone []int) {
	places := map[int]map[spot]bool{}
	for from := 0; from < len(entries); {
		act, how := entries[from].Act, entries[from].How
		spots := map[spot]bool{}
		for ; from < len(entries) && entries[from].Act == act; from++ {
			spots[entries[from].spot()] = true
		}
		places[act] = spots
		has := func(a int) bool {
			for p := range spots {
				if !places[a][p] {
					return false
				}
			}
			return true
		}
		switch how {
		case howUndo:
			if i := lastFunc(done, has); i >= 0 {
				undone = append(undone, done[i])
				done = slices.Delete(done, i, i+1)
			}
		case howRedo:
			if i := lastFunc(undone, has); i >= 0 {
				undone = slices.Delete(undone, i, i+1)
			}
			done = append(done, act)
		default:
			done, undone = append(done, act), nil
		}
	}
	return done, undone
}

func lastFunc(all []int, is func(int) bool) int {
	for i := len(all) - 1; i >= 0; i-- {
		if is(all[i]) {
			return i
		}
	}
	return -1
}

// redo makes the entries that do an act again.
func redo(entries []entry, act int) []entry {
	var again []entry
	for i := range entries {
		if entries[i].Act == act {
			e := entries[i]
			e.How = howRedo
			again = append(again, e)
		}
	}
	return again
}

// lastOf is the newest of some acts, "" where there is none.
func lastOf(acts []int) string {
	if len(acts) == 0 {
		return ""
	}
	return strconv.Itoa(acts[len(acts)-1])
}
