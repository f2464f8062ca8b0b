package narration

import (
	"encoding/json"
	"slices"
	"strings"

	"saywatt/schema"
)

// goldQuantity is a quantity of a truth file (testdata/README.md).
type goldQuantity struct {
	At          *schema.Seconds `json:"at"`
	Heard       string          `json:"heard"`
	Span        [2]int          `json:"span"` // bytes of the caption file
	Value       json.Number     `json:"value,omitempty"`
	Low         json.Number     `json:"low,omitempty"`
	High        json.Number     `json:"high,omitempty"`
	Unit        string          `json:"unit"`
	Intact      bool            `json:"intact"`
	Garble      string          `json:"garble"`
	Recoverable string          `json:"recoverable"`
	Slot        string          `json:"slot"`
}

type goldLevel struct {
	Mode     string      `json:"mode"`
	Port     string      `json:"port"`
	Protocol string      `json:"protocol"`
	VLow     json.Number `json:"v_low"`
	VHigh    json.Number `json:"v_high"`
	A        json.Number `json:"a,omitempty"`
}

type goldPart struct {
	Board   string   `json:"board"`
	Kind    string   `json:"kind"`
	Count   *int     `json:"count"`
	Maker   string   `json:"maker"`
	Part    string   `json:"part"`
	Package string   `json:"package"`
	Ratings []string `json:"ratings"`
}

type goldTerm struct {
	Heard string `json:"heard"`
	Meant string `json:"meant"`
	Type  string `json:"type"`
}

// Gold returns the truth of the narration's captions in a form, as the scorer
// of caption files reads it, for a caption file of that name.
func (n *Narration) Gold(file, form string) ([]byte, error) {
	tr, at, err := n.transcript(file, form)
	if err != nil {
		return nil, err
	}
	g := struct {
		File        string         `json:"file"`
		Kind        string         `json:"kind"`
		Quantities  []goldQuantity `json:"quantities"`
		Nonquantity []string       `json:"nonquantities"`
		Levels      []goldLevel    `json:"levels"`
		Components  []goldPart     `json:"components"`
		Terms       []goldTerm     `json:"terms"`
	}{File: file, Kind: n.Head["product"]}
	for i := range n.Marks {
		m := &n.Marks[i]
		start, end := at.Span(m)
		shown := strings.Join(strings.Fields(n.Text[m.Start:m.End]), " ")
		switch m.Kind {
		case MarkName:
			if t := m.Slot; t != "product" && t != "model" {
				g.Terms = append(g.Terms, goldTerm{shown, m.Name, strings.Replace(t, "partno", "part", 1)})
			}
			continue
		case MarkNumber:
			g.Nonquantity = append(g.Nonquantity, shown)
			continue
		}
		q := goldQuantity{Heard: shown, Unit: string(m.Meant.Unit), Intact: m.Garble == "", Garble: m.Garble,
			Recoverable: "yes", Slot: m.Slot}
		if spans := tr.SourceSpans(schema.Span{Start: start, End: end}); len(spans) > 0 {
			q.Span = [2]int{spans[0].Start, spans[0].End}
		}
		q.At = tr.Moment(start)
		if m.Unclear {
			q.Recoverable = "no"
		}
		if q.Value = json.Number(m.Meant.Low.String()); m.Meant.Range {
			q.Value, q.Low, q.High = "", q.Value, json.Number(m.Meant.High.String())
		}
		g.Quantities = append(g.Quantities, q)
	}
	g.Levels, g.Components = n.goldLevels(), n.goldParts()
	return json.MarshalIndent(&g, "", " ")
}

// goldLevels lists the levels with the voltage and current said first for each.
func (n *Narration) goldLevels() []goldLevel {
	var out []goldLevel
	for i := range n.Levels {
		l := &n.Levels[i]
		g := goldLevel{Mode: l.Mode, Port: l.Port, Protocol: l.Protocol}
		if l.Mode == "input" && l.Protocol == "AC" {
			g.Port = "" // the mains has no port of the product
		}
		for k := range n.Marks {
			m := &n.Marks[k]
			if m.Kind != MarkQuantity || m.Table() != l.ID {
				continue
			}
			switch m.Meant.Unit.Kind() {
			case schema.KindVoltage:
				if g.VLow == "" {
					g.VLow, g.VHigh = json.Number(m.Meant.Low.String()), json.Number(m.Meant.High.String())
				}
			case schema.KindCurrent:
				if a, err := m.Meant.Unit.Convert(m.Meant.Low, "A"); g.A == "" && err == nil {
					g.A = json.Number(a.String())
				}
			}
		}
		if g.VLow == "" {
			continue
		}
		ports := []string{g.Port}
		if !strings.Contains(g.Mode, "shared") { // the same level at each of the ports
			ports = strings.Split(g.Port, "+")
		}
		for _, g.Port = range ports {
			out = append(out, g)
		}
	}
	return out
}

// goldParts lists the parts with the ratings that a component list has, as the
// shared captions' truth has them: no sizes, and not what several parts come to
// together. A cell has its values, which the marks give to the battery. What has
// nothing but sizes, a pad or a foil, is no component.
func (n *Narration) goldParts() []goldPart {
	var out []goldPart
	for i := range n.Parts {
		p := &n.Parts[i]
		g := goldPart{Board: p.Board, Kind: p.Kind, Maker: p.Maker, Part: p.Part, Package: p.Package,
			Ratings: []string{}}
		if p.Count > 0 {
			g.Count = &p.Count
		}
		ratings, sizes := n.ratingsOf(p)
		for _, m := range ratings {
			if !together(m, ratings, p.Count) {
				g.Ratings = append(g.Ratings, m.Meant.Low.String()+" "+string(m.Meant.Unit))
			}
		}
		if sizes && len(g.Ratings) == 0 && g.Part == "" && g.Package == "" {
			continue
		}
		out = append(out, g)
	}
	return out
}

// cellRatings are the slots of a cell that a component list has (class.go has
// them all).
var cellRatings = []string{"cell.capacity", "cell.voltage", "cell.energy", "cell.charge_limit", "cell.resistance"}

// ratingsOf lists the marks of a part's ratings, each value once; sizes reports
// whether its sizes were said as well.
func (n *Narration) ratingsOf(p *Part) (ratings []*Mark, sizes bool) {
	for k := range n.Marks {
		m := &n.Marks[k]
		if m.Kind != MarkQuantity || m.Meant.Range {
			continue
		}
		if m.Table() != p.ID && (p.Kind != "cell" || !slices.Contains(cellRatings, m.Slot)) {
			continue
		}
		if m.Meant.Unit.Kind() == schema.KindLength {
			sizes = true
			continue
		}
		if !slices.ContainsFunc(ratings,
			func(r *Mark) bool { return r.Meant.Unit == m.Meant.Unit && r.Meant.Low.Cmp(m.Meant.Low) == 0 }) {
			ratings = append(ratings, m)
		}
	}
	return ratings, sizes
}

// together reports whether the mark is what count parts of another rating come
// to: 81 µF of three with 27 µF.
func together(m *Mark, ratings []*Mark, count int) bool {
	if count < 2 {
		return false
	}
	for _, r := range ratings {
		if r.Meant.Unit == m.Meant.Unit && r != m &&
			r.Meant.Low.Mul(schema.NewDecimal(int64(count), 0)).Cmp(m.Meant.Low) == 0 {
			return true
		}
	}
	return false
}
