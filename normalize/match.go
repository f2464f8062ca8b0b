package normalize

import (
	"saywatt/extract"
	"saywatt/normalize/prior"
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
	tie    prior.Tie
	place  int8 // which of the mention's places it is for
}

// roleMatches are the roles that fit a kind of quantity in a context best,
// heaviest first; n may be 0.
type roleMatches struct {
	m [8]roleMatch
	n int
}

// roleMost bounds the roles of one context.
const roleMost = 4

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
	e.contextOf, e.contextIs = m, e.rolesOf(&m.Context)
	return e.contextIs
}

// rolesOf returns what a context calls for.
func (e *engine) rolesOf(c *extract.Context) *contextRoles {
	key := contextKey{c.Section, e.subjectOf(c), c.Property, c.Named}
	r := e.contexts[key]
	if r == nil {
		r = new(contextRoles)
		e.contexts[key] = r
	}
	return r
}

// rolesFor returns the roles that fit a kind of quantity best at a mention. A
// value's prior is their mixture: a voltage on the input side may be that of the
// mains or of a charging level. Where the place itself is in doubt, each place
// takes part with its probability.
func (e *engine) rolesFor(m *extract.Mention, kind schema.Kind) *roleMatches {
	if len(m.Places) < 2 {
		return e.rolesIn(&m.Context, kind)
	}
	mix := &e.mixture
	mix.n = 0
	for i := range m.Places {
		p := &m.Places[i]
		for _, r := range e.rolesIn(&p.Context, kind).all() {
			r.weight *= p.P
			r.place = int8(i)
			mix.add(r)
		}
	}
	return mix
}

// all returns the matches.
func (r *roleMatches) all() []roleMatch { return r.m[:r.n] }

// add enters a match at its place by weight; the lightest of too many goes.
func (r *roleMatches) add(x roleMatch) {
	k := r.n
	for k > 0 && r.m[k-1].weight < x.weight {
		k--
	}
	if k == len(r.m) {
		return
	}
	r.n = min(r.n+1, len(r.m))
	copy(r.m[k+1:r.n], r.m[k:r.n-1])
	r.m[k] = x
}

// rolesIn returns the roles that fit a kind of quantity best in a context.
func (e *engine) rolesIn(at *extract.Context, kind schema.Kind) *roleMatches {
	c := e.rolesOf(at)
	if r := c.byKind[kind]; r != nil {
		return r
	}
	r := new(roleMatches)
	c.byKind[kind] = r
	subject := e.subjectOf(at)
	own := e.hasOwn(kind, at, subject)
	for _, i := range e.roles.ByKind(kind) {
		o := &e.roles.Roles[i]
		w := e.matchWeight(o, at, subject)
		if w == 0 && o.Subject == prior.AnyPart && !own {
			w = e.matchWeight(o, at, prior.AnyPart)
		}
		if w > 0 && r.n < roleMost {
			r.add(roleMatch{role: i, weight: w, tie: o.Tie()})
		} else if w > r.m[roleMost-1].weight {
			r.n--
			r.add(roleMatch{role: i, weight: w, tie: o.Tie()})
		}
	}
	if at.Named && r.n > 0 && r.m[0].tie == prior.TieProperty && e.doc.Lexicon.Measured(at.Property) {
		for k := 1; k < r.n; k++ { // "no load, it draws": hardly the power of a load
			if r.m[k].tie < prior.TieProperty {
				r.m[k].weight *= e.weights.RoleNamed
			}
		}
	}
	return r
}

// matchWeight is how well a role fits a context, 0 where it does not belong there.
func (e *engine) matchWeight(o *prior.Role, c *extract.Context, subject string) float64 {
	if !o.Fits(c, subject) {
		return 0
	}
	switch o.Tie() {
	case prior.TieProperty:
		return e.weights.RoleProperty * o.Weight
	case prior.TieSubject:
		return e.weights.RoleSubject * o.Weight
	case prior.TieSection:
		return e.weights.RoleSection * o.Weight
	}
	return e.weights.RoleAny * o.Weight
}

// hasOwn reports whether a role is for a quantity of the kind of this subject,
// or it is no part.
func (e *engine) hasOwn(kind schema.Kind, c *extract.Context, subject string) bool {
	switch subject {
	case "", "cell", "pack", "rated", "cable", "body":
		return true
	}
	for _, i := range e.roles.ByKind(kind) {
		if o := &e.roles.Roles[i]; o.Subject == subject && o.Fits(c, subject) {
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
