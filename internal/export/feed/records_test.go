package feed

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
		{"{\"version\":\"1", false, true},
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

// Records are found behind stray lines, and in no captions.
func TestRecordBehind(t *testing.T) {
	for _, c := range []struct {
		head string
		want bool
	}{
		{"", false},
		{"{\"version\":\"saywatt/record/1\"", false}, // it is the first
		{"stray\n{\"version\":\"saywatt/record/1\"", true},
		{"stray\r\n\r\n{\n  \"version\": \"saywatt/record/1\"", true},
		{"one\ntwo\n{\"feed\":\"saywatt/feed/1\"", true},
		{"stray\n{\"version\":\"say", false},
		{"stray\n{\"version\":\"1.0\"", false},
		{"WEBVTT\n\n1\nthe \"version\": \"saywatt/record/1\"", false},
		{"a\n{\"source\":{}", false},
	} {
		if got := RecordBehind([]byte(c.head)); got != c.want {
			t.Errorf("%q: %v, want %v", c.head, got, c.want)
		}
	}
}
