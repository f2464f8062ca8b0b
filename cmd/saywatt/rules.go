package main

import (
	"fmt"
	"slices"
	"strings"

	"saywatt/internal/export/report"
	"saywatt/validate"
)

// reportFormat is the form of what the commands on rules print.
type reportFormat struct {
	formFlag
	Format string `short:"f" enum:"text,json" default:"text" help:"Form of the output: text or json."`
	ASCII  bool   `name:"ascii" help:"Nothing beyond ASCII in text."`
}

// reportHelp describes these flags, for the help of commands that have them.
const reportHelp = `  -f, --format F     text (default) or json
` + jsonHelp + `      --ascii        nothing beyond ASCII in text; so too where the locale is
                     not UTF-8
`

func (o *reportFormat) json() bool { return o.JSON || o.Format == "json" }

func (o *reportFormat) sheet(e *env) report.Text {
	return report.Text{Width: min(e.width, widestSheet), ASCII: o.ASCII || !e.unicode(), Color: e.color()}
}

type rulesCmd struct {
	reportFormat
	Family []string `placeholder:"NAME" help:"Only the rules of this family."`
	Search []string `short:"s" placeholder:"WORD" help:"Only the rules that hold this word."`
	Name   []string `arg:"" optional:"" help:"Rules to explain."`
}

func (rulesCmd) Help() string {
	return `Usage: saywatt rules [FLAG ...] [NAME ...]

Lists the rules by which records are checked, family by family, each with its
source and how far that was verified. With NAME, explains a rule and works
through the cases that its tests run.

Flags:
` + reportHelp + `      --family NAME  only the rules of this family; several are allowed
  -s, --search WORD  only the rules that hold this word in their name,
                     description, source or places; with several, all of them

"saywatt check --off NAME" switches a rule or a family off.

Example:
  saywatt rules --search e-marker
`
}

func (c *rulesCmd) Run(e *env) error {
	families, err := pickFamilies(validate.Families(), c.Family)
	if err != nil {
		return &usageError{err, "saywatt rules"}
	}
	if len(c.Search) > 0 {
		if families = validate.Search(families, c.Search); families == nil {
			return &usageError{fmt.Errorf("no rule holds %s", strings.Join(c.Search, " and ")), "saywatt rules"}
		}
	}
	if len(c.Name) > 0 {
		if families, err = pickRules(families, c.Name); err != nil {
			return &usageError{err, "saywatt rules"}
		}
	}
	switch {
	case c.json():
		return report.WriteRulesJSON(e.stdout, families)
	case len(c.Name) == 0:
		return c.sheet(e).WriteRules(e.stdout, families)
	}
	first := true
	for _, f := range families {
		for _, r := range f.Rules {
			if !first {
				fmt.Fprintln(e.stdout)
			}
			first = false
			if err := c.sheet(e).WriteRule(e.stdout, r); err != nil {
				return err
			}
		}
	}
	return nil
}

// pickRules leaves the named rules, in the order of the names.
func pickRules(families []validate.Family, names []string) ([]validate.Family, error) {
	var picked []validate.Family
	for _, name := range names {
		r := validate.RuleNamed(name)
		if r == nil {
			return nil, fmt.Errorf("there is no rule %q%s; \"saywatt rules\" lists them", name,
				didYouMean(name, ruleNames()))
		}
		for _, f := range families {
			for _, x := range f.Rules {
				if x == r {
					picked = append(picked, validate.Family{Name: f.Name, Title: f.Title, Rules: []*validate.Rule{r}})
				}
			}
		}
	}
	return picked, nil
}

func ruleNames() []string {
	var names []string
	for _, r := range validate.Rules() {
		names = append(names, r.Name)
	}
	return names
}

// pickFamilies leaves the families of these names, all where there are none.
func pickFamilies(families []validate.Family, names []string) ([]validate.Family, error) {
	if len(names) == 0 {
		return families, nil
	}
	var known []string
	for _, f := range families {
		known = append(known, f.Name)
	}
	for _, n := range names {
		if !slices.Contains(known, n) {
			return nil, fmt.Errorf("there is no family %q%s; there are %s", n, didYouMean(n, known),
				strings.Join(known, ", "))
		}
	}
	return slices.DeleteFunc(families, func(f validate.Family) bool { return !slices.Contains(names, f.Name) }), nil
}

func familyNames() []string {
	var names []string
	for _, f := range validate.Families() {
		names = append(names, f.Name)
	}
	return names
}
