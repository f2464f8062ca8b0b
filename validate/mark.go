package validate

import (
	"cmp"
	"slices"
	"strings"
	"sync"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// compulsoryMark is a row of compulsory_marks.tsv.
type compulsoryMark struct {
	mark     string
	products []string
	from     string // YYYY-MM-DD
	market   string
	standard.Ground
}

var compulsoryMarks = sync.OnceValue(func() []compulsoryMark {
	var rows []compulsoryMark
	for _, r := range schema.MustReadTable(tables, "tables/compulsory_marks.tsv").Rows {
		rows = append(rows, compulsoryMark{r.Get("mark"), r.List("product"), r.Get("from"), r.Get("market"),
			standard.GroundOf(r)})
	}
	return rows
})

// ruleMark expects the marks that the law of a market asks for.
var ruleMark = markRule("")

// Dated gives the rules for reviews of a day, YYYY-MM-DD: those that hang on it
// take it for records that do not say their own.
func Dated(rules []*Rule, day string) []*Rule {
	if day == "" {
		return rules
	}
	rules = slices.Clone(rules)
	for i, r := range rules {
		if r.Name == ruleMark.Name {
			rules[i] = markRule(day)
		}
	}
	return rules
}

// markRule is the rule on marks, for records of a day where they do not say their own.
func markRule(day string) *Rule {
	return &Rule{
		Name: "certification-mark",
		Doc:  "a product has the mark that was compulsory for its kind when it was reviewed",
		Detail: "Power banks sold in China bear the CCC mark since 2024-08-01. Only looked at where the date of " +
			"the review is given; captions do not say it. The product may be sold elsewhere, and the speaker may " +
			"not have named the mark, so this only notes.",
		Source:   "China Compulsory Certification of power banks (handbook 5.8, R35)",
		Standing: standard.Verified,
		Severity: schema.SeverityNote,
		Relates:  []string{"battery.pack.energy"},
		Find: func(r *schema.Record, yield func(Case) bool) {
			x := markCase{marks: r.Product.Marks, day: cmp.Or(r.Source.Date, day)}
			if x.day == "" {
				return
			}
			for i := range compulsoryMarks() {
				row := &compulsoryMarks()[i]
				if slices.ContainsFunc(row.products,
					func(p string) bool { return strings.HasPrefix(r.Product.Kind, p) }) &&
					!yield(Case{Label: r.Product.Kind, Extra: x.of(row),
						Args: []Arg{unsaid(place.Field("product.marks"))}}) {
					return
				}
			}
		},
		Test: func(c *Case, _ []schema.Quantity) Judgement {
			x := c.Extra.(markCase)
			switch {
			case x.day < x.row.from:
				return none
			case slices.Contains(x.marks, x.row.mark):
				return fits()
			}
			return odd(0, 0, 0).on(x.row.Source, x.row.Standing)
		},
		Explain: func(c *Case, _ []schema.Quantity, _ Judgement) string {
			row := c.Extra.(markCase).row
			return "the mark " + row.mark + ", compulsory in " + row.market + " since " + row.from + ", was not said"
		},
	}
}

// markCase is a mark, and what was said.
type markCase struct {
	row   *compulsoryMark
	marks []string
	day   string
}

func (x markCase) of(row *compulsoryMark) markCase {
	x.row = row
	return x
}
