package query

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"saywatt/internal/export/word"
	"saywatt/schema"
)

// Subject reads a subject as conditions have it. Of a property that can be
// of several kinds the first is meant; what is counted without a unit has no
// kind. note says that no review has such a part.
func (q Parser) Subject(subject string) (path string, kind schema.Kind, note string, err error) {
	p := &parser{Parser: q, lexer: lexer{text: subject}, Vocabulary: Known()}
	group, prop, missing := p.subject()
	if missing {
		note = noSuchPart(group)
	}
	p.spaces()
	if p.at < len(subject) || prop == "" {
		var names []string
		for name := range p.Properties {
			names = append(names, name)
		}
		slices.Sort(names)
		msg := "a property is missing here"
		if rest := strings.TrimSpace(subject[p.at:]); rest != "" {
			const shown = 60
			msg = fmt.Sprintf("%q is no property", word.Clip(rest, shown))
		}
		hint := cmp.Or(suggest(subject[p.at:], names), "there are "+strings.Join(names, ", "))
		return "", 0, "", &Error{Query: subject, Span: schema.Span{Start: p.at, End: len(subject)}, Msg: msg,
			Hint: hint}
	}
	property := p.Properties[prop]
	if path = property.Path; !property.number {
		if kind, err = schema.ParseKind(property.kinds[0]); err != nil {
			return "", 0, "", err
		}
		path = PropertyPath(path, kind.String())
	}
	switch g, ok := p.groups[group]; {
	case ok:
		path = g + "." + path
	case group != "":
		path = group + "." + path
	}
	return path, kind, note, nil
}
