package normalize

import (
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/normalize/channel"
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
func names(by ...channel.Distortion) string {
	var s []string
	for _, d := range by {
		if d != channel.Intact {
			s = append(s, d.String())
		}
	}
	if s == nil {
		return channel.Intact.String()
	}
	return strings.Join(s, "+")
}
