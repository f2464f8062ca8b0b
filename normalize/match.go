package normalize

import (
	"saywatt/extract"
	"saywatt/schema"
)

type contextKey struct {
	section           extract.Section
	subject, property string
	named             bool
}

// roleMatch is a role that fits, with its weight in the mixture.
type roleMatch struct {
	role   int16
	weight float64
	level  matchLevel
}

// roleMatches are the roles that fit a kind of quantity in a context best,
// heaviest first; n may be 0.
type roleMatches struct {
	m [4]roleMatch
	n int
}

// matchLevel says what tied a role to the context.
type matchLevel uint8

const (
	matchAny matchLevel = iota
	matchSection
	matchSubject
	matchProperty
)

// contextRoles are what a context calls for, worked out when asked for.
type contextRoles struct {
	byKind [schema.KindOther + 1]*roleMatches
	called []calledUnit
	listed bool // called was made
}

// context returns what the context of a mention calls for.
func (e *engine) context(m *extract.Mention) *contextRoles {
	if m == e.contextOf {
		return e.contextIs
	}
	key := contextKey{m.Context.Section, e.subject(m), m.Context.Property, m.Context.Named}
	c := e.contexts[key]
	if c == nil {
		c = new(contextRoles)
		e.contexts[key] = c
	}
	e.contextOf, e.contextIs = m, c
	return c
}

// rolesFor returns the roles that fit a kind of quantity best in a context.
// A value's prior is their mixture: a voltage on the input side may be that
// of the mains or of a charging level.
func (e *engine) rolesFor(m *extract.Mention, kind schema.Kind) *roleMatches {
	c := e.context(m)
	if r := c.byKind[kind]; r != nil {
		return r
	}
	r := new(roleMatches)
	c.byKind[kind] = r
	subject := e.subject(m)
	own := e.hasOwn(kind, &m.Context, subject)
	for _, i := range e.roles.byKind[kind] {
		o := &e.roles.roles[i]
		w := o.match(&m.Context, subject, &e.weights)
		if w == 0 && o.subject == anyPart && !own {
			w = o.match(&m.Context, anyPart, &e.weights)
		}
		if w == 0 {
			continue
		}
		k := r.n
		for k > 0 && r.m[k-1].weight < w {
			k--
		}
		if k == len(r.m) {
			continue
		}
		r.n = min(r.n+1, len(r.m))
		copy(r.m[k+1:r.n], r.m[k:r.n-1])
		r.m[k] = roleMatch{i, w, o.level()}
	}
	if m.Context.Named && r.n > 0 && r.m[0].level == matchProperty && e.doc.Lexicon.Measured(m.Context.Property) {
		for k := 1; k < r.n; k++ { // "no load, it draws": hardly the power of a load
			if r.m[k].level < matchProperty {
				r.m[k].weight *= e.weights.RoleNamed
			}
		}
	}
	return r
}

// anyPart is the subject of roles that ratings of every kind of part can have.
const anyPart = "part"

// hasOwn reports whether a role is for a quantity of the kind of this subject,
// or it is no part.
func (e *engine) hasOwn(kind schema.Kind, c *extract.Context, subject string) bool {
	switch subject {
	case "", "cell", "pack", "rated", "cable", "body":
		return true
	}
	for _, i := range e.roles.byKind[kind] {
		if o := &e.roles.roles[i]; o.subject == subject && o.match(c, subject, &e.weights) > 0 {
			return true
		}
	}
	return false
}

// roleFor returns the best of rolesFor, role -1 where none fits.
func (e *engine) roleFor(m *extract.Mention, kind schema.Kind) roleMatch {
	if r := e.rolesFor(m, kind); r.n > 0 {
		return r.m[0]
	}
	return roleMatch{role: -1, weight: e.weights.RoleAny / 10}
}
