package extract

import (
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"saywatt/internal/narration"
	"saywatt/schema"
)

// Words that make a phrase a turn of somebody's talk and no term of the trade:
// pronouns, and words that lead on.
var turns = " i you he she it we they my your his her our their me us them these those this that now let "

// published reports whether a source is one that others can look up, or counted captions.
var published = regexp.MustCompile(`IEC|ISO|USB|JEDEC|SI Brochure|handbook|garbles|letters r`)

// TestNoRowOfOneNarration refuses phrases that one narration alone has and that
// rest on nothing but it: a turn of phrase, or a mishearing that nobody counted.
func TestNoRowOfOneNarration(t *testing.T) {
	files, err := filepath.Glob("../testdata/tuning/*.mark")
	if err != nil || len(files) == 0 {
		t.Fatalf("no narrations (%v)", err)
	}
	all, err := narration.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	var texts []string
	for _, n := range all {
		if n.ByEar() { // the same narration again, as a recogniser wrote it
			continue
		}
		texts = append(texts, " "+plainWords(n.Text)+" ")
	}
	count := func(phrase string) (n int) {
		for _, text := range texts {
			if strings.Contains(text, " "+phrase+" ") {
				n++
			}
		}
		return n
	}
	for _, c := range []struct{ table, column string }{
		{"cues", "phrase"}, {"propertywords", "phrase"}, {"kinds", "form"}, {"ports", "form"}, {"protocolwords", "form"},
		{"packagewords", "form"},
	} {
		for _, r := range schema.MustReadTable(tables, "tables/"+c.table+".tsv").Rows {
			phrase := plainWords(r.Get(c.column))
			if published.MatchString(r.Get("source")) || count(phrase) != 1 {
				continue
			}
			for w := range strings.FieldsSeq(phrase) {
				if strings.Contains(turns, " "+w+" ") {
					t.Errorf("%s.tsv:%d: %q stands in one narration alone and is no term of the trade", c.table, r.Line,
						phrase)
					break
				}
			}
		}
	}
	if got := count("no such words anywhere"); got != 0 { // the test itself
		t.Errorf("counted %d", got)
	}
}

// plainWords are the words of a text in small letters, a blank between.
func plainWords(text string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '\'')
	}), " ")
}
