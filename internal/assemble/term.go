package assemble

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"saywatt/extract"
	"saywatt/schema"
)

// termGround is a row of terms.tsv: how a term stands that rests on the ground.
type termGround struct {
	status     schema.Status
	confidence float64
	others     float64
	why        []string // what stands between the names: each text but the first begins with one of them
}

// The names in a reason, and where they stand.
const (
	heardName = "{heard}"
	meantName = "{meant}"
)

// say is the reason with the words heard and the name meant.
func (g *termGround) say(heard, meant string) string {
	why := g.why[0]
	for _, part := range g.why[1:] {
		if rest, ok := strings.CutPrefix(part, heardName); ok {
			why += heard + rest
		} else {
			why += meant + strings.TrimPrefix(part, meantName)
		}
	}
	return why
}

// cutReason cuts a reason before each name in it.
func cutReason(why string) (parts []string) {
	from := 0
	for i := range why {
		if strings.HasPrefix(why[i:], heardName) || strings.HasPrefix(why[i:], meantName) {
			parts, from = append(parts, why[from:i]), i
		}
	}
	return append(parts, why[from:])
}

// termGrounds holds terms.tsv by ground.
var termGrounds = sync.OnceValue(func() map[string]termGround {
	all := map[string]termGround{}
	for _, r := range schema.MustReadTable(tables, "tables/terms.tsv").Rows {
		status, err := schema.ParseStatus(r.Get("status"))
		if err != nil {
			panic(fmt.Sprintf("terms.tsv:%d: %v", r.Line, err))
		}
		p, err := strconv.ParseFloat(r.Get("confidence"), 64)
		o, err2 := strconv.ParseFloat(r.Get("others"), 64)
		settled := status == schema.StatusSettled && p == 1 && o == 0
		if err != nil || err2 != nil || !(settled || p > 0 && o >= 0 && p+o < 1) {
			panic(fmt.Sprintf("terms.tsv:%d: confidence %q, others %q", r.Line, r.Get("confidence"), r.Get("others")))
		}
		all[r.Get("ground")] = termGround{status, p, o, cutReason(r.Get("why"))}
	}
	return all
})

// terms writes the names said into the record, in order.
func (f *filler) terms() {
	if len(f.doc.Terms) == 0 {
		return
	}
	grounds := termGrounds()
	f.rec.Terms = make([]schema.SaidTerm, 0, len(f.doc.Terms))
	for i := range f.doc.Terms {
		t := &f.doc.Terms[i]
		g := grounds[t.Ground.String()]
		s := schema.SaidTerm{Heard: f.doc.Words(t.First, t.Last), Meant: t.Meant, Kind: t.Kind, Status: g.status,
			Confidence: g.confidence,
			Place:      f.termPlace(t)}
		s.Readings = termReadings(t, &g)
		s.Why = []string{g.say(s.Heard, s.Meant)}
		s.Glossary = t.Ground == extract.GroundGlossary
		text := schema.Span{Start: int(f.doc.Tokens[t.First].Start), End: int(f.doc.Tokens[t.Last-1].End)}
		if spans := f.doc.Transcript.SourceSpans(text); len(spans) > 0 {
			s.Span = spans[0]
			if len(spans) > 1 {
				s.Spans = spans
			}
		}
		s.At = f.moment(t.First)
		f.rec.Terms = append(f.rec.Terms, s)
	}
	f.nameStatus()
}

// Kinds of name to check.
const (
	checkMaker   = "maker"
	checkProduct = "product"
)

// check lists the names that stand as heard and that captions may have
// misspelled, each once.
func (f *filler) check() {
	at := map[string]int{}
	note := func(kind, name, heard string, when *schema.Seconds) {
		i, ok := at[kind+" "+name]
		if !ok {
			i = len(f.rec.NamesToCheck)
			at[kind+" "+name] = i
			f.rec.NamesToCheck = append(f.rec.NamesToCheck, schema.NameToCheck{Name: name, Kind: kind, At: when})
		}
		n := &f.rec.NamesToCheck[i]
		if !slices.Contains(n.Heard, heard) && len(n.Heard) < int(loadBounds().termReadings) {
			n.Heard = append(n.Heard, heard)
		}
	}
	if d := f.doc; d.TitleCheck && d.Product.Name != "" {
		note(checkProduct, d.Product.Name, d.Words(d.Title[0], d.Title[1]), f.moment(d.Title[0]))
	}
	for i := range f.doc.Terms {
		if t := &f.doc.Terms[i]; t.Kind == schema.TermMaker && t.Ground.Check() {
			note(checkMaker, t.Meant, f.doc.Words(t.First, t.Last), f.moment(t.First))
		}
	}
}

// moment is when the cue of a token begins, nil where the text has no times.
func (f *filler) moment(token int32) *schema.Seconds {
	return f.doc.Transcript.Moment(int(f.doc.Tokens[token].Start))
}

// nameStatus makes every component no surer than its names: of each field the
// surest term that holds it counts.
func (f *filler) nameStatus() {
	surest := map[string]schema.Status{}
	for i := range f.rec.Terms {
		t := &f.rec.Terms[i]
		if n, _ := schema.ComponentField(t.Place); n >= 0 {
			if s, ok := surest[t.Place]; !ok || sureness(t.Status) > sureness(s) {
				surest[t.Place] = t.Status
			}
		}
	}
	for i := range f.rec.Components {
		c := &f.rec.Components[i]
		for _, field := range [...]string{"maker", "part", "package", "kind"} {
			if s, ok := surest[schema.ComponentPath(i, field)]; ok {
				c.Status = lessSure(c.Status, s)
			}
		}
	}
}

// termReadings gives the chosen reading its confidence and the others their
// share, each half as likely as the one before; what is left is for a name that
// is not among them. Best first; where two are alike the chosen one.
func termReadings(t *extract.Term, g *termGround) []schema.TermReading {
	all := []schema.TermReading{{Meant: t.Meant, Confidence: g.confidence}}
	rest := g.others
	for _, o := range t.Others {
		if len(all) >= int(loadBounds().termReadings) {
			break
		}
		if o == t.Meant {
			continue
		}
		rest /= 2
		all = append(all, schema.TermReading{Meant: o, Confidence: math.Round(rest*1e4) / 1e4})
	}
	slices.SortStableFunc(all, func(a, b schema.TermReading) int { return cmp.Compare(b.Confidence, a.Confidence) })
	return all
}

// termPlace is the path of the field that holds the name, "" where none does.
func (f *filler) termPlace(t *extract.Term) string {
	r := f.rec
	n := -1
	if t.Subject >= 0 {
		n = f.final[t.Subject]
	}
	at := func(field, held string) string {
		if n < 0 || held != t.Meant {
			return ""
		}
		return schema.ComponentPath(n, field)
	}
	var c schema.Component
	if n >= 0 {
		c = r.Components[n]
	}
	switch t.Kind {
	case schema.TermMaker:
		if n < 0 && r.Product.Maker == t.Meant {
			return "product.maker"
		}
		return at("maker", c.Maker)
	case schema.TermPart:
		return at("part", c.Part)
	case schema.TermPackage:
		return at("package", c.Package)
	case schema.TermComponent:
		return at("kind", c.Kind)
	case schema.TermPort:
		return r.PortPath(t.Meant)
	case schema.TermProtocol:
		return r.ProtocolPath(t.Meant)
	case schema.TermFeature:
		if i := slices.Index(r.Product.Marks, t.Meant); i >= 0 {
			return "product.marks[" + strconv.Itoa(i) + "]"
		}
		if r.Battery != nil && r.Battery.Cell.Chemistry == t.Meant {
			return "battery.cell.chemistry"
		}
		if i := slices.IndexFunc(r.Components, func(c schema.Component) bool { return c.Topology == t.Meant }); i >= 0 {
			return schema.ComponentPath(i, "topology")
		}
	}
	return ""
}
