package export

// Answers of desk calculators, as text for people or as JSON: an array with
// one object per answer, of the members calculator, label (absent without a
// record), inputs and results (each with name, and quantity as in records or
// text), formula, source, standing, assumptions and cautions. Quantities in
// JSON are exact, to 34 significant digits where there is no finite form;
// text shows six digits with "≈" where that leaves something out.

import (
	"bufio"
	"encoding/json"
	"io"
	"strings"

	"saywatt/schema"
	"saywatt/validate"
)

// answerJSON is the published form of a validate.Answer.
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
}

type resultJSON struct {
	Name     string           `json:"name"`
	Doc      string           `json:"doc"`
	Quantity *schema.Quantity `json:"quantity,omitempty"`
	Text     string           `json:"text,omitempty"`
}

// WriteAnswersJSON writes answers as one indented JSON array.
func WriteAnswersJSON(w io.Writer, answers []*validate.Answer) error {
	out := make([]answerJSON, 0, len(answers))
	for _, a := range answers {
		c := a.Calculator
		j := answerJSON{Calculator: c.Name, Label: a.Label, Formula: c.Formula, Source: c.Source, Standing: c.Standing.String(),
			Assumptions: c.Assumptions, Cautions: a.Cautions, Inputs: []inputJSON{}, Results: []resultJSON{}}
		for _, g := range a.Given {
			j.Inputs = append(j.Inputs, inputJSON{g.Input, exactly(&g.Quantity), g.Text, g.From})
		}
		for _, r := range a.Results {
			j.Results = append(j.Results, resultJSON{r.Name, r.Doc, exactly(&r.Quantity), r.Text})
		}
		out = append(out, j)
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(out)
}

func exactly(q *schema.Quantity) *schema.Quantity {
	if q.IsZero() {
		return nil
	}
	return q
}

// WriteAnswers writes answers for people. What goes with the calculator
// (formula, source, assumptions, cautions) follows once, after its answers.
func WriteAnswers(w io.Writer, answers []*validate.Answer) error {
	b := bufio.NewWriter(w)
	for i, a := range answers {
		if i > 0 {
			b.WriteByte('\n')
		}
		title := a.Calculator.Name + ": " + a.Calculator.Doc
		if a.Label != "" {
			title = a.Calculator.Name + ", " + Printable(a.Label)
		}
		b.WriteString(title + "\n")
		var rows [][2]string
		for _, g := range a.Given {
			value := Printable(g.Text)
			if g.Text == "" {
				value = quantity(&g.Quantity)
			}
			rows = append(rows, [2]string{"  " + words(g.Input), value + origin(g.From)})
		}
		for _, r := range a.Results {
			value := r.Text
			if !r.Quantity.IsZero() {
				value = roughly(r.Quantity)
				if r.Text != "" {
					value += "; " + r.Text
				}
			}
			rows = append(rows, [2]string{"= " + words(r.Name), value})
		}
		writeColumns(b, rows)
		if i+1 == len(answers) || answers[i+1].Calculator != a.Calculator {
			b.WriteByte('\n')
			writeGround(b, a.Calculator)
			for _, c := range a.Cautions {
				b.WriteString("caution   " + c + "\n")
			}
		}
	}
	return b.Flush()
}

// writeGround writes what a calculator rests on.
func writeGround(b *bufio.Writer, c *validate.Calculator) {
	b.WriteString("formula   " + c.Formula + "\n")
	b.WriteString("source    " + sourceWords(c.Source, c.Standing.String()) + "\n")
	for _, s := range c.Assumptions {
		b.WriteString("assumes   " + schema.PlainSource(s) + "\n")
	}
}

// WriteCalculators lists calculators, one a line.
func WriteCalculators(w io.Writer, cs []*validate.Calculator) error {
	b := bufio.NewWriter(w)
	var rows [][2]string
	for _, c := range cs {
		rows = append(rows, [2]string{c.Name, c.Doc})
	}
	writeColumns(b, rows)
	return b.Flush()
}

// WriteCalculator explains one calculator: its inputs with their units,
// defaults and bounds, and what it rests on.
func WriteCalculator(w io.Writer, c *validate.Calculator) error {
	b := bufio.NewWriter(w)
	b.WriteString(c.Name + ": " + c.Doc + "\n")
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
			text += "; default " + quantity(&in.Default) + " (" + schema.PlainSource(in.Source) + ")"
		}
		if bound := in.Bounds.In(in.Unit); bound != "" {
			text += "; " + bound
		}
		rows = append(rows, [2]string{flag, text})
	}
	writeColumns(b, rows)
	b.WriteByte('\n')
	writeGround(b, c)
	for _, t := range c.CautionTexts() {
		b.WriteString("caution   " + t + "\n")
	}
	return b.Flush()
}

// writeColumns writes rows of two columns, the second aligned.
func writeColumns(b *bufio.Writer, rows [][2]string) {
	width := 0
	for _, r := range rows {
		width = max(width, columns(r[0]))
	}
	for _, r := range rows {
		b.WriteString(r[0] + strings.Repeat(" ", width-columns(r[0])+2) + strings.ReplaceAll(r[1], nbsp, " ") + "\n")
	}
}

// origin says where an input came from, where that is not the caller.
func origin(from string) string {
	if from == validate.FromGiven {
		return ""
	}
	return " (" + schema.PathWords(from) + ")"
}

// digitsShown is how many significant digits text shows of a computed number.
const digitsShown = 6

// roughly writes a computed quantity to digitsShown significant digits, with
// "≈" where that is not all of it.
func roughly(q schema.Quantity) string {
	low, cutLow := significant(q.Low)
	high, cutHigh := significant(q.High)
	q.Low, q.High = low, high
	if s := quantity(&q); cutLow || cutHigh {
		return "≈ " + s
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
