package extract

import (
	"slices"

	"saywatt/extract/place"
	"saywatt/schema"
)

// places says for every mention what it may belong to, and finds the parts,
// ports and product spoken of. A plan of the whole document (plan.go) says first
// which section each stretch of words is of. Then one pass goes over the tokens,
// with a state (placer) that the plan and phrases of the cue tables change and
// whose picture the mentions take:
//
//   - direction, port and protocol (port.go) last inside the sections that
//     speak of them; a protocol only for the levels it is said with;
//   - what is said of parts, nouns, part numbers, packages, makers, counts and
//     ratings (teardown.go, code.go, package.go, maker.go), is noted as it
//     passes and grouped into parts when all is known (parts.go);
//   - the property of a number (property.go) is the property word before it
//     in its clause or right behind it, else what its part or section gives.
func (p *parser) places(d *Document, model *place.Model) {
	d.condition()
	if p.room == nil {
		p.room = &workroom{}
	}
	p.room.mentions = append(p.room.mentions[:0], d.Mentions...)
	p.names = p.findNames(d)
	p.survey(d)
	p.names.next = 0
	plan := planOf(d, model, p.room)
	copy(d.Mentions, p.room.mentions)
	*d = Document{Transcript: d.Transcript, Lexicon: d.Lexicon, Tokens: d.Tokens, Mentions: d.Mentions,
		ByEar: d.ByEar, telling: d.telling, conditions: d.conditions, namings: d.namings,
		likelyKinds: d.likelyKinds, Product: schema.Product{Kind: d.Product.Kind}}
	s := p.placer(d)
	s.plan = plan
	s.walk()
	d.condition()
	s.apply()
	s.parts()
	s.tellParts()
	s.finish()
	d.SettleNames()
	d.choosePorts(plan)
}

// survey goes over the document once without a plan: the names of ports and
// parts take the numbers that belong to them.
func (p *parser) survey(d *Document) {
	if p.names == nil {
		p.names = p.findNames(d)
	}
	s := p.placer(d)
	s.plan = &plan{}
	s.walk()
	s.finish()
}

func (p *parser) placer(d *Document) *placer {
	s := &placer{parser: p, d: d, c: &p.x.cue, region: -1}
	s.last, s.prop, s.propAlt, s.subject, s.kind, s.battery = -1, -1, -1, -1, -1, -1
	for i := range s.special {
		s.special[i] = -1
	}
	for i := range d.Mentions {
		d.Mentions[i].Context.Subject = -1 // of one that the walk steps over, too
	}
	s.section = SectionProduct
	return s
}

// placer is the state of the pass.
type placer struct {
	*parser
	d *Document
	c *cueTable

	plan   *plan // nil in the survey
	region int   // of the plan
	cased  bool  // the captions have capitals

	walkState
	portState
	protocolState
	spotState
	propertyState
	partState
}

// walkState is how far the pass has come, and in what it is.
type walkState struct {
	next     int   // first mention not yet met
	nextCode int   // first known part number not yet met
	last     int32 // mention before

	dropped              []int32 // mentions that a new reading of the one before covers
	coveredFrom, covered int     // the latest of them

	section Section
	seenAt  int    // sightings when the section was entered
	clause  int32  // number of the clause group
	start   int    // first token of the sentence
	cueEnd  int    // token behind the last cue
	product string // the product's own mode

	denialEnd int // token behind the name denied last
}

// portState is the port spoken of, and those spoken of before.
type portState struct {
	direction  string // "input", "output" or ""
	acInput    bool   // the input spoken of is the mains
	shared     bool   // ports in use together
	sharedAt   int32  // clause that said so
	port       string
	portClause int32
	portEnd    int // token behind the last port named
	behindEnd  int // the same where it was named behind its numbers: "45 watts over USB-C"
	known      []string
	together   []string // ports joined in this clause
	portBefore string   // the port spoken of before this one
	alikeEnd   int      // token behind a phrase that likens the port to another, 0 none
	alikeNamed bool     // the other is named behind it
	alikeNext  int      // mentions met when it was said
	portPend   bool     // a port was named where no levels are said yet
}

// protocolState is the protocol spoken of.
type protocolState struct {
	protocol  string
	protoEnd  int   // token behind the protocol
	protoLast int32 // clause of the protocol's last use
	protocols []portProtocol
}

// spotState is the board, and the place of a measurement.
type spotState struct {
	board, side string
	boardClause int32
	boardFirst  string
	boardAt     int // its token
	spot        string
	spotClause  int32
	spotEnd     int
	spotRead    int // token behind a place that was read with the temperature before it
}

// propertyState is the property that waits for its number.
type propertyState struct {
	prop      int32 // property word waiting for its number, -1 none
	propEnd   int   // token behind it, or behind the last number that took it
	propStops int   // sentences ended since
	propUsed  schema.Kind
	propAlt   int32 // another property that the same words may name, -1 none
	propTaken bool
	limitEnd  int // token behind a word that spoke of a limit, 0 none
	limited   int // quantities taken as that limit
	afterEnd  int // token behind a property word that was read with the number before it
}

// partState is the part spoken of, and what was seen of parts.
type partState struct {
	subject    int32 // index into d.Subjects, -1 none
	kind       int32 // its kind
	kindEnd    int   // token behind the words that named it
	rated      int   // ratings taken so far
	special    [4]int32
	battery    int32 // kind of the battery side spoken of: cell, pack or rated
	seen       []sighting
	ofSubject  []int32    // by sighting, -1 none
	codeEnd    int        // token behind the last part number
	marks      [][2]int32 // tokens of certification marks
	makerSeen  []makerSpan
	topologies []topologySpan
	chemistry  string
}

// walk goes over the tokens once.
func (s *placer) walk() {
	for i := 0; i < len(s.tokens); {
		s.follow(i)
		if end := s.knownCode(i); end > i {
			i = end
			continue
		}
		if s.next < len(s.d.Mentions) && int(s.d.Mentions[s.next].First) <= i {
			if end := s.packCode(i); end > i {
				i = end
				continue
			}
			if end := s.chipSize(i); end > i {
				s.cueEnd = end
				i = end
				continue
			}
			if end := s.markingCode(i); end > i {
				i = end
				continue
			}
			if end := s.phraseOverNumber(i); end > i {
				i = end
				continue
			}
			if s.letter(i) && s.letter(s.skipBreak(i+1)) && s.section == SectionTeardown {
				if end := s.part(i); end > i { // "O M 10 N 48" is no 0 m
					i = end
					continue
				}
			}
			k := s.next
			if k >= s.coveredFrom && k < s.covered {
				s.next++ // taken in by the one before
				continue
			}
			i = max(i+1, s.take(k))
			continue
		}
		t := &s.tokens[i]
		switch t.Kind {
		case TokenNumber:
			i = max(i+1, s.markingCode(i))
			continue
		case TokenBreak:
			i++
			continue
		case TokenPara:
			s.stop(i)
			i++
			continue
		}
		if end := s.maker(i); end > i {
			i = end
			continue
		}
		if t.Word != 0 {
			if v, n := s.c.phrases.match(s.tokens, i); n > 0 {
				if end := s.cue(i, i+n, s.c.cues[v]); end > i {
					s.cueEnd = end
					i = end
					continue
				}
			}
			if s.x.entries[t.Word].class == classStop {
				s.stop(i)
				i++
				continue
			}
		}
		if t.Kind == TokenWord {
			if end := s.word(i); end > i {
				i = end
				continue
			}
		}
		i++
	}
}

// phraseOverNumber reads a cue that begins with the number word at token i,
// such as "two of them"; the number is then a count.
func (s *placer) phraseOverNumber(i int) int {
	if s.tokens[i].Word == 0 {
		return 0
	}
	v, n := s.c.phrases.match(s.tokens, i)
	if n < 2 || i+n < int(s.d.Mentions[s.next].Last) {
		return 0
	}
	end := s.cue(i, i+n, s.c.cues[v])
	if end > i {
		s.claim(i, end, NotCount)
		s.cueEnd = end
	}
	return end
}

// stop ends a sentence at token i.
func (s *placer) stop(i int) {
	if s.tokens[i].Kind != TokenPara && s.heading(i) {
		s.start = i + 1
		return
	}
	s.clause++
	s.start = i + 1
	s.propStops++
	s.endAlike(i)
	if s.product == "pass-through" && s.testing() {
		s.product = "" // said of one reading, not of all that follow
	}
	s.together = s.together[:0]
	s.spot = ""
	if s.port == "Qi" && s.testing() {
		s.port = "" // wireless power is tested by the sentence, a socket until another is named
	}
}

// heading reports whether the sentence that ends at token i is a few
// words that only name what follows: "Size.", "Load tests.".
func (s *placer) heading(i int) bool {
	if s.cueEnd != i {
		return false
	}
	n := 0
	for k := s.start; k < i; k++ {
		switch s.tokens[k].Kind {
		case TokenWord:
			if n++; n > s.x.reach.heading {
				return false
			}
		case TokenNumber:
			return false
		}
	}
	return n > 0 && (s.prop >= 0 && s.propEnd == i || s.shared || s.port != "" && s.portEnd == i)
}

// sentenceStart reports whether a sentence or line of notes begins at token i.
func (s *placer) sentenceStart(i int) bool {
	for i--; i >= 0; i-- {
		switch t := &s.tokens[i]; {
		case t.Kind == TokenBreak:
			continue
		case t.Kind == TokenPara:
			return true
		case t.Kind == TokenSign:
			c := s.x.entries[t.Word].class
			return c == classStop || c == classColon
		default:
			return false
		}
	}
	return true
}

// ends reports whether a sentence ends at token i.
func (s *placer) ends(i int) bool {
	i = s.skipBreak(i)
	if i >= len(s.tokens) || s.tokens[i].Kind == TokenPara {
		return true
	}
	c, _ := s.at(i)
	return c == classStop || c == classColon
}

// cue applies what a phrase over tokens [i, end) does. It returns the token
// after what it read, i where nothing of it holds here.
func (s *placer) cue(i, end int, effects []effect) int {
	done := i
	for k := range effects {
		done = max(done, s.effect(i, end, &effects[k], effects))
	}
	return done
}

// effect applies one of the effects of a phrase.
func (s *placer) effect(i, end int, e *effect, effects []effect) int {
	switch e.kind {
	case effectPort:
		return s.portCue(i, end, &s.c.ports[e.n])
	case effectProtocol:
		return s.protocolCue(i, end, &s.c.protocols[e.n])
	case effectPackage:
		return s.packageCue(i, end, &s.c.packages[e.n])
	case effectPart:
		to := s.partCue(i, end, &s.c.parts[e.n])
		if to > i {
			s.said(schema.TermComponent, i, end, s.c.kinds[s.c.parts[e.n].kind].name, groundOf(s.c.parts[e.n].manner))
		}
		return to
	case effectCount:
		return s.counted(i, end, int(e.n))
	case effectProduct:
		if !s.titleWord(i, end) {
			s.namedKind(e.value)
		}
		return i // the words may be a port or part as well
	case effectAnother, effectAgain: // words before a part, which its grouping looks at
		return i
	case effectAfter: // read from the number
		return i
	}
	if !s.holds(i, end, e, effects) {
		return i
	}
	return end
}

// holds applies an effect that reads its phrase and no more, and reports whether
// it holds here.
func (s *placer) holds(i, end int, e *effect, effects []effect) bool {
	switch e.kind {
	case effectSection, effectEnter:
		return s.section == Section(e.n)
	case effectMode:
		if s.ends(end) && s.last >= 0 && s.d.Mentions[s.last].Context.Clause == s.clause {
			return false // "a 12 volt step that it won't take going in."
		}
		return s.directed()
	case effectShared:
		return s.share(e.value)
	case effectBoard:
		return s.onBoard(i, e.value)
	case effectSpot:
		if !s.testing() || i < s.spotRead {
			return false
		}
		s.spot, s.spotClause, s.spotEnd = e.value, s.clause, end
	case effectSubject:
		ofCell := s.kindName() == "cell" && s.rated == 0
		if ofCell && slices.ContainsFunc(effects, func(e effect) bool { return e.kind == effectChemistry }) {
			return true // "sixteen cells, lithium iron phosphate": what they are
		}
		return s.batterySide(e.n)
	case effectMark:
		return s.mark(i, end, e.value)
	case effectAlike:
		return s.liken(i, end, e.value == "named")
	case effectBefore:
		return s.name(i, end, e.n)
	default:
		s.note(i, end, e)
	}
	return true
}

// note applies an effect that holds wherever its phrase stands.
func (s *placer) note(i, end int, e *effect) {
	switch e.kind {
	case effectSingle:
		s.shared = false
	case effectProductMode:
		s.product = e.value
		s.clause++
	case effectSide:
		s.side = e.value
	case effectEach:
		s.each(end)
	case effectCells:
		s.cells(i, end, e.value)
	case effectTopology:
		if s.section == SectionTeardown {
			s.topologies = append(s.topologies, topologySpan{int32(i), e.value})
		}
		s.said(schema.TermFeature, i, end, e.value, GroundSaid)
	case effectMaterial:
		s.material(e.value)
	case effectReset:
		s.prop = -1
	case effectApart:
		if s.section == SectionTeardown || s.section == SectionBattery {
			s.endSubject()
		}
	case effectChemistry:
		if s.chemistry == "" {
			s.chemistry = e.value
		}
		s.said(schema.TermFeature, i, end, e.value, GroundSaid)
	}
}

// word reads a word that opens no phrase: a port letter, a code.
func (s *placer) word(i int) int {
	if !s.cased && isUpper(s.text[s.tokens[i].Start]) && i > 0 {
		s.cased = true
	}
	if end := s.letterPort(i); end > i {
		return end
	}
	if end := s.gluedPackage(i); end > i {
		return end
	}
	if end := s.part(i); end > i {
		return end
	}
	if end := s.times(i); end > i {
		return end
	}
	return i
}

// claim marks the mentions that begin in tokens [a, b) as no quantity. One
// that runs on beyond b is read again from there: in "USB C one five volts"
// the port takes the "one".
func (s *placer) claim(a, b int, why Not) {
	for k := max(0, s.next-2); k < len(s.d.Mentions); k++ {
		m := &s.d.Mentions[k]
		switch {
		case int(m.First) >= b:
			return
		case int(m.First) < a:
			continue
		case int(m.NumEnd) > b && s.retake(k, b):
			return
		}
		if m.From == UnitOwn && int(m.NumEnd) >= b && why != NotCode {
			continue // the unit behind it says that it is a quantity after all
		}
		m.Not = why
		if m.From == UnitList {
			m.Unit, m.From = UnitWords{}, UnitNone
		}
		m.Context = s.picture()
		m.Context.Subject = -1
		s.next = max(s.next, k+1)
	}
}

// retake reads mention k again from token b, false where no number begins
// there.
func (s *placer) retake(k, b int) bool {
	b = s.skipBreak(b)
	fresh, ok := s.mentionFrom(b)
	if !ok {
		return false
	}
	m := &s.d.Mentions[k]
	fresh.Joint, fresh.Group, fresh.Withdrawn = JointNone, m.Group, m.Withdrawn
	*m = fresh
	// what the new reading covers is no mention of its own; finish takes it out
	s.coveredFrom = k + 1
	for j := k + 1; j < len(s.d.Mentions) && s.d.Mentions[j].First < m.Last; j++ {
		s.d.Mentions[j].Not = NotCode
		s.dropped = append(s.dropped, int32(j))
		s.covered = j + 1
	}
	return true
}

// compact takes the dropped mentions out of the list.
func (s *placer) compact() {
	if len(s.dropped) == 0 {
		return
	}
	list, out, d := s.d.Mentions, s.d.Mentions[:0], 0
	for i := range list {
		if d < len(s.dropped) && int(s.dropped[d]) == i {
			for d < len(s.dropped) && int(s.dropped[d]) == i {
				d++
			}
			continue
		}
		m := list[i]
		if m.Group >= 0 { // products are short: the dropped ones since their first
			before, _ := slices.BinarySearch(s.dropped, m.Group)
			m.Group -= int32(before)
		}
		out = append(out, m)
	}
	s.d.Mentions = out
}

// picture is the context that the state gives.
func (s *placer) picture() Context {
	c := Context{Section: s.section, Mode: s.modeName(), Port: s.port, Protocol: s.protocol, Subject: s.subject,
		Clause: s.clause}
	if s.spotClause == s.clause {
		c.Spot = s.spot
	}
	return c
}

func isUpper(b byte) bool { return b >= 'A' && b <= 'Z' }

// mentionFrom reads the mention that begins at token i.
func (s *placer) mentionFrom(i int) (m Mention, ok bool) {
	ok = s.mention(i, &m)
	return m, ok
}
