package export

import "testing"

// Records are distinguished from captions by their beginning, from as few bytes as it
// takes.
func TestTellRecords(t *testing.T) {
	for _, c := range []struct {
		head           string
		records, known bool
	}{
		{"", false, false},
		{" \n", false, false},
		{"\xef\xbb", false, false},
		{"WEBVTT", false, true},
		{"[{\"start\":1", false, true},
		{"{", true, false},
		{"\ufeff {\n", true, false},
		{"{}", true, true},
		{"{\"ver", true, false},
		{"{\"version\"", true, false},
		{"{\"version\": ", true, false},
		{"{\"version\": \"say", true, false},
		{"{\"version\": \"saywatt/record/1\"", true, true},
		{"{\"version\":\"1.0.0\",\"segments\":[", false, true},
		{"{\"source\":", true, true},
		{"{\"feed\":\"saywatt/feed/1\"", true, true},
		{"{\"id\":0,\"start\":1", false, true},
		{"{\"segments\"", false, true},
		{"{12}{50}five volts", false, true},
		{"{\\rtf1", false, true},
		{"{x", true, true},
		{"{\n 1", true, true},
		{"{[", true, true},
	} {
		if records, known := TellRecords([]byte(c.head)); known != c.known || known && records != c.records {
			t.Errorf("%q: %v, %v; want %v, %v", c.head, records, known, c.records, c.known)
		}
	}
}
