package normalize

import (
	"slices"
	"sync"

	"saywatt/extract"
	"saywatt/normalize/channel"
	"saywatt/schema"
)

// Kept is what reading a document leaves for reading it again with other answers.
// The zero value keeps nothing yet. It may be used by several goroutines: one at a
// time has what is kept, the others do without.
type Kept struct {
	mu    sync.Mutex
	store *store
}

// store is what is kept of a document: what hangs on its words, and on no answer.
type store struct {
	builds []built // the last used first
	spoken map[[2]int32]spokenAt
	around map[[2]int32]string
}

// built are nodes with their candidates, before anything is inferred. They hang on
// how answers cut numbers side by side.
type built struct {
	learned *channel.Learned
	cuts    []int32 // as asked names them
	nodes   []node
	cands   []candidate
	byRole  [][]saidValue
	own     []int32
	ownRole []int16
	turn    schema.Kind
	atTurn  bool
}

// spokenAt are the words of a stretch of tokens, and where they stand in the source.
type spokenAt struct {
	words string
	spans []schema.Span
}

// keptBuilds is how many builds are kept: that of the answers as they are, and that
// without the one that is looked at.
const keptBuilds = 2

// take lends what is kept, nil where another has it or nothing is to be kept.
func (k *Kept) take(r *Ranker) *store {
	if k == nil || r.Traits != nil || r.Without != 0 {
		return nil
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	s := k.store
	k.store = nil
	if s == nil {
		s = &store{spoken: map[[2]int32]spokenAt{}, around: map[[2]int32]string{}}
	}
	return s
}

// giveBack keeps what was lent.
func (k *Kept) giveBack(s *store) {
	if k == nil || s == nil {
		return
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	k.store = s
}

// asked lists the mentions that may be one number with the one before, where an
// answer says whether they are: whole below zero, apart above.
func (e *engine) asked() []int32 {
	var list []int32
	for i := int32(1); int(i) < len(e.cuts); i++ {
		switch e.cuts.between(i-1, i) {
		case cutTogether:
			list = append(list, -i)
		case cutApart:
			if e.mergeable(i-1, i) {
				list = append(list, i)
			}
		}
	}
	return list
}

// buildAgain is build, with what is kept of the time before.
func (e *engine) buildAgain(learned *channel.Learned) {
	if e.store == nil {
		e.build()
		return
	}
	asked := e.asked()
	i := slices.IndexFunc(e.store.builds, func(b built) bool {
		return b.learned == learned && slices.Equal(b.cuts, asked)
	})
	var b built
	if i >= 0 {
		b = e.store.builds[i]
		e.store.builds = slices.Delete(e.store.builds, i, i+1)
		e.nodes, e.cands = append(e.nodes[:0], b.nodes...), append(e.cands[:0], b.cands...)
		e.byRole, e.own, e.ownRole, e.turn, e.atTurn = b.byRole, b.own, b.ownRole, b.turn, b.atTurn
	} else {
		e.build()
		b = built{learned: learned, cuts: asked, nodes: slices.Clone(e.nodes), cands: slices.Clone(e.cands),
			byRole: e.byRole, own: e.own, ownRole: e.ownRole, turn: e.turn, atTurn: e.atTurn}
	}
	e.store.builds = slices.Insert(e.store.builds, 0, b)
	e.store.builds = e.store.builds[:min(len(e.store.builds), keptBuilds)]
}

// spoken returns the words of tokens [first, last) and where they stand in the
// source. The spans are shared.
func (e *engine) spoken(first, last int32) spokenAt {
	key := [2]int32{first, last}
	if e.store != nil {
		if s, ok := e.store.spoken[key]; ok {
			return s
		}
	}
	s := spokenAt{words: e.doc.Words(first, last), spans: e.spansOf(first, last)}
	if e.store != nil {
		e.store.spoken[key] = s
	}
	return s
}

// spansOf is where tokens [first, last) stand in the source.
func (e *engine) spansOf(first, last int32) []schema.Span {
	t := e.doc.Tokens
	return e.doc.Transcript.SourceSpans(schema.Span{Start: int(t[first].Start), End: int(t[last-1].End)})
}

// around returns the words on both sides, for a person to know the place.
func (e *engine) around(first, last int32) string {
	const words = 7
	t := e.doc.Tokens
	from, to := first, last
	for n := 0; from > 0 && n < words; from-- {
		if t[from-1].Kind == extract.TokenPara {
			break
		}
		if t[from-1].Kind != extract.TokenBreak {
			n++
		}
	}
	for n := 0; int(to) < len(t) && n < words; to++ {
		if t[to].Kind == extract.TokenPara {
			break
		}
		if t[to].Kind != extract.TokenBreak {
			n++
		}
	}
	key := [2]int32{from, to}
	if e.store == nil {
		return e.doc.Words(from, to)
	}
	s, ok := e.store.around[key]
	if !ok {
		s = e.doc.Words(from, to)
		e.store.around[key] = s
	}
	return s
}
