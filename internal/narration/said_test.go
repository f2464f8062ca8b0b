package narration

import "testing"

// TestSaid: garbles are undone in the manner of the narration, names are spelt
// out, and every mark covers its words.
func TestSaid(t *testing.T) {
	n, err := Parse("x", `form: vtt
---
The <or win|Orwin|maker> gives {20 volts|20 V|L1} at {325 amps|3.25 A|L1|point_lost}, {65 lots|65 W|L1|unit_misheard} {two|-|count} times, and {5 amps|5 A|L2}. {65 watts|65 W|power}
---
L1 mode=output port=USB-C1 protocol=PD
L2 mode=output port=USB-C1 protocol=PD
`)
	if err != nil {
		t.Fatal(err)
	}
	s := n.Said()
	const want = "The Orwin gives 20 volts at 3.25 amps, 65 watts two times, and 5 amps. 65 watts"
	if s.Text != want && s.Text != want+"\n" {
		t.Errorf("%q", s.Text)
	}
	for i, w := range []string{"Orwin", "20 volts", "3.25 amps", "65 watts", "two", "5 amps", "65 watts"} {
		m := s.Marks[i]
		if got := s.Text[m.Start:m.End]; got != w || m.Garble != "" {
			t.Errorf("mark %d is %q (%s), want %q", i, got, m.Garble, w)
		}
	}
	if n.Marks[2].Garble == "" {
		t.Error("the narration itself changed")
	}
}

// TestGroup: what a recogniser wrote of a script is of the script's group.
func TestGroup(t *testing.T) {
	seen := map[int]bool{}
	for _, name := range []string{"alder-10", "birch-20", "cedar-30", "dogwood-40", "elm-50", "fir-60"} {
		group := (&Narration{Name: name}).Group(4)
		for _, end := range []string{"-spoken", "-digits", "-hard", "-hard-digits"} {
			if g := (&Narration{Name: name + end}).Group(4); g != group {
				t.Errorf("%s: groups %d and %d", name+end, group, g)
			}
		}
		seen[group] = true
	}
	if len(seen) < 2 {
		t.Errorf("all of one group: %v", seen)
	}
}
