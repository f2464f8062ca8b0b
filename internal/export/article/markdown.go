package article

import (
	"bytes"
	"io"
	"strings"

	"saywatt/schema"
)

// WriteMarkdown writes records as sheets in Markdown: CommonMark with the
// tables that most readers of it know. Text from captions is escaped, so that
// it neither makes markup nor loses a character.
func (a Options) WriteMarkdown(w io.Writer, records []*schema.Record) error {
	var b bytes.Buffer
	for i, r := range records {
		if i > 0 {
			b.WriteString("\n---\n\n")
		}
		m := markdown{b: &b, link: a.Link != ""}
		m.page(a.Page(r))
	}
	_, err := w.Write(b.Bytes())
	return err
}

// markdown writes one sheet.
type markdown struct {
	b    *bytes.Buffer
	link bool // times are links
}

func (m *markdown) line(s string) { m.b.WriteString(s + "\n") }

func (m *markdown) page(p *Page) {
	m.line("# " + escapeMarkdown(p.Title))
	m.line("")
	for _, s := range []string{p.Kind, p.About} {
		if s != "" {
			m.line(escapeMarkdown(s) + "  ")
		}
	}
	m.line(escapeMarkdown(p.Origin))
	if len(p.Legend) > 0 {
		var parts []string
		for _, l := range p.Legend {
			parts = append(parts, escapeMarkdown(l.Sign)+" "+l.Meaning)
		}
		m.line("")
		m.line(strings.Join(parts, " · "))
	}
	for _, s := range p.Sections {
		m.section(s)
	}
	m.ear(p.Ear)
	if len(p.Findings) > 0 {
		m.heading("Findings")
		for _, f := range p.Findings {
			m.line("- **" + f.Severity + "** " + m.at(f.Time) + escapeMarkdown(f.Message) + "  ")
			m.line("  " + escapeMarkdown(f.More))
		}
	}
	m.list("The file itself", p.Problems)
	m.list("Take care", p.Cautions)
}

func (m *markdown) heading(title string) {
	m.line("")
	m.line("## " + escapeMarkdown(title))
	m.line("")
}

func (m *markdown) list(title string, items []string) {
	if len(items) == 0 {
		return
	}
	m.heading(title)
	for _, s := range items {
		m.line("- " + escapeMarkdown(s))
	}
}

func (m *markdown) section(s Section) {
	m.heading(s.Title)
	m.line("| at | " + strings.Join(s.Heads, " | ") + " |")
	m.line("|--:" + strings.Repeat("|---", len(s.Heads)) + "|")
	for _, r := range s.Rows {
		if r.Heading != "" {
			m.line("| | **" + escapeMarkdown(r.Heading) + "**" + strings.Repeat(" |", len(s.Heads)))
			continue
		}
		cells := []string{strings.TrimSpace(m.at(r.Time)), escapeMarkdown(r.Label)}
		for _, c := range r.Cells {
			var b strings.Builder
			for _, s := range c {
				b.WriteString(escapeMarkdown(s.Text))
			}
			cells = append(cells, strings.TrimSpace(b.String()))
		}
		m.line("| " + strings.Join(cells, " | ") + " |")
	}
}

func (m *markdown) ear(items []EarItem) {
	if len(items) == 0 {
		return
	}
	m.heading("Needs your ear")
	for _, e := range items {
		s := "- " + m.at(e.Time) + "**" + escapeMarkdown("“"+e.Heard+"”") + "**"
		if e.As != "" {
			s += " as " + escapeMarkdown(e.As)
		}
		if e.Context != "" {
			s += ", in " + escapeMarkdown("“"+e.Context+"”")
		}
		var choices []string
		for _, c := range e.Choices {
			choices = append(choices, strings.TrimSpace(escapeMarkdown(c.Text+" "+c.Percent)))
		}
		if choices != nil {
			s += ": " + strings.Join(choices, " · ")
		}
		m.line(s)
	}
}

// at writes a time, a link where addresses are known, with a blank behind.
func (m *markdown) at(t TimeLink) string {
	switch {
	case t.Clock == "":
		return ""
	case m.link:
		return "[" + t.Clock + "](<" + linkEscapes.Replace(t.Link) + ">) "
	}
	return t.Clock + " "
}

// linkEscapes keeps an address inside its pointed brackets (CommonMark 6.3).
var linkEscapes = strings.NewReplacer("<", "%3C", ">", "%3E", "\n", "%0A", `\`, "%5C", "|", "%7C")

// escapeMarkdown makes text mean itself: every punctuation mark that can open
// or close markup has a backslash before it (CommonMark 2.4).
func escapeMarkdown(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		switch c := s[i]; c {
		case '\\', '`', '*', '_', '{', '}', '[', ']', '<', '>', '|', '#', '&', '~', '!', '$':
			b.WriteByte('\\')
		case '-', '+', '=':
			if i == 0 {
				b.WriteByte('\\')
			}
		case '.', ')':
			if i > 0 && strings.Trim(s[:i], "0123456789") == "" && (i+1 == len(s) || s[i+1] == ' ') { // a list
				b.WriteByte('\\')
			}
		}
		b.WriteByte(s[i])
	}
	return b.String()
}
