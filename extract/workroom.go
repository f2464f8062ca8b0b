package extract

import "saywatt/extract/name"

// workroom is memory that finding writes anew for every text. It is one
// goroutine's alone; the lexicon keeps it between texts.
type workroom struct {
	items    []name.Item // what package name is shown
	spans    [][2]int32
	mentions []Mention // as they were found, before the survey
}

// maxRoom bounds the items and mentions that a room is kept with.
const maxRoom = 1 << 14

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
	clear(r.items)
	clear(r.mentions)
	x.rooms.Put(r)
}
