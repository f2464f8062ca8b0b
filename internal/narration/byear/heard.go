package byear

import (
	"fmt"
	"strconv"
	"strings"
)

// UtteranceName names the files of an utterance, counted from 0, for the recogniser.
func UtteranceName(i int) string { return fmt.Sprintf("u%04d", i) }

// Heard reads what the recogniser wrote of so many utterances: a line for each,
// "words written (u0000 -1234)", in any order. The number is the likelihood. A
// word may have the count of its pronunciation behind it, "the(2)"; "(null)" is
// no word.
func Heard(file, text string, utterances int) ([][]string, error) {
	out := make([][]string, utterances)
	read := make([]bool, utterances)
	line := 0
	for l := range strings.Lines(text) {
		line++
		l = strings.TrimRight(l, "\r\n")
		if l == "" {
			continue
		}
		at := strings.LastIndexByte(l, '(')
		if at < 0 || !strings.HasSuffix(l, ")") {
			return nil, fmt.Errorf("%s:%d: no utterance in brackets at the end: %q", file, line, l)
		}
		f := strings.Fields(l[at+1 : len(l)-1])
		if len(f) == 0 || len(f) > 2 {
			return nil, fmt.Errorf("%s:%d: no utterance in brackets at the end: %q", file, line, l)
		}
		i, err := strconv.Atoi(strings.TrimPrefix(f[0], "u"))
		if err != nil || i < 0 || i >= utterances || f[0] != UtteranceName(i) {
			return nil, fmt.Errorf("%s:%d: no utterance %q was given", file, line, f[0])
		}
		if read[i] {
			return nil, fmt.Errorf("%s:%d: utterance %s is written twice", file, line, f[0])
		}
		read[i] = true
		for _, w := range strings.Fields(l[:at]) {
			if w, _, _ = strings.Cut(w, "("); w == "" { // "(null)", "(2)"
				continue
			}
			if strings.ContainsAny(w, "{}<>|") {
				return nil, fmt.Errorf("%s:%d: a word with a sign of marks: %q", file, line, w)
			}
			out[i] = append(out[i], strings.ToLower(w))
		}
	}
	for i, ok := range read {
		if !ok {
			return nil, fmt.Errorf("%s: nothing is written of utterance %s", file, UtteranceName(i))
		}
	}
	return out, nil
}
