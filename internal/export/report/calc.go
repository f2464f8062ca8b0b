package report

// Answers of desk calculators, as text for people or as JSON: an array with
// one object per answer, of the members calculator, label (absent without a
// record), inputs and results (each with name, and quantity as in records or
// text; an input that a person has yet to confirm with open: true), formula, source, standing,
// assumptions and cautions. Quantities in JSON are exact, to 34 significant digits where there is
// no finite form; text shows six digits, and times in hours and minutes, with "≈" where that leaves
// something out.

import (
	"bufio"
	"io"
	"strconv"
	"strings"

	"saywatt/internal/export/line"
	"saywatt/internal/export/plainjson"
	"saywatt/internal/export/word"
	"saywatt/schema"
	"saywatt/validate/calc"
)

// answerJSON is the published form of a calc.Answer.
type answerJSON struct {
	Calculator  string       `json:"calculator"`
	Label       string       `json:"label,omitempty"`
	Inputs      []inputJSON  `json:"inputs"`
	Results     []resultJSON `json:"results"`
	Formula     string       `json:"formula"`
	Source      string       `json:"source"`
	Standing    string       `json:"standing"`
	Assumptions []string     `json:"assumptions"`
	Cautions    []string     `json:"cautions"`
}

type inputJSON struct {
	Name     string           `json:"name"`
	Quantity *schema.Quantity `json:"quantity,omitempty"`
	Text     string           `json:"text,omitempty"`
	From     string           `json:"from"`
	Open     bool             `json:"open,omitempty"` // a person has yet to confirm it
}

type resultJSON struct {
	Name     string           `json:"name"`
	Doc      string           `json:"doc"`
	Quantity *schema.Quantity `json:"quantity,omitempty"`
	Text     string           `json:"text,omitempty"`
}

// WriteAnswersJSON writes answers as one indented JSON array.
func WriteAnswersJSON(w io.Writer, answers []*calc.Answer) error {
	out := make([]answerJSON, 0, len(answers))
	for _, a := range answers {
		c := a.Calculator
		j := answerJSON{Calculator: c.Name, Label: a.Label, Formula: c.Formula, Source: schema.PlainSource(c.Source),
			Standing: c.Standing.String(), Assumptions: plainly(c.Assumptions), Cautions: a.Cautions,
			Inputs: []inputJSON{}, Results: []resultJSON{}}
		for _, g := range a.Given {
			j.Inputs = append(j.Inputs, inputJSON{g.Input, exactly(&g.Quantity), g.Text, g.From, g.Open})
		}
		for _, r := range a.Results {
			j.Results = append(j.Results, resultJSON{r.Name, r.Doc, exactly(&r.Quantity), r.Text})
		}
		out = append(out, j)
	}
	return plainjson.Write(w, out)
}

func exactly(q *schema.Quantity) *schema.Quantity {
	if q.IsZero() {
		return nil
	}
	return q
}

// WriteAnswers writes answers for people. What goes with the calculator
// (formula, source, assumptions, cautions) follows once, after its answers.
func (s Text) WriteAnswers(w io.Writer, answers []*calc.Answer) error {
	b := bufio.NewWriter(w)
	l := s.lines(b)
	for i, a := range answers {
		if i > 0 {
			l.Line("")
		}
		what := ": " + a.Calculator.Doc
		if a.Label != "" {
			what = ", " + a.Label
		}
		l.Flow("", 0, []line.Run{line.Title(a.Calculator.Name), line.Plain(what)})
		var rows [][2]string
		for _, g := range a.Given {
			value := g.Text
			if g.Text == "" {
				value = word.Quantity(&g.Quantity)
			}
			rows = append(rows, [2]string{"  " + word.Words(g.Input), value + origin(&g)})
		}
		for _, r := range a.Results {
			value := r.Text
			if !r.Quantity.IsZero() {
				value = computed(r.Quantity)
				if r.Text != "" {
					value += "; " + r.Text
				}
			}
			rows = append(rows, [2]string{"= " + word.Words(r.Name), value})
		}
		l.Rows(rows)
		if i+1 == len(answers) || answers[i+1].Calculator != a.Calculator {
			l.Line("")
			ground(l, a.Calculator, a.Cautions)
		}
	}
	return l.Finish(b)
}

// ground writes what a calculator rests on, and the cautions.
func ground(l *line.Writer, c *calc.Calculator, cautions []string) {
	rows := [][2]string{{"formula", c.Formula}, {"source", word.Source(c.Source, c.Standing.String())}}
	for _, s := range plainly(c.Assumptions) {
		rows = append(rows, [2]string{"assumes", s})
	}
	for _, s := range cautions {
		rows = append(rows, [2]string{"caution", s})
	}
	l.Rows(rows)
}

// WriteCalculators lists calculators, one a line.
func (s Text) WriteCalculators(w io.Writer, cs []*calc.Calculator) error {
	b := bufio.NewWriter(w)
	l := s.lines(b)
	var rows [][2]string
	for _, c := range cs {
		rows = append(rows, [2]string{c.Name, c.Doc})
	}
	l.Rows(rows)
	return l.Finish(b)
}

// WriteCalculator explains one calculator: its inputs with their units,
// defaults and bounds, and what it rests on.
func (s Text) WriteCalculator(w io.Writer, c *calc.Calculator) error {
	b := bufio.NewWriter(w)
	l := s.lines(b)
	l.Flow("", 0, []line.Run{line.Title(c.Name), line.Plain(": " + c.Doc)})
	var rows [][2]string
	for _, in := range c.Inputs() {
		flag := "  --" + in.Flag()
		if s := in.Unit.Symbol(); s != "" && !in.Text {
			flag += " " + s
		}
		text := in.Doc
		switch {
		case in.Required:
			text += "; required"
		case !in.Default.IsZero():
			text += "; default " + word.Quantity(&in.Default) + " (" + schema.PlainSource(in.Source) + ")"
		}
		if bound := in.Bounds.In(in.Unit); bound != "" {
			text += "; " + bound
		}
		rows = append(rows, [2]string{flag, text})
	}
	l.Rows(rows)
	l.Line("")
	ground(l, c, c.CautionTexts())
	return l.Finish(b)
}

// origin says where an input came from, where that is not the caller, and
// whether a person has yet to confirm it.
func origin(g *calc.Given) string {
	if g.From == calc.FromGiven {
		return ""
	}
	factors := strings.Split(g.From, " × ")
	for i, f := range factors {
		factors[i] = schema.PathWords(f)
	}
	from := strings.Join(factors, " × ")
	if g.Open {
		from += "; open: not yet confirmed"
	}
	return " (" + from + ")"
}

// computed writes a computed quantity: a time in hours and minutes, what else
// there is as roughly does.
func computed(q schema.Quantity) string {
	if q.Unit == "h" && !q.Range && q.Low.Sign() > 0 {
		return hours(q.Low)
	}
	return roughly(q)
}

// hours writes a number of hours as "2 h 27 min", "28 min", "40 s", with "≈"
// where that is not all of it: computed times are no better than a minute.
func hours(d schema.Decimal) string {
	sixty := schema.NewDecimal(60, 0)
	exact := d.Mul(sixty)
	unit, rounded := "min", exact.Round(0)
	if rounded.IsZero() {
		exact, unit = exact.Mul(sixty), "s"
		rounded = exact.Round(0)
	}
	s := ""
	if n, err := strconv.ParseInt(rounded.Trim().String(), 10, 64); unit == "min" && err == nil && n >= 60 {
		s = strconv.FormatInt(n/60, 10) + word.NBSP + "h"
		if n%60 > 0 {
			s += word.NBSP + strconv.FormatInt(n%60, 10) + word.NBSP + "min"
		}
	} else {
		s = rounded.Trim().String() + word.NBSP + unit
	}
	if !rounded.Equal(exact) {
		s = "≈" + word.NBSP + s
	}
	return s
}

// digitsShown is how many significant digits text shows of a computed number.
const digitsShown = 6

// roughly writes a computed quantity to digitsShown significant digits, with
// "≈" where that is not all of it.
func roughly(q schema.Quantity) string {
	low, cutLow := significant(q.Low)
	high, cutHigh := significant(q.High)
	q.Low, q.High = low, high
	if s := word.Quantity(&q); cutLow || cutHigh {
		return "≈" + word.NBSP + s
	} else {
		return s
	}
}

// significant rounds to digitsShown significant digits, whole digits kept; it
// reports whether something was cut.
func significant(d schema.Decimal) (schema.Decimal, bool) {
	s := strings.TrimPrefix(d.String(), "-")
	whole, rest, _ := strings.Cut(s, ".")
	n := digitsShown - len(whole)
	if strings.Trim(whole, "0") == "" {
		n = digitsShown + len(rest) - len(strings.TrimLeft(rest, "0"))
	}
	r := d.Round(max(n, 0)).Trim()
	return r, !r.Equal(d)
}
