package validate

import (
	"fmt"
	"slices"
	"strings"

	"saywatt/validate/form"
)

// Off is what a person switched off: rules and whole families, each with where
// that was said, so that a report can say so.
type Off struct {
	Entries []OffEntry
}

// OffEntry is one thing switched off.
type OffEntry struct {
	Name  string // of a rule or a family
	Where string // "rules.settings:3", "--off"
	Why   string // "" where no reason was given
	Rules []*Rule
}

// Add switches off a rule or a family by its name. A name that nothing has is
// an error, since it would otherwise look like a decision taken.
func (o *Off) Add(name, where, why string) error {
	e := OffEntry{Name: name, Where: where, Why: why}
	if r := RuleNamed(name); r != nil {
		e.Rules = []*Rule{r}
	}
	for _, f := range Families() {
		if f.Name == name {
			e.Rules = f.Rules
		}
	}
	if e.Rules == nil {
		return fmt.Errorf("%s: there is no rule and no family %q; \"saywatt rules\" lists them", where, name)
	}
	if !slices.ContainsFunc(o.Entries, func(x OffEntry) bool { return x.Name == name }) {
		o.Entries = append(o.Entries, e)
	}
	return nil
}

// AddSettings reads a settings file. A line switches one rule or family off and
// may give the reason:
//
//	# what follows a number sign is a comment
//	off level-trend  our labels list powers as they fall
//	off measurements
//
// Errors name file and line.
func (o *Off) AddSettings(name string, text []byte) error {
	line := 0
	for raw := range strings.Lines(strings.TrimPrefix(string(text), "\ufeff")) {
		line++
		words := strings.Fields(raw)
		if len(words) == 0 || strings.HasPrefix(words[0], "#") {
			continue
		}
		where := fmt.Sprintf("%s:%d", name, line)
		if words[0] != "off" || len(words) < 2 {
			return fmt.Errorf("%s: %.40q: want a line \"off NAME\", and perhaps the reason behind it", where,
				strings.TrimSpace(raw))
		}
		if err := o.Add(words[1], where, strings.Join(words[2:], " ")); err != nil {
			return err
		}
	}
	return nil
}

// Rules is the suite without what was switched off.
func (o *Off) Rules() []*Rule {
	if len(o.Entries) == 0 {
		return Rules()
	}
	return slices.DeleteFunc(Rules(), func(r *Rule) bool {
		return slices.ContainsFunc(o.Entries, func(e OffEntry) bool { return slices.Contains(e.Rules, r) })
	})
}

// FamilyOf is the name of the family of a rule, "record" for what is said of the
// form of a record, "" for a name that no rule has.
func FamilyOf(rule string) string {
	if rule == form.Rule || rule == form.SenseRule {
		return "record"
	}
	for _, f := range Families() {
		for _, r := range f.Rules {
			if r.Name == rule {
				return f.Name
			}
		}
	}
	return ""
}

// Search leaves the rules that hold every word in their name, family,
// description, source or places, whatever the case; families that then are
// empty are left out.
func Search(families []Family, words []string) []Family {
	var found []Family
	for _, f := range families {
		kept := Family{Title: f.Title, Name: f.Name}
		for _, r := range f.Rules {
			text := strings.ToLower(strings.Join([]string{f.Name, f.Title, r.Name, r.Doc, r.Detail, r.Source,
				strings.Join(r.Relates, " ")}, " "))
			if !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(text, strings.ToLower(w)) }) {
				kept.Rules = append(kept.Rules, r)
			}
		}
		if len(kept.Rules) > 0 {
			found = append(found, kept)
		}
	}
	return found
}
