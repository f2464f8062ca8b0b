package extract

import (
	"slices"
	"strings"

	"saywatt/schema"
)

// Naming is what a person said of a name: how it is written, or that nothing of the
// sort was named. It is of every place where the words were heard, or where the
// name was read from others; Span narrows it to one.
type Naming struct {
	Of    string      // what it names: one of schema.Nameables
	Heard string      // words heard, or the name as it stands without this; "" whatever it is
	Span  schema.Span // of the words in the source file; the zero Span is all of it
	Meant string      // "" none
}

// namings are all that a person said of names, in order: the last of two on one
// name stands.
type namings struct {
	all   []Naming
	used  []bool
	begun bool
	read  schema.Product // as it would be without them
}

func newNamings(all []Naming) *namings {
	if len(all) == 0 {
		return nil
	}
	return &namings{all: all, used: make([]bool, len(all))}
}

// Named reports whether the nth naming that the document was found with fits
// something that was heard.
func (d *Document) Named(n int) bool {
	return d.namings != nil && n < len(d.namings.used) && d.namings.used[n]
}

// PortNames lists the ports that records can have, each kind before its numbers.
func PortNames() []string {
	var all []string
	for _, p := range Words().cue.portNames {
		if numbers, ok := Words().cue.numbered[p]; ok {
			all = append(all, numbers[:]...)
		} else if p != "" {
			all = append(all, p)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// giveKind sets the kind of product that a person said.
func (d *Document) giveKind() {
	n := d.namings
	if n == nil {
		return
	}
	n.read.Kind = d.Product.Kind
	for i := range n.all {
		if n.all[i].Of == schema.NameOfKind {
			d.Product.Kind = n.all[i].Meant
		}
	}
}

// kind is where the kind of product is kept that is read: where a person said it,
// apart.
func (d *Document) kind() *string {
	if n := d.namings; n != nil && slices.ContainsFunc(n.all,
		func(n Naming) bool { return n.Of == schema.NameOfKind }) {
		return &n.read.Kind
	}
	return &d.Product.Kind
}

// namedAs is what a person said that tokens [i, end) name, which are read as meant;
// false where nobody did.
func (s *placer) namedAs(kind schema.TermKind, i, end int, meant string) (string, bool) {
	n := s.d.namings
	if n == nil {
		return "", false
	}
	last := -1
	for k := range n.all {
		if n.all[k].Of == kind.String() && s.d.fits(&n.all[k], int32(i), int32(end), meant) {
			n.used[k], last = true, k
		}
	}
	if last < 0 {
		return "", false
	}
	return n.all[last].Meant, true
}

// reread notes a term that a person put right over tokens [i, end).
func (s *placer) reread(kind schema.TermKind, i, end int, meant, read string) {
	s.said(kind, i, end, meant, GroundSettled)
	t := &s.d.Terms[len(s.d.Terms)-1]
	t.Read, t.Others = read, []string{read}
}

// Fits reports whether a naming of its kind is of words heard, which are read as read
// and stand at the spans of the source file.
func (n *Naming) Fits(heard, read string, spans ...schema.Span) bool {
	if n.Heard != "" && !SameName(heard, n.Heard) && !SameName(read, n.Heard) {
		return false
	}
	return n.Span == schema.Span{} || slices.ContainsFunc(spans, n.Span.Overlaps)
}

// Same reports whether two namings are of the same: of the product's one field, or
// of the same words at the same place.
func (n *Naming) Same(o *Naming) bool {
	if _, ofProduct := schema.ProductField(n.Of); ofProduct || n.Of != o.Of {
		return n.Of == o.Of
	}
	return n.Span == o.Span && SameName(n.Heard, o.Heard)
}

// fits reports whether a naming is of tokens [first, last), which are read as meant.
func (d *Document) fits(n *Naming, first, last int32, meant string) bool {
	return n.Fits(d.Words(first, last), meant, d.spansOf(first, last)...)
}

// spansOf are where tokens [first, last) stand in the source file.
func (d *Document) spansOf(first, last int32) []schema.Span {
	return d.Transcript.SourceSpans(schema.Span{Start: int(d.Tokens[first].Start), End: int(d.Tokens[last-1].End)})
}

// SameName reports whether two names are one but for case, blanks and the s of what
// is theirs.
func SameName(a, b string) bool { return FoldName(a) == FoldName(b) }

// FoldName is the form in which names are compared: in small letters, one blank between
// words, without the s of what is theirs.
func FoldName(name string) string {
	return strings.ToLower(strings.Join(strings.Fields(strings.TrimSuffix(name, "'s")), " "))
}

// SettleNames gives the names of the document what a person said of them. What is
// asked for by the name that a glossary gave it is found when this is called again,
// after that.
func (d *Document) SettleNames() {
	n := d.namings
	if n == nil {
		return
	}
	kind := n.read.Kind
	read := d.Product
	for _, s := range d.Product.Settled {
		switch s.Field {
		case "name":
			read.Name = n.read.Name
		case "maker":
			read.Maker = n.read.Maker
		case "model":
			read.Model = n.read.Model
		}
	}
	n.read = read
	n.read.Kind = kind
	again := n.begun
	n.begun = true
	for k := range n.all {
		if !again || !n.used[k] {
			d.settleName(k)
		}
	}
	d.nameOfMaker()
	d.Terms = slices.DeleteFunc(d.Terms, func(t Term) bool { return t.Meant == "" })
}

// settleName does what one naming says.
func (d *Document) settleName(k int) {
	n := d.namings
	what := &n.all[k]
	if field, ok := schema.ProductField(what.Of); ok {
		if n.used[k] = d.isCalled(field, what.Heard); n.used[k] {
			d.settleField(field, what.Meant)
			for i := range d.Terms {
				if field == "maker" && d.isOwn(&d.Terms[i]) {
					d.settleTerm(&d.Terms[i], what.Meant)
				}
			}
		}
		return
	}
	own := what.Of == schema.TermMaker.String() && what.Span == schema.Span{} && n.read.Maker != "" &&
		SameName(n.read.Maker, what.Heard)
	for i := range d.Terms {
		t := &d.Terms[i]
		if t.Kind.String() != what.Of || !d.fits(what, t.First, t.Last, t.asRead()) {
			continue
		}
		n.used[k] = true
		if t.Kind == schema.TermPort || t.Kind == schema.TermProtocol { // taken where it was read
			if t.Meant == what.Meant && t.Ground != GroundSettled {
				t.Ground, t.Read = GroundSettled, t.Meant
			}
			continue
		}
		own = own || d.isOwn(t)
		d.settleTerm(t, what.Meant)
	}
	if own {
		n.used[k] = true
		d.settleField("maker", what.Meant)
	}
}

// isOwn reports whether a term names the maker of the product.
func (d *Document) isOwn(t *Term) bool {
	return t.Kind == schema.TermMaker && t.Subject < 0 && d.namings.read.Maker != "" &&
		t.asRead() == d.namings.read.Maker
}

// isCalled reports whether a field of the product was heard so, or is read so.
func (d *Document) isCalled(field, heard string) bool {
	read := &d.namings.read
	if heard == "" || SameName(read.Field(field), heard) {
		return true
	}
	switch field {
	case "name":
		return d.Title[1] > d.Title[0] && SameName(d.Words(d.Title[0], d.Title[1]), heard)
	case "maker":
		return slices.ContainsFunc(d.Terms,
			func(t Term) bool { return d.isOwn(&t) && SameName(d.Words(t.First, t.Last), heard) })
	}
	return false
}

// settleField gives the product a name.
func (d *Document) settleField(field, meant string) {
	s := schema.SettledName{Field: field, Heard: d.namings.read.Field(field), Meant: meant}
	var at [2]int32
	switch field {
	case "name":
		at, d.TitleCheck = d.Title, false
	case "maker":
		if i := slices.IndexFunc(d.Terms, func(t Term) bool { return d.isOwn(&t) }); i >= 0 {
			at = [2]int32{d.Terms[i].First, d.Terms[i].Last}
		}
	}
	if at[1] > at[0] {
		if spans := d.spansOf(at[0], at[1]); len(spans) > 0 {
			s.Span = &spans[0]
		}
		s.At = d.Transcript.Moment(int(d.Tokens[at[0]].Start))
	}
	d.Product.Settle(s)
}

// nameOfMaker begins the product's name with its maker as a person wrote that,
// where it began with it as it was read and nobody said more of it.
func (d *Document) nameOfMaker() {
	maker := d.Product.SettledOf("maker")
	if maker == nil || maker.Heard == "" || maker.Meant == "" || slices.ContainsFunc(d.namings.all,
		func(n Naming) bool { return n.Of == schema.NameOfProduct }) {
		return
	}
	if rest, ok := strings.CutPrefix(d.namings.read.Name, maker.Heard); ok && (rest == "" || rest[0] == ' ') &&
		maker.Heard != maker.Meant {
		check := d.TitleCheck
		d.settleField("name", maker.Meant+rest)
		d.TitleCheck = check && rest != ""
	}
}

// settleTerm gives a term, and the part that it is of, the name that a person said.
func (d *Document) settleTerm(t *Term, meant string) {
	if t.Ground != GroundSettled {
		t.Read = t.Meant
		t.Others = slices.DeleteFunc(slices.Clone(t.Others), func(o string) bool { return o == t.Meant })
		t.Others = append([]string{t.Meant}, t.Others...)
	}
	if t.Subject >= 0 {
		s := &d.Subjects[t.Subject]
		held := s.named(t.Kind)
		if *held == t.Meant || *held == "" && t.Ground == GroundSettled {
			*held, s.Renamed, s.Doubtful = meant, false, false
			s.Settled[t.Kind] = true
		}
	}
	t.Meant, t.Ground = meant, GroundSettled
}

// asRead is the name without what a person said of it.
func (t *Term) asRead() string {
	if t.Ground == GroundSettled {
		return t.Read
	}
	return t.Meant
}

// named is where a part keeps its name of a kind: its maker, part number or package.
func (s *Subject) named(kind schema.TermKind) *string {
	switch kind {
	case schema.TermMaker:
		return &s.Maker
	case schema.TermPart:
		return &s.Part
	}
	return &s.Package
}
