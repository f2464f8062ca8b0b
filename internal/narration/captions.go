package narration

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Manner of rendering: words a line, lines a cue, and words a minute, as
// automatic captions have them (common practice, no source).
const (
	wordsLine   = 7
	linesCue    = 2
	wordsMinute = 150
)

// Captions writes the narration as captions in a form: vtt, srt, txt
// (paragraphs behind a time) or notes (plain). Words and their order stay; only
// the white space between them changes.
func (n *Narration) Captions(form string) []byte {
	var b bytes.Buffer
	switch form {
	case "vtt", "srt":
		n.cues(&b, form)
	case "txt":
		words := 0
		for i, p := range n.paragraphs() {
			if i > 0 {
				b.WriteByte('\n')
			}
			at := words * 60 / wordsMinute
			fmt.Fprintf(&b, "[%d:%02d] %s\n", at/60, at%60, strings.Join(strings.Fields(p), " "))
			words += len(strings.Fields(p))
		}
	default:
		b.WriteString(n.Text)
	}
	return b.Bytes()
}

// Form returns the form that the head names.
func (n *Narration) Form() string {
	form, _, _ := strings.Cut(n.Head["form"], " ")
	return form
}

// Ending returns the file ending of a form.
func Ending(form string) string {
	switch form {
	case "vtt", "srt":
		return "." + form
	}
	return ".txt"
}

func (n *Narration) paragraphs() []string {
	var out []string
	for p := range strings.SplitSeq(n.Text, "\n\n") {
		if strings.TrimSpace(p) != "" {
			out = append(out, p)
		}
	}
	return out
}

func (n *Narration) cues(b *bytes.Buffer, form string) {
	point := "."
	if form == "vtt" {
		b.WriteString("WEBVTT\n\n")
	} else {
		point = ","
	}
	clock := func(words int) string {
		ms := words * 60_000 / wordsMinute
		return fmt.Sprintf("%02d:%02d:%02d%s%03d", ms/3_600_000, ms/60_000%60, ms/1000%60, point, ms%1000)
	}
	said, cue := 0, 0
	for _, p := range n.paragraphs() {
		words := strings.Fields(p)
		for len(words) > 0 {
			take := min(len(words), wordsLine*linesCue)
			cue++
			if form == "srt" {
				fmt.Fprintf(b, "%d\n", cue)
			}
			fmt.Fprintf(b, "%s --> %s\n", clock(said), clock(said+take))
			for l := 0; l < take; l += wordsLine {
				line := strings.Join(words[l:min(take, l+wordsLine)], " ")
				if form == "vtt" {
					line = strings.NewReplacer("&", "&amp;", "<", "&lt;").Replace(line)
				}
				b.WriteString(line + "\n")
			}
			b.WriteByte('\n')
			said += take
			words = words[take:]
		}
	}
}

// Offsets maps byte offsets of the narration's Text to those of other text that
// has the same letters and signs with other white space, such as the text that
// a caption reader returns.
type Offsets struct{ at []int }

// Align returns the map from n.Text to text. It is an error where the two
// differ in more than white space.
func (n *Narration) Align(text []byte) (*Offsets, error) {
	o := &Offsets{at: make([]int, len(n.Text)+1)}
	j := 0
	for i := 0; i < len(n.Text); {
		r, size := utf8.DecodeRuneInString(n.Text[i:])
		if !unicode.IsSpace(r) {
			for j < len(text) {
				q, w := utf8.DecodeRune(text[j:])
				if !unicode.IsSpace(q) {
					break
				}
				j += w
			}
			if !bytes.HasPrefix(text[j:], []byte(n.Text[i:i+size])) {
				if strings.ContainsRune("#-*|–•", r) { // headings, bullets and rules of notes
					o.at[i] = j
					i += size
					continue
				}
				return nil, fmt.Errorf("%s: text differs from what was rendered at %q, not %q", n.Name,
					n.Text[i:min(len(n.Text), i+20)], text[j:min(len(text), j+20)])
			}
		}
		for k := range size {
			o.at[i+k] = j + k
		}
		if !unicode.IsSpace(r) {
			j += size
		}
		i += size
	}
	o.at[len(n.Text)] = len(text)
	return o, nil
}

// Span returns where the mark stands in the other text.
func (o *Offsets) Span(m *Mark) (start, end int) {
	if m.End <= m.Start {
		return o.at[m.Start], o.at[m.Start]
	}
	return o.at[m.Start], o.at[m.End-1] + 1
}
