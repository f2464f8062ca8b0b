package schema

import (
	"strings"
	"sync"
)

// PlainSource returns what a source column says to someone who does not have
// the project's own papers: standards by name and clause, laws of nature,
// "common practice, no source"; the papers' sections and the numbers of their
// references fall away (tables/references.tsv). Where nothing else was named,
// it is what the first section named rests on.
//
// A source is clauses between semicolons, commas and brackets. A reference is
// an opening word with the section numbers and codes behind it, or such
// numbers and codes alone. A clause that merely leads up to a reference
// ("tolerance 8.1 I03") goes with it, one that goes on keeps the rest.
func PlainSource(source string) string {
	if len(source) > longestSource {
		return source
	}
	p := plainer{refs: loadReferences()}
	for _, r := range p.refs {
		p.own = p.own || strings.Contains(source, r.opens)
	}
	shown := p.source(source)
	switch {
	case shown != "":
		return practised(shown)
	case p.rests != "":
		return p.rests
	}
	return publishedSource
}

// longestSource bounds what is looked at, in bytes: tables have nothing near
// it, a foreign record may hold anything.
const longestSource = 1000

// What is shown of a source that is a number of a reference and no more, and
// of one that only says what of a practice is common.
const (
	publishedSource = "a published source"
	commonPractice  = "common practice, no source"
)

// practised leaves out which part of a source is common practice where all
// of it is: "range common practice", "widened, common practice, no source".
func practised(s string) string {
	first, rest, more := strings.Cut(s, "; ")
	if !strings.Contains(first, "common practice") || named(strings.Fields(first)) {
		return s
	}
	if more && rest != commonPractice {
		return commonPractice + "; " + rest
	}
	return commonPractice
}

// reference is a row of references.tsv.
type reference struct{ opens, section, shown string }

var loadReferences = sync.OnceValue(func() []reference {
	var all []reference
	for _, r := range MustReadTable(tables, "tables/references.tsv").Rows {
		section := r.Get("section")
		if section == "-" {
			section = ""
		}
		all = append(all, reference{r.Get("opens"), section, r.Get("shown")})
	}
	return all
})

// plainer is at work on one source.
type plainer struct {
	refs  []reference
	own   bool   // the source names a paper of the project
	rests string // what the first reference rests on
}

// source cuts a text at its separators outside brackets and joins what is
// left of the parts.
func (p *plainer) source(s string) string {
	var b strings.Builder
	sep := ""
	for s != "" {
		end := clauseEnd(s)
		part := p.clause(s[:end])
		if part != "" {
			if b.Len() > 0 {
				b.WriteString(sep)
			}
			b.WriteString(part)
		}
		if end == len(s) {
			break
		}
		if part != "" || s[end] == ';' || sep == "" { // a gap keeps the stronger of its separators
			sep = string(s[end]) + " "
		}
		s = strings.TrimLeft(s[end+1:], " ")
	}
	return strings.TrimPrefix(strings.TrimPrefix(b.String(), "else "), "and ")
}

// clauseEnd finds the next comma or semicolon outside brackets.
func clauseEnd(s string) int {
	depth := 0
	for i := 0; i < len(s); i++ {
		switch s[i] {
		case '(':
			depth++
		case ')':
			depth--
		case ',', ';':
			if depth <= 0 && i+1 < len(s) && s[i+1] == ' ' {
				return i
			}
		}
	}
	return len(s)
}

// clause makes one clause plain: its words before the first bracket, then the
// bracket, then the rest.
func (p *plainer) clause(s string) string {
	open := strings.IndexByte(s, '(')
	if open < 0 || open > 0 && s[open-1] != ' ' {
		return p.phrase(s)
	}
	depth, end := 0, -1
	for i := open; i < len(s); i++ {
		switch s[i] {
		case '(':
			depth++
		case ')':
			if depth--; depth == 0 && end < 0 {
				end = i
			}
		}
	}
	if end < 0 {
		return p.phrase(s)
	}
	head, inside := p.phrase(s[:open]), p.source(s[open+1:end])
	tail := p.clause(strings.TrimLeft(s[end+1:], " "))
	switch {
	case inside == "":
	case head == "": // it spoke of the reference that fell away
		if strings.Contains(inside, "practice") || strings.Contains(inside, "memory") {
			head = inside
		}
	default:
		head += " (" + inside + ")"
	}
	if head == "" {
		return tail
	}
	if tail != "" && !strings.HasPrefix(tail, ":") {
		tail = " " + tail
	}
	return head + tail
}

// phrase takes the references out of a text without brackets or separators.
func (p *plainer) phrase(s string) string {
	s = strings.TrimSpace(s)
	if strings.Contains(s, "tables/") && !strings.Contains(s, " and ") { // a file of ours
		return ""
	}
	words := strings.Fields(s)
	for i := 0; i < len(words); i++ {
		n := p.opens(words[i:])
		if n == 0 {
			if p.ownCode(words, i) {
				words = leadsTo(words[:i])
				break
			}
			continue
		}
		end := i + n
		for end < len(words) && !strings.HasSuffix(words[end-1], ":") && (isCode(words[end]) || isJoint(words[end])) {
			end++
		}
		p.note(words[i:end], n)
		before, after := leadsTo(words[:i]), words[end:]
		if len(after) == 1 && !named(after) { // "(…) computed"
			after = nil
		}
		words = append(append([]string{}, before...), after...)
		i = len(before) - 1
	}
	return strings.Join(words, " ")
}

// leadsTo is what is left of words before a reference: a name, but for the
// word that led to the reference; nothing where they were no name.
func leadsTo(words []string) []string {
	for len(words) > 0 && (isJoint(words[len(words)-1]) || words[len(words)-1] == "in" || words[len(words)-1] == "as") {
		words = words[:len(words)-1]
	}
	if !named(words) {
		return nil
	}
	words = append([]string{}, words...)
	words[len(words)-1] = strings.TrimSuffix(words[len(words)-1], ":")
	return words
}

// ownCode reports whether the words from i on are numbers of the project's
// papers without an opening word: "R34b", "I08 and I09", "tolerance 8.1 I03",
// and not "Table 4.6" or "4.7 nF".
func (p *plainer) ownCode(words []string, i int) bool {
	for k, w := range words[i:] {
		switch {
		case isListed(w):
		case k > 0 && isJoint(w):
		case p.own && i == 0 && isCode(w):
		case p.own && isCode(w) && strings.Contains(w, ".") && w[0] <= '9' && !named(words[:i]):
		default:
			return false
		}
	}
	return true
}

// isListed reports whether a word is a number of a list of the papers: R34b,
// I08, W41. A revision (R3.1) has a point.
func isListed(w string) bool {
	return len(w) > 1 && strings.IndexByte("RITWXEPS", w[0]) >= 0 && isCode(w) && !strings.Contains(w, ".")
}

// opens returns how many words open a reference.
func (p *plainer) opens(words []string) int {
	for i := range p.refs {
		n := strings.Count(p.refs[i].opens, " ") + 1
		if n <= len(words) && strings.TrimRight(strings.Join(words[:n], " "), ":,;") == p.refs[i].opens {
			return n
		}
	}
	return 0
}

// note remembers what the first reference rests on.
func (p *plainer) note(words []string, n int) {
	if p.rests != "" || len(words) == 0 {
		return
	}
	opens := strings.TrimRight(strings.Join(words[:n], " "), ":,;")
	section := ""
	if len(words) > n {
		section = strings.TrimRight(words[n], ":,;abcd")
	}
	best := -1
	for _, r := range p.refs {
		if r.opens == opens && len(r.section) > best &&
			(r.section == "" || section == r.section || strings.HasPrefix(section, r.section+".")) {
			best, p.rests = len(r.section), r.shown
		}
	}
}

// isCode reports whether a word is a section number or a number of a list:
// "2.2b", "R10", "R34b-d", "T2:", "9.3(5)", "1-7".
func isCode(w string) bool {
	w = strings.TrimRight(w, ",:;.")
	if w != "" && w[0] >= 'A' && w[0] <= 'Z' {
		w = w[1:]
	}
	if w == "" || w[0] < '0' || w[0] > '9' {
		return false
	}
	letters := 0
	for i := 0; i < len(w); i++ {
		switch c := w[i]; {
		case c >= '0' && c <= '9', c == '.', c == '-', c == '(', c == ')':
		case c >= 'a' && c <= 'd':
			letters++
		default:
			return false
		}
	}
	return letters <= 2
}

func isJoint(w string) bool {
	switch strings.TrimRight(w, ",;") {
	case "and", "to", "row", "rows", "section", "or", "trap":
		return true
	}
	return false
}

// named reports whether words name something outside: a standard's name or
// number, with a capital or a digit in it.
func named(words []string) bool {
	for _, w := range words {
		for i := 0; i < len(w); i++ {
			if c := w[i]; c >= '0' && c <= '9' || c >= 'A' && c <= 'Z' {
				return true
			}
		}
	}
	return false
}
