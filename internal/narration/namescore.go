package narration

import "slices"

// NamesRead is what a reader made of the names of a narration.
type NamesRead struct {
	Title, Maker string
	Parts        []string // makers of parts
}

// Outcome counts how names were read.
type Outcome struct {
	Said  int // names said
	Right int // read as meant
	Heard int // read as the captions show them
	Other int // read as something else
	Extra int // read where none was said
}

// add adds counts.
func (o *Outcome) add(p Outcome) {
	o.Said, o.Right, o.Heard, o.Other, o.Extra = o.Said+p.Said, o.Right+p.Right, o.Heard+p.Heard, o.Other+p.Other,
		o.Extra+p.Extra
}

// NameTally counts the names of narrations.
type NameTally struct{ Title, Maker, Parts Outcome }

// Add adds counts.
func (t *NameTally) Add(o NameTally) {
	t.Title.add(o.Title)
	t.Maker.add(o.Maker)
	t.Parts.add(o.Parts)
}

// ScoreNames compares names read with those said: the product's name, whole or
// without its maker, its maker, and each maker of parts once. Makers of parts
// are those of the tables that the text names.
func (n *Narration) ScoreNames(read NamesRead) (NameTally, error) {
	var t NameTally
	names, err := n.Names()
	if err != nil {
		return t, err
	}
	titles, err := n.Titles()
	if err != nil {
		return t, err
	}
	shown := map[string][]string{} // by what is meant, of makers
	for _, s := range names {
		if s.Type == "maker" {
			key := plainName(s.Meant)
			shown[key] = append(shown[key], plainName(n.Text[s.Start:s.End]))
		}
	}
	if n.Head["name"] != "" && len(titles) > 0 {
		var heard []string
		for _, s := range titles {
			heard = append(heard, plainName(n.Text[s.Start:s.End]))
		}
		t.Title = outcome(read.Title, n.IsTitle(read.Title), heard)
	}
	if m := plainName(n.Head["maker"]); m != "" {
		t.Maker = outcome(read.Maker, plainName(read.Maker) == m, shown[m])
		// the words that open the name shown
		if t.Maker.Other > 0 && slices.ContainsFunc(titles, func(s NameSaid) bool {
			words := plainName(n.Text[s.Start:s.End])
			p := plainName(read.Maker)
			return len(p) > 2 && len(p) < len(words) && words[:len(p)] == p
		}) {
			t.Maker.Heard, t.Maker.Other = 1, 0
		}
	}
	said := map[string]bool{}
	var order []string
	for i := range n.Parts {
		if key := plainName(n.Parts[i].Maker); key != "" && !said[key] && shown[key] != nil {
			said[key] = true
			order = append(order, key)
		}
	}
	known := map[string]bool{plainName(n.Head["maker"]): true}
	for key, forms := range shown {
		known[key] = true
		for _, f := range forms {
			known[f] = true
		}
	}
	have := map[string]bool{}
	for _, p := range read.Parts {
		key := plainName(p)
		if key == "" || have[key] {
			continue
		}
		have[key] = true
		if !known[key] {
			t.Parts.Extra++
		}
	}
	for _, key := range order {
		t.Parts.Said++
		switch {
		case have[key]:
			t.Parts.Right++
		case slices.ContainsFunc(shown[key], func(f string) bool { return have[f] }):
			t.Parts.Heard++
		}
	}
	return t, nil
}

// outcome says how one name was read.
func outcome(read string, right bool, heard []string) Outcome {
	o := Outcome{Said: 1}
	switch {
	case right:
		o.Right = 1
	case plainName(read) == "":
	case slices.Contains(heard, plainName(read)):
		o.Heard = 1
	default:
		o.Other = 1
	}
	return o
}
