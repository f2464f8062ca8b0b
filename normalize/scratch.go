package normalize

import (
	"sync"

	"saywatt/internal/assemble"
	"saywatt/normalize/channel"
	"saywatt/normalize/infer"
	"saywatt/normalize/prior"
	"saywatt/schema"
)

// scratch is the part of an engine that the next one takes over: memory, to be
// written anew, and what was worked out of tables and words alone. It is one
// engine's at a time; the table of roles keeps it between documents.
type scratch struct {
	contexts map[contextKey]*contextRoles // what contexts call for
	sources  map[string]string            // sources of rules as people read them

	decoder    channel.Decoder
	options    []unitOption
	nodes      []node
	cands      []candidate
	views      []nodeView // of the nodes
	facts      []fact
	ruleFacts  []ruleFact
	quantities []schema.Quantity // by candidate, made when asked for
	said       []schema.Said     // of the provisional record
	placed     []assemble.Placed // and where they are
	nodeOf     []int32           // and of which nodes
	weighed    []int32           // readings of each node that joint evidence looks at
	bases      []schema.Quantity // of the cases of rules
	graph      infer.Graph       // of the nodes, tied by facts and cases
	proved     infer.Graph       // facts of nodes with one reading each, for the reasons
}

// roleTable is what is usual, with the memory that engines leave.
type roleTable struct {
	*prior.Table
	spare sync.Pool // of *scratch
}

var loadRoles = sync.OnceValue(func() *roleTable { return &roleTable{Table: prior.Usual()} })

// Bounds of what is kept: a review has some thousand readings and some hundred
// words.
const (
	keptReadings = 1 << 14
	keptWords    = 1 << 14
)

// borrow takes what another engine left, or makes it.
func (e *engine) borrow() {
	if s, ok := e.roles.spare.Get().(*scratch); ok {
		e.scratch = *s
	}
	if e.contexts == nil || len(e.contexts) > keptWords {
		e.contexts = map[contextKey]*contextRoles{}
	}
	if e.sources == nil || len(e.sources) > keptWords {
		e.sources = map[string]string{}
	}
}

// giveBack leaves the memory to the next engine, without what it points to. The
// engine is not used again.
func (e *engine) giveBack() {
	s := e.scratch
	e.scratch = scratch{}
	if cap(s.cands) > keptReadings {
		return
	}
	s.decoder.Reset(nil, nil)
	clear(s.ruleFacts)
	clear(s.said)
	clear(s.placed)
	clear(s.views)
	s.nodes, s.cands, s.views, s.quantities = s.nodes[:0], s.cands[:0], s.views[:0], s.quantities[:0]
	s.facts, s.ruleFacts = s.facts[:0], s.ruleFacts[:0]
	s.said, s.placed, s.nodeOf = s.said[:0], s.placed[:0], s.nodeOf[:0]
	s.weighed, s.bases = s.weighed[:0], s.bases[:0]
	s.graph.Reset(nil)
	s.proved.Reset(nil)
	e.roles.spare.Put(&s)
}

// empty returns a with room for n values and none in it.
func empty[T any](a []T, n int) []T {
	if cap(a) < n {
		return make([]T, 0, n)
	}
	return a[:0]
}
