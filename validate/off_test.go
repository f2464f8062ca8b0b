package validate

import (
	"strings"
	"testing"

	"saywatt/validate/form"
)

func TestOff(t *testing.T) {
	var off Off
	text := "\ufeff# ours\n\noff level-trend  labels fall\r\noff cables\noff level-trend again\n"
	if err := off.AddSettings("x.rules", []byte(text)); err != nil {
		t.Fatal(err)
	}
	if err := off.Add("pd-voltage", "--off", ""); err != nil {
		t.Fatal(err)
	}
	if want := (OffEntry{Name: "level-trend", Where: "x.rules:3", Why: "labels fall",
		Rules: []*Rule{ruleLevelTrend}}); len(off.Entries) != 3 ||
		off.Entries[0].Where != want.Where || off.Entries[0].Why != want.Why {
		t.Errorf("%+v", off.Entries)
	}
	if got, want := len(off.Rules()), len(Rules())-2-len(cableRules); got != want {
		t.Errorf("%d rules are left, want %d", got, want)
	}
	for _, r := range off.Rules() {
		if r == ruleLevelTrend || r == rulePDVoltage || FamilyOf(r.Name) == "cables" {
			t.Errorf("%s is still on", r.Name)
		}
	}
	for text, want := range map[string]string{
		"off nosuch\n":  `x:1: there is no rule and no family "nosuch"`,
		"\noff\n":       `x:2: "off": want a line "off NAME"`,
		"on cables":     `x:1: "on cables": want a line "off NAME"`,
		"off\tcables x": "",
	} {
		err := new(Off).AddSettings("x", []byte(text))
		if want == "" && err != nil || want != "" && (err == nil || !strings.HasPrefix(err.Error(), want)) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}

// TestFamilies: a name stands for one thing, a family or a rule.
func TestFamilies(t *testing.T) {
	for _, f := range Families() {
		if f.Name == "" || f.Title == "" || RuleNamed(f.Name) != nil || strings.ContainsAny(f.Name, " A-Z") {
			t.Errorf("family %q, %q", f.Name, f.Title)
		}
		for _, r := range f.Rules {
			if FamilyOf(r.Name) != f.Name {
				t.Errorf("%s is of %q", r.Name, FamilyOf(r.Name))
			}
		}
	}
	if FamilyOf(form.Rule) != "record" || FamilyOf(form.SenseRule) != "record" || FamilyOf("x") != "" {
		t.Error("families of other findings")
	}
}

func TestSearch(t *testing.T) {
	for _, tt := range []struct{ words, want string }{
		{"e-marker 5 A", "cable-current cable-voltage"},
		{"RIPPLE", "ripple-window"},
		{"zeppelin", ""},
	} {
		var got []string
		for _, f := range Search(Families(), strings.Fields(tt.words)) {
			for _, r := range f.Rules {
				got = append(got, r.Name)
			}
		}
		if s := strings.Join(got, " "); tt.want == "" && s != "" || !strings.HasPrefix(s, tt.want) {
			t.Errorf("%s: %s", tt.words, s)
		}
	}
}

func FuzzSettings(f *testing.F) {
	f.Add("off cables why\n# x\n")
	f.Add("\ufeffoff level-trend\r\n\x00")
	f.Fuzz(func(t *testing.T, text string) {
		var off Off
		if err := off.AddSettings("x", []byte(text)); err == nil && len(off.Rules()) > len(Rules()) {
			t.Error("more rules than there are")
		}
	})
}
