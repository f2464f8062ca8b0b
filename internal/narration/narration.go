// Package narration reads marked narrations: captions as shown, with every
// quantity and name marked by what was said and where it belongs. They are the
// truth that the program learns from and is measured against. From one marked
// source come the captions in any form ([Narration.Captions]), the truth file
// that scorers read ([Narration.Gold]), and the slot of each quantity
// ([Narration.Marks]).
//
// A [Maker] makes any number of others from them by seed: whole paragraphs of
// like products together, other names and values that agree as those did, and
// garbles at counted rates. [Narration.Mark] writes a narration in the form.
//
// # The form
//
// A file has three parts divided by lines that hold only "---". The head has
// lines "key: value" (title, product, name, maker, form, manner). Where names are
// not marked in the text, "heard: shown|meant|type; …" lists those of makers and
// products by the words that the captions show. The text has paragraphs divided
// by blank lines, with marks:
//
//	{shown|meant|slot}         a quantity: the caption's words, the quantity said, where it belongs
//	{shown|meant|slot|garble}  the same where the captions garbled it; "?" before the garble where nobody could tell
//	{shown|-|reason}           a number that is no quantity
//	<shown|meant|type>         a name: maker, product, model, port, protocol, partno, package
//
// Units that have braces are written with parentheses: 500 (cycle).
//
// The tables have a line for each level and part that a slot names:
//
//	L1 mode=input port=AC protocol=AC
//	P1 board=main kind="fuse" count=1 maker=Ivarro part= package=
package narration

import (
	"fmt"
	"hash/fnv"
	"strconv"
	"strings"

	"saywatt/schema"
)

// Narration is one marked narration.
type Narration struct {
	Name    string            // of the file, without its ending
	Head    map[string]string // title, product, name, maker, form, manner, …
	Text    string            // the words as shown, paragraphs divided by blank lines
	Marks   []Mark            // in the order of the text
	Levels  []Level           // in the order of the tables
	Parts   []Part
	levelAt map[string]int
	partAt  map[string]int
}

// ByEar reports whether the words shown are those of a speech recogniser that heard a
// synthetic voice: what stands outside of the marks was not all said.
func (n *Narration) ByEar() bool { return n.Head["speaker"] == "synthetic voice" }

// Group is the group of so many that the narration is of, where each is read by a
// program that was fitted without its group. Captions of one script are of one group.
func (n *Narration) Group(of int) int {
	script := n.Name
	for _, end := range captionsOf {
		script = strings.TrimSuffix(script, end)
	}
	h := fnv.New32a()
	h.Write([]byte(script))
	return int(h.Sum32() % uint32(of))
}

// captionsOf are the ends of the names of captions that a recogniser made of a script
// read aloud, beside those of the script's own name.
var captionsOf = [...]string{"-spoken", "-digits", "-hard"} // in the order they are taken off

// MarkKind is what a mark stands for.
type MarkKind uint8

// The kinds of mark.
const (
	MarkQuantity MarkKind = iota
	MarkNumber            // a number that is no quantity
	MarkName
)

// Mark is one marked stretch of the text.
type Mark struct {
	Kind       MarkKind
	Start, End int // bytes of Text
	Meant      schema.Quantity
	Name       string // what a name means
	Slot       string // of a quantity; the type of a name; the reason of a number
	Garble     string // what the captions did, "" nothing
	Unclear    bool   // nobody could tell what was said
}

// Level is an operating level of the tables.
type Level struct {
	ID, Mode, Port, Protocol string
}

// Part is a part of the tables.
type Part struct {
	ID, Board, Kind, Maker, Part, Package string
	Count                                 int
}

// Level returns the level that the slot names, nil for none.
func (n *Narration) Level(slot string) *Level {
	if i, ok := n.levelAt[slot]; ok {
		return &n.Levels[i]
	}
	return nil
}

// PartOf returns the part that the slot names, nil for none.
func (n *Narration) PartOf(slot string) *Part {
	if i, ok := n.partAt[slot]; ok {
		return &n.Parts[i]
	}
	return nil
}

// Parse reads a marked narration. Errors name the line.
func Parse(name string, source string) (*Narration, error) {
	n := &Narration{Name: name, Head: map[string]string{}, levelAt: map[string]int{}, partAt: map[string]int{}}
	section, text, line := 0, strings.Builder{}, 0
	for raw := range strings.Lines(source) {
		line++
		l := strings.TrimRight(raw, "\r\n")
		if strings.TrimSpace(l) == "---" {
			section++
			continue
		}
		var err error
		switch section {
		case 0:
			if k, v, ok := strings.Cut(l, ":"); ok {
				n.Head[strings.TrimSpace(k)] = strings.TrimSpace(v)
			}
		case 1:
			err = n.paragraph(&text, l)
		case 2:
			err = n.table(l)
		}
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, line, err)
		}
	}
	n.Text = text.String()
	for i := range n.Marks {
		m := &n.Marks[i]
		if m.Kind != MarkQuantity || m.Slot == "" || m.Slot[0] != 'L' && m.Slot[0] != 'P' {
			continue
		}
		if id := m.Table(); n.Level(id) == nil && n.PartOf(id) == nil {
			return nil, fmt.Errorf("%s: slot %s is not in the tables", name, id)
		}
	}
	return n, nil
}

// Table returns the name of the row that the slot of a level or part names.
func (m *Mark) Table() string {
	end := 1
	for end < len(m.Slot) && m.Slot[end] >= '0' && m.Slot[end] <= '9' {
		end++
	}
	return m.Slot[:end]
}

// paragraph reads a line of the text.
func (n *Narration) paragraph(text *strings.Builder, l string) error {
	for {
		i := strings.IndexAny(l, "{<")
		if i < 0 {
			break
		}
		text.WriteString(l[:i])
		j := closing(l[i:])
		if j < 0 {
			return fmt.Errorf("mark without an end: %q", l[i:])
		}
		m, shown, err := mark(l[i], strings.Split(l[i+1:i+j], "|"))
		if err != nil {
			return err
		}
		m.Start = text.Len()
		text.WriteString(shown)
		m.End = text.Len()
		n.Marks = append(n.Marks, m)
		l = l[i+j+1:]
	}
	text.WriteString(l)
	text.WriteByte('\n')
	return nil
}

// closing returns where the mark that opens s ends, -1 where it does not. Units
// such as {cycle} have braces of their own.
func closing(s string) int {
	if s[0] == '<' {
		return strings.IndexByte(s, '>')
	}
	depth := 0
	for i := range len(s) {
		switch s[i] {
		case '{':
			depth++
		case '}':
			if depth--; depth == 0 {
				return i
			}
		}
	}
	return -1
}

// Units with braces, and how a mark writes them.
var (
	inBraces = strings.NewReplacer("(", "{", ")", "}")
	inMarks  = strings.NewReplacer("{", "(", "}", ")")
)

func mark(open byte, f []string) (m Mark, shown string, err error) {
	switch {
	case open == '<' && len(f) == 3:
		return Mark{Kind: MarkName, Name: f[1], Slot: f[2]}, f[0], nil
	case open == '{' && len(f) >= 3 && f[1] == "-":
		return Mark{Kind: MarkNumber, Slot: f[2]}, f[0], nil
	case open == '{' && (len(f) == 3 || len(f) == 4):
		m = Mark{Kind: MarkQuantity, Slot: f[2]}
		if m.Meant, err = schema.ParseQuantity(inBraces.Replace(f[1])); err != nil {
			return m, "", fmt.Errorf("%q: %w", f[1], err)
		}
		if len(f) == 4 {
			m.Garble, m.Unclear = strings.CutPrefix(f[3], "?")
		}
		return m, f[0], nil
	}
	return m, "", fmt.Errorf("mark of %d fields: %q", len(f), strings.Join(f, "|"))
}

// table reads a line of the tables.
func (n *Narration) table(l string) error {
	l, _, _ = strings.Cut(l, "#")
	id, rest, ok := strings.Cut(strings.TrimSpace(l), " ")
	if id == "" {
		return nil
	}
	if !ok || id[0] != 'L' && id[0] != 'P' {
		return fmt.Errorf("no row of a level or part: %q", l)
	}
	v := map[string]string{}
	for rest = strings.TrimSpace(rest); rest != ""; rest = strings.TrimSpace(rest) {
		key, after, ok := strings.Cut(rest, "=")
		if !ok {
			return fmt.Errorf("no key=value: %q", rest)
		}
		if strings.HasPrefix(after, `"`) {
			v[key], rest, _ = strings.Cut(after[1:], `"`)
			continue
		}
		v[key], rest, _ = strings.Cut(after, " ")
	}
	if id[0] == 'L' {
		n.levelAt[id] = len(n.Levels)
		n.Levels = append(n.Levels, Level{ID: id, Mode: v["mode"], Port: v["port"], Protocol: v["protocol"]})
		return nil
	}
	count, _ := strconv.Atoi(v["count"])
	n.partAt[id] = len(n.Parts)
	n.Parts = append(n.Parts, Part{ID: id, Board: v["board"], Kind: v["kind"], Count: count, Maker: v["maker"],
		Part: v["part"], Package: v["package"]})
	return nil
}
