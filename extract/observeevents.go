package extract

import (
	"strconv"
	"strings"
)

// eventTable names what cue phrases do, for the features of places.
type eventTable struct {
	names []string
	kinds []eventKind // of each name
	of    [][]int32   // names of what each cue phrase does
	code  int32       // the name of a part number

	stages []int32 // the names that open a part of a review
}

// eventKind says what an event changes.
type eventKind uint8

const (
	eventTopic eventKind = 1 << iota // what is spoken of
	eventWay                         // which way the power goes
	eventPort                        // a port is named
	eventStage                       // a part of a review opens: the test, the teardown
)

// codeEvent is the name of a word that looks like a part number.
const codeEvent = "code"

// listEvents makes the table of the events of cue phrases.
func (c *cueTable) listEvents() {
	t := &c.events
	byName := map[string]int32{}
	number := func(name string) int32 {
		n, ok := byName[name]
		if !ok {
			n = int32(len(t.names))
			byName[name] = n
			t.names, t.kinds = append(t.names, name), append(t.kinds, kindOfEvent(name))
			if t.kinds[n]&eventStage != 0 {
				t.stages = append(t.stages, n)
			}
		}
		return n
	}
	t.code = number(codeEvent)
	for _, effects := range c.cues {
		var of []int32
		for _, name := range c.eventNames(effects) {
			of = append(of, number(name))
		}
		t.of = append(t.of, of)
	}
}

func kindOfEvent(name string) (k eventKind) {
	if isTopic(name) {
		k |= eventTopic
	}
	switch {
	case name == "port":
		k |= eventPort
	case strings.HasPrefix(name, "sec="), strings.HasPrefix(name, "ent="):
		k |= eventStage
	case strings.HasPrefix(name, "mode="), name == "shared", name == "single":
		k |= eventWay
	}
	return k
}

// isTopic reports whether an event changes what is spoken of.
func isTopic(name string) bool {
	return len(name) > 4 && (name[:4] == "sec=" || name[:4] == "ent=" || name[:5] == "mode=" || name[:5] == "part=")
}

// meet goes on to event k, which stands before the mention.
func (o *observer) meet(k int32) {
	e := &o.events[k]
	if o.newest != e.name {
		o.renew(e.name)
	}
	o.last[e.name] = k + 1
	kind := o.x.cue.events.kinds[e.name]
	if kind&eventTopic != 0 {
		o.topics = append(o.topics, k)
	}
	if kind&(eventWay|eventPort) != 0 {
		turned := int32(-1)
		switch {
		case kind&eventWay != 0:
			turned = k
		case len(o.turned) > 0:
			turned = o.turned[len(o.turned)-1]
		}
		o.ways, o.turned = append(o.ways, k), append(o.turned, turned)
	}
}

// renew makes a name of an event that of the one said last.
func (o *observer) renew(name int32) {
	if o.last[name] > 0 {
		older, newer := o.older[name], o.newer[name]
		o.older[newer] = older // it is not the newest, so there is one
		if older >= 0 {
			o.newer[older] = newer
		}
	}
	if o.newest >= 0 {
		o.newer[o.newest] = name
	}
	o.older[name], o.newest = o.newest, name
}

// The features of an event, those of the distances of fades first, and those of
// an event with the kind of quantity.
const (
	eventSaid     = len(fades) + iota // "es:", in the same sentence
	eventBehind                       // "eb:"
	eventFeatures                     // "eDISTANCE:" are those before
)

const (
	eventKindRecent = iota // "ek:"
	eventKindBehind        // "ebk:"
	eventKindWay           // "way:"
	eventKindTopic         // "top1:" and more
	eventKindFar    = eventKindTopic + mostTopics
	// "wayDISTANCE:", one for each of fades
	eventKindUnmet    = eventKindFar + len(fades) // "unmet:"
	eventKindFeatures = eventKindUnmet + 1
)

// mostTopics is how many of the last events that change what is spoken of have a
// number as features: how many count is a row of windows.tsv.
const mostTopics = 8

// eventPrefix is the begin of the name of a feature of an event.
func eventPrefix(f int) string {
	switch f {
	case eventSaid:
		return "es:"
	case eventBehind:
		return "eb:"
	}
	return "e" + fades[f].name + ":"
}

// eventKindPrefix is the begin of the name of a feature of an event with the
// kind of quantity.
func eventKindPrefix(f int) string {
	switch {
	case f == eventKindRecent:
		return "ek:"
	case f == eventKindBehind:
		return "ebk:"
	case f == eventKindWay:
		return "way:"
	case f < eventKindFar:
		return "top" + strconv.Itoa(f-eventKindTopic+1) + ":"
	case f == eventKindUnmet:
		return "unmet:"
	}
	return "way" + fades[f-eventKindFar].name + ":"
}

func (o *observer) putEvent(f int, name int32) {
	if o.Name != nil {
		o.Put(eventPrefix(f), o.x.cue.events.names[name])
		return
	}
	row := o.memo.event(name, f)
	if *row == 0 {
		*row = 2 + o.Row(eventPrefix(f), o.x.cue.events.names[name])
	}
	o.add(*row)
}

func (o *observer) putEventKind(f int, name int32, kind string, no int32) {
	if o.Name != nil {
		o.Put(eventKindPrefix(f), o.x.cue.events.names[name], " ", kind)
		return
	}
	row := o.memo.eventKind(name, no, f)
	if *row == 0 {
		*row = 2 + o.Row(eventKindPrefix(f), o.x.cue.events.names[name], " ", kind)
	}
	o.add(*row)
}

// eventsAround adds what was said before the mention, by how long ago, and
// right behind it. Events before seen stand before it, and were met.
func (o *observer) eventsAround(m *Mention, kind string, no int32, seen int) {
	here := o.telling[m.First]
	for name := o.newest; name >= 0; name = o.older[name] {
		e := &o.events[o.last[name]-1]
		far := here - o.telling[e.token]
		if far > o.x.window.eventsFade {
			break
		}
		o.putEvent(fadeOf(far), e.name)
		if far <= o.x.window.recent {
			o.putEventKind(eventKindRecent, e.name, kind, no)
		}
		if o.breath[e.token] == o.breath[m.First] && far <= o.x.window.sentenceWords {
			o.putEvent(eventSaid, e.name)
		}
	}
	o.direction(kind, no, here)
	for k := range min(int(o.x.window.topics), mostTopics, len(o.topics)) {
		o.putEventKind(eventKindTopic+k, o.events[o.topics[len(o.topics)-1-k]].name, kind, no)
	}
	for _, name := range o.x.cue.events.stages {
		if o.last[name] == 0 { // nothing was said of a test yet
			o.putEventKind(eventKindUnmet, name, kind, no)
		}
	}
	for k := seen; k < len(o.events); k++ {
		e := &o.events[k]
		if e.token < m.Last {
			continue
		}
		if o.words[e.token]-o.words[min(int(m.Last), len(o.tokens))] > o.x.window.eventsBehind ||
			o.breath[e.token] != o.breath[m.First] {
			break
		}
		o.putEvent(eventBehind, e.name)
		o.putEventKind(eventKindBehind, e.name, kind, no)
	}
}

// direction adds which way the power went when the speaker last said so, and how
// long ago.
func (o *observer) direction(kind string, no, here int32) {
	for k := len(o.ways) - 1; k >= 0; k-- {
		e := &o.events[o.ways[k]]
		far := here - o.telling[e.token]
		if far > o.x.window.eventsFade {
			if t := o.turned[k]; t >= 0 {
				o.putEventKind(eventKindWay, o.events[t].name, kind, no)
			}
			return
		}
		o.putEventKind(eventKindFar+fadeOf(far), e.name, kind, no)
		if o.turned[k] == o.ways[k] {
			o.putEventKind(eventKindWay, e.name, kind, no)
			return
		}
	}
}

// fadeOf is the number of a distance in words among fades, the last for any beyond it.
func fadeOf(words int32) int {
	for i := range fades {
		if int(words) <= fades[i].words {
			return i
		}
	}
	return len(fades) - 1
}

// eventNames names what a cue phrase does, for the features.
func (c *cueTable) eventNames(effects []effect) []string {
	var out []string
	for _, e := range effects {
		name := ""
		switch e.kind {
		case effectSection:
			name = "sec=" + Section(e.n).String()
		case effectEnter:
			name = "ent=" + Section(e.n).String()
		case effectMode:
			name = "mode=" + e.value
		case effectSubject:
			name = "subject=" + c.kinds[e.n].name
		case effectPort:
			name = "port"
		case effectProtocol:
			name = "protocol=" + c.protocols[e.n].protocol
		case effectPackage:
			if c.packages[e.n].manner == MannerHeard {
				continue // most are words that mean something else: "so", "sort"
			}
			name = "package"
		case effectPart:
			name = "part=" + familyOf(c.kinds[c.parts[e.n].kind].name)
		case effectBefore:
			name = "prop=" + c.properties[e.n].name
		case effectAfter:
			name = "behind=" + c.properties[e.n].name
		case effectShared:
			name = "shared"
		case effectProduct:
			name = "product=" + e.value
		default:
			name = effectNames[e.kind]
		}
		out = append(out, name)
	}
	return out
}
