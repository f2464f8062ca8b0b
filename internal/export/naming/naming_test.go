package naming

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/schema"
)

func TestNamesOfReviews(t *testing.T) {
	for file, want := range map[string]string{
		"en.vtt": "en en-vtt", "v1/en.vtt": "v1-en v1-en-vtt", "../v1/en.vtt": "v1-en v1-en-vtt", "./en.vtt": "en en-vtt",
		"a/b/en": "b-en a-b-en", "/data/a/b/en.vtt": "b-en a-b-en data-a-b-en data-a-b-en-vtt", "-": "", "Tarn 2.5": "tarn-2.5",
	} {
		got := Longer(&schema.Source{File: file})
		if s := strings.Join(got, " "); s != want {
			t.Errorf("%s: %q, want %q", file, s, want)
		}
	}
	for files, want := range map[string]string{
		"v1/en.vtt v2/en.vtt":                       "v1-en v2-en",
		"r1/c/en.vtt r2/c/en.vtt c/de.vtt":          "r1-c-en r2-c-en c-de",
		"r1/c/en.vtt r2/c/en.vtt s/r2/c/en.vtt":     "r1-c-en r2-c-en-vtt s-r2-c-en",
		"v1/en.vtt v1/en.srt":                       "v1-en-vtt v1-en-srt",
		"a_b/en.vtt a-b/en.vtt a.b/en.vtt":          "a-b-en-vtt a-b-en-vtt-2 a-b-en-vtt-3",
		"en.vtt /data/x/en.vtt /data/y/en.vtt - - ": "en x-en y-en  ",
	} {
		got := Distinct(strings.Fields(files))
		if s := strings.Join(got, " "); s != want {
			t.Errorf("%s: %q, want %q", files, s, want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		step := rapid.SampledFrom([]string{"a", "b", "a b", "A", "é", "..", "", "en.vtt", "en.srt", "2.5"})
		files := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) string {
			return strings.Join(rapid.SliceOfN(step, 1, 4).Draw(t, "steps"), "/")
		}), 1, 12).Draw(t, "files")
		met := map[string]bool{}
		for i, name := range Distinct(files) {
			if name != Slug(name) {
				t.Fatalf("%q is called %q", files[i], name)
			}
			if name != "" && met[name] {
				t.Fatalf("two of %q are called %s", files, name)
			}
			met[name] = true
		}
	})
}

func TestShownFile(t *testing.T) {
	for file, want := range map[string]string{
		"-": "-", "v1/en.vtt": "v1/en.vtt", "../v1/en.vtt": "v1/en.vtt", "../en.vtt": "en.vtt",
		"../../home/ada/v1/en.vtt": "v1/en.vtt", "v1/../../r/en.vtt": "r/en.vtt", "v1/../en.vtt": "v1/../en.vtt", "/home/ada/v1/en.vtt": "v1/en.vtt", "/en.vtt": "en.vtt",
		"~/v1/en.vtt": "v1/en.vtt", `C:\Users\ada\v1\en.vtt`: "v1/en.vtt", "C:/v1/en.vtt": "v1/en.vtt",
	} {
		if got := ShownFile(&schema.Source{File: file}); got != want {
			t.Errorf("%s: %q, want %q", file, got, want)
		}
	}
	joined := schema.Source{File: "/a/b/1.vtt+/a/b/2.vtt",
		Parts: []schema.Part{{File: "/a/b/1.vtt"}, {File: "/a/b/2.vtt"}}}
	if got := ShownFile(&joined); got != "b/1.vtt+b/2.vtt" {
		t.Errorf("joined: %q", got)
	}
}

func TestReviewName(t *testing.T) {
	for _, c := range []struct {
		s    schema.Source
		want string
	}{
		{schema.Source{File: "tarn.vtt"}, "tarn"},
		{schema.Source{File: "v1/en.vtt"}, "v1-en"},
		{schema.Source{File: "/home/ada/v1/en.vtt"}, "v1-en"},
		{schema.Source{File: `Tarn 65, second.SRT`}, "tarn-65-second"},
		{schema.Source{File: "tarn v1.2"}, "tarn-v1.2"},
		{schema.Source{File: "-"}, ""},
		{schema.Source{File: "a.vtt", Review: "given", Title: "Title"}, "given"},
		{schema.Source{File: "a.vtt", Title: "Tarn, Zweiter Blick"}, "tarn-zweiter-blick"},
		{schema.Source{File: "x/1.vtt+x/2.vtt", Parts: []schema.Part{{File: "x/1.vtt"}, {File: "x/2.vtt"}}}, "x-1"},
	} {
		if got := ReviewName(&c.s); got != c.want {
			t.Errorf("%+v: %q, want %q", c.s, got, c.want)
		}
	}
}
