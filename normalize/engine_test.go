package normalize

import (
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/extract/transcript"
)

// read scans a text as notes; a bar is a line break.
func read(t testing.TB, text string) *extract.Document {
	t.Helper()
	tr, err := transcript.Parse("test", []byte(strings.ReplaceAll(text, " | ", "\n")))
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	return extract.Find(tr)
}

func engineOf(t testing.TB, text string) *engine {
	t.Helper()
	return (&Ranker{}).engine(read(t, text))
}

// shown writes a number or range as tables and tests do: "3.25", "3.3..21".
func shown(lo, hi extract.Num, isRange bool) string {
	if isRange {
		return lo.Decimal().String() + ".." + hi.Decimal().String()
	}
	return hi.Decimal().String()
}

// names joins the names of the distortions that did something.
func names(by ...distortion) string {
	var s []string
	for _, d := range by {
		if d != intact {
			s = append(s, distortionNames[d])
		}
	}
	if s == nil {
		return distortionNames[intact]
	}
	return strings.Join(s, "+")
}
