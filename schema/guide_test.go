package schema

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"strings"
	"testing"
)

func guideText(t *testing.T) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteGuide(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestGuideRows reads some rows whole: one of each kind of type and path.
func TestGuideRows(t *testing.T) {
	guide := guideText(t)
	for _, row := range []string{
		"| `version` | text | yes | form of this document: saywatt/record/1 |",
		"| `source.duration` | number, seconds | no | end of the last cue in seconds; absent where untimed |",
		"| `product.marks[]` | text | no | certification marks named |",
		"| `body.mass` | [Value](#value) | no | mass of the product |",
		"| `levels[].voltage` | [Value](#value) | yes | fixed voltage, or the range of a programmable level |",
		"| `battery.cell.count` | whole number | no | number of cells |",
		"| `battery.rated` | [Pack](#pack) | yes | rated output, at the output's voltage; never mixed with the cell side |",
		"| `components[].status` | [status](#status) | yes | the least sure of its parts |",
		"| `measurements[].condition.mains` | [Value](#value) | no | mains voltage |",
		"| `quantities[].at` | number, seconds or null | yes | start of the cue in seconds; null where untimed |",
		"| `quantities[].span` | [start, end) | yes | [start, end) byte offsets of the heard words in the source file |",
		"| `quantities[].withdrawn` | true or false | no | the speaker took it back |",
		"| `quantities[].readings[].terms[].score` | number | yes | natural-log probability or ratio |",
		"| `confidence` | number | yes | probability that this is what was said, 0 to 1 |", // in the section of Value
		"| `typical` | number, exact | no | typical value, as of a datasheet's min/typ/max |",
		"| `unit` | UCUM code | yes | UCUM code |",
		"One of `heard`, `repaired`, `open`, `settled`.",
		"| `mA.h` | mAh | milliamp hours | charge |",
	} {
		if strings.Count(guide, row+"\n") < 1 {
			t.Errorf("no row %s", row)
		}
	}
}

// TestGuideIsComplete: every field of every struct once, links that lead
// somewhere, four cells a row.
func TestGuideIsComplete(t *testing.T) {
	guide := guideText(t)
	for _, s := range structsOf() {
		for _, f := range fieldsOf(s) {
			row := regexp.MustCompile(fmt.Sprintf(
				"(?m)^\\| `(?:[a-z_.\\[\\]]*\\.)?%s(?:\\[\\])?` \\| .* \\| (yes|no) \\| %s \\|$", f.name, regexp.QuoteMeta(f.doc)))
			if !row.MatchString(guide) {
				t.Errorf("%s.%s is not in the guide", s.Name(), f.name)
			}
		}
	}
	headings := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^## (.+)$`).FindAllStringSubmatch(guide, -1) {
		if headings[strings.ToLower(m[1])] {
			t.Errorf("two sections %s", m[1])
		}
		headings[strings.ToLower(m[1])] = true
	}
	for _, m := range regexp.MustCompile(`\]\(#([^)]*)\)`).FindAllStringSubmatch(guide, -1) {
		if !headings[m[1]] {
			t.Errorf("link to #%s leads nowhere", m[1])
		}
	}
	for line := range strings.Lines(guide) {
		if strings.HasPrefix(line, "|") && strings.Count(line, "|")-strings.Count(line, `\|`) != 5 {
			t.Errorf("row of other than four cells: %s", line)
		}
	}
	_, units, _ := strings.Cut(guide, "\n## Units\n")
	if n, want := strings.Count(units, "\n| `"), len(Units()); n != want {
		t.Errorf("%d units in the guide, %d in the table", n, want)
	}
	if again := guideText(t); again != guide {
		t.Error("a second run writes another text")
	}
}

func TestGuideReportsWriteErrors(t *testing.T) {
	full := errors.New("disk full")
	if err := WriteGuide(errWriter{full}); !errors.Is(err, full) {
		t.Errorf("error %v, want %v", err, full)
	}
}

type errWriter struct{ err error }

func (w errWriter) Write([]byte) (int, error) { return 0, w.err }
