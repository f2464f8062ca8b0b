package desk

import (
	"fmt"
	"strings"
	"testing"
)

// formOf is a form of a page by the end of its action: the number of its act and
// where it leads back to.
func (v *visitor) formOf(what string) (action, act, back string) {
	v.Helper()
	i := strings.Index(v.body, "/"+what+`"`)
	if i < 0 {
		v.Fatalf("%s: nothing to %s", v.at, what)
	}
	from := strings.LastIndex(v.body[:i], `action="`) + len(`action="`)
	form := &visitor{T: v.T, at: v.at, body: v.body[i:]}
	return v.body[from : i+1+len(what)], form.field("act"), form.field("back")
}

// What was decided last is taken back and done again on pages of no review too,
// and the page stays; the next question is one key away from each.
func TestStripEverywhere(t *testing.T) {
	v := visit(t, Config{Archive: newArchive(t)})
	if _, err := v.desk.Open(t.Context(), "tern.vtt",
		strings.NewReader("WEBVTT\n\n00:01.000 --> 00:04.000\nThe Tern Two charger. Output 20 volts 325 amps, 65 "+
			"watts.\n")); err != nil {
		t.Fatal(err)
	}
	v.get("/").sees(200, "n Next question").lacks("u Take it back")
	v.post("/r/demo/decide", "version", "0", "at", resistance, "act", "typed", "typed", "7").sees(200)
	version := func() string { return v.field("version") }
	for _, page := range []string{"/", "/archive?q=power+%3E+20+W", "/archive/queue", "/archive/compare",
		"/archive/stats?subject=power"} {
		v.get(page).sees(200, "Orrindale Jetty Duo: Last: “29 Miller homes”: 7 mΩ.", "u Take it back",
			"n Next question")
		action, act, back := v.formOf("undo")
		v.post(action, "version", version(), "act", act, "back", back).sees(200, "Taken back.", "U Do it again")
		if got := v.at.Path; !strings.HasPrefix(page, got) || strings.Contains(page, "?") &&
			!strings.Contains(v.at.RawQuery, strings.SplitN(strings.SplitN(page, "?", 2)[1], "=", 2)[0]) {
			t.Errorf("taken back on %s, it leads to %s", page, v.at)
		}
		action, act, back = v.formOf("redo")
		v.post(action, "version", version(), "act", act, "back", back).sees(200, "Done again.")
	}
	for _, page := range []string{"sheet", "transcript", "decisions", "picture", "out"} {
		v.get("/r/demo/"+page).sees(200, "u Take it back", "n Next question")
	}
	// Nothing of it is shown to who may not enter, nor on an error.
	v.get("/nowhere").sees(404).lacks("29 Miller homes")
}

func TestLocalAddress(t *testing.T) {
	s := &state{}
	for _, tt := range []struct{ address, want string }{
		{"/", "/?done=undone&v=0"},
		{"/archive?q=a+b&v=7&done=x", "/archive?q=a+b&done=undone&v=0"},
		{"sheet", ""},
		{"", ""},
		{"//elsewhere.example/", ""},
		{`/\elsewhere.example`, ""},
		{"https://elsewhere.example/", ""},
		{"/a\r\nb", ""},
	} {
		if got := localAddress(tt.address, s, "undone"); got != tt.want {
			t.Errorf("%q leads to %q, want %q", tt.address, got, tt.want)
		}
	}
}

// A review that is done leads to the next one with questions.
func TestNextReview(t *testing.T) {
	v := visit(t, Config{})
	if _, err := v.desk.Open(t.Context(), "plain.vtt",
		strings.NewReader("WEBVTT\n\n00:01.000 --> 00:04.000\nThe Tern Two charger. Nothing else.\n")); err != nil {
		t.Fatal(err)
	}
	jetty := v.desk.find("demo")
	v.get("/r/plain/question").sees(200, "Nothing waits for you here",
		fmt.Sprintf("n Next: Orrindale Jetty Duo, %d questions", jetty.agenda(jetty.state()).asking().All()))
	v.get("/r/plain/sheet").sees(200, "n Next question")
}

// Captions without a word are refused by name, with the reason.
func TestNoWords(t *testing.T) {
	v := visit(t, Config{})
	for name, tt := range map[string]struct{ text, why string }{
		"empty.vtt": {"", "the file is empty"},
		"head.vtt":  {"WEBVTT\n", "no words in it"},
		"blank.vtt": {"WEBVTT\n\n00:01.000 --> 00:04.000\n \n", "no words"},
	} {
		_, err := v.desk.Open(t.Context(), name, strings.NewReader(tt.text))
		if err == nil || !strings.Contains(err.Error(), name) || !strings.Contains(err.Error(), tt.why) {
			t.Errorf("%s: %v, want %q", name, err, tt.why)
		}
	}
}
