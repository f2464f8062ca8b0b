package extract

import (
	"slices"

	"saywatt/extract/name"
	"saywatt/extract/place"
)

// workroom is memory that finding writes anew for every text. It is one
// goroutine's alone; the lexicon keeps it between texts.
type workroom struct {
	items    []name.Item // what package name is shown
	spans    [][2]int32
	mentions []Mention // as they were found, before the survey

	rows         []int32 // what the chain of places is asked
	observations []place.Observation
	asked        []int32

	tokens []Token // of a document that is done with
	found  []Mention
}

// maxRoom bounds the items, mentions and tokens that a room is kept with.
const maxRoom = 1 << 14

// maxRows bounds the rows of features that a room is kept with.
const maxRows = 1 << 20

// borrowRoom takes a room, or makes one.
func (x *Lexicon) borrowRoom() *workroom {
	if r, ok := x.rooms.Get().(*workroom); ok {
		return r
	}
	return &workroom{}
}

// keepRoom keeps the room for the next text, without what it points to, unless
// it has grown too large.
func (x *Lexicon) keepRoom(r *workroom) {
	if cap(r.items) > maxRoom || cap(r.mentions) > maxRoom {
		return
	}
	if cap(r.rows) > maxRows {
		r.rows = nil
	}
	clear(r.items)
	clear(r.mentions)
	clear(r.observations)
	x.rooms.Put(r)
}

// take returns the memory for the tokens and mentions of a document, so many of
// them at first.
func (r *workroom) take(tokens, mentions int) ([]Token, []Mention) {
	t, m := slices.Grow(r.tokens[:0], tokens), slices.Grow(r.found[:0], mentions)
	r.tokens, r.found = nil, nil
	return t, m
}

// Release gives the memory of the document to the next one. Neither the document
// nor its tokens and mentions may be used any more.
func (d *Document) Release() {
	if d.Lexicon != nil && cap(d.Tokens) <= maxRoom && cap(d.Mentions) <= maxRoom {
		r := d.Lexicon.borrowRoom()
		clear(d.Mentions)
		r.tokens, r.found = d.Tokens[:0], d.Mentions[:0]
		d.Lexicon.keepRoom(r)
	}
	*d = Document{}
}
