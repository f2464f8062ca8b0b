package extract

import (
	"slices"
	"strings"

	"saywatt/schema"
)

// portCue reads a port named over tokens [i, end), with the number behind it.
func (s *placer) portCue(i, end int, f *portForm) int {
	if s.portOfPart(end) {
		return i
	}
	name := f.port
	if f.digits != nil {
		digits, after := s.digitsBehind(end)
		if !slices.Contains(f.digits, digits) {
			return i
		}
		name, end = name+digits, after
	}
	if f.number {
		n, after := s.portNumber(i, end, f)
		if n > 0 {
			if all, ok := s.x.cue.numbered[f.port]; ok {
				name, end = all[n], after
			}
		} else if f.only {
			if n = s.countedPort(i, f.port); n == 0 {
				return i
			}
			name = s.x.cue.numbered[f.port][n]
		}
	}
	if strings.HasSuffix(name, "?") {
		if name = name[:len(name)-1]; !slices.Contains(s.known, name) || s.section != SectionOutput &&
			s.section != SectionInput {
			return i
		}
	}
	if strings.HasSuffix(name, "<") {
		if name = name[:len(name)-1]; s.section != SectionInput || s.acInput {
			return i
		}
	}
	if s.portGiven(i, end, name) {
		return end
	}
	if f.number && name == f.port && s.bothPorts(i, end) {
		s.claim(i, end, NotCode)
		s.said(schema.TermPort, i, end, name, groundOf(f.manner))
		return s.allOf(name, end)
	}
	if all, ok := s.x.cue.numbered[name]; ok {
		if n := s.countedPort(i, name); n > 0 {
			name = all[n]
		}
	}
	s.claim(i, end, NotCode)
	s.countBefore(i)
	s.said(schema.TermPort, i, end, strings.TrimSuffix(name, "*"), groundOf(f.manner))
	if general, ok := strings.CutSuffix(name, "*"); ok {
		return s.allOf(general, end)
	}
	if !s.deniedName(i, end) {
		s.setPort(i, end, name)
	}
	return end
}

// portGiven takes the port that a person said tokens [i, end) name, which are read as
// name; false where nobody did, or what they are read as is right.
func (s *placer) portGiven(i, end int, name string) bool {
	read := strings.TrimSuffix(name, "*")
	if all, ok := s.x.cue.numbered[read]; ok {
		if n := s.countedPort(i, read); n > 0 {
			read = all[n]
		}
	}
	meant, ok := s.namedAs(schema.TermPort, i, end, read)
	if !ok || meant == read {
		return false
	}
	s.claim(i, end, NotCode)
	if meant == "" {
		return true
	}
	s.countBefore(i)
	s.reread(schema.TermPort, i, end, meant, read)
	if !s.deniedName(i, end) {
		s.setPort(i, end, meant)
	}
	return true
}

// portOfPart reports whether the word at token end makes the port part of
// another name: "a port board", "a port chip".
func (s *placer) portOfPart(end int) bool {
	return s.guarded(s.skipBreak(end), guardPortPart)
}

// bothPorts reports whether the general name over tokens [i, end) is said of
// several ports: "both Type-C ports".
func (s *placer) bothPorts(i, end int) bool {
	b := s.backOne(i)
	k := s.skipBreak(end)
	return b >= 0 && s.tokens[b].Word == s.c.both && k < len(s.tokens) && s.tokens[k].Word == s.c.several
}

// ordinalBefore returns 1 to 4 for "first" to "fourth" right before token i.
func (s *placer) ordinalBefore(i int) int {
	if c, v := s.at(s.backOne(i)); c == classOrdinal && v >= 1 && v <= 4 {
		return int(v)
	}
	return 0
}

// countedPort returns the number of a port of the general name that is said
// by its place in the row: "the first C", "the other C"; 0 for none.
func (s *placer) countedPort(i int, general string) int {
	if n := s.ordinalBefore(i); n > 0 {
		return n
	}
	if !s.guarded(s.backOne(i), guardOther) {
		return 0
	}
	last := 0
	for _, p := range s.known {
		if len(p) == len(general)+1 && strings.HasPrefix(p, general) {
			last = max(last, int(p[len(general)]-'0'))
		}
	}
	switch {
	case last == 2 && s.port == general+"2":
		return 1
	case last <= 2: // the one spoken of before was the first, number or not
		return 2
	}
	return 0
}

// allOf takes all known ports of a kind as used together: "both C ports".
func (s *placer) allOf(general string, end int) int {
	var all []string
	for _, p := range s.known {
		if strings.HasPrefix(p, general) && !numbered(s.known, p) {
			all = append(all, p)
		}
	}
	if len(all) < 2 && general == "USB-C" && len(s.known) > 0 { // named "both" though only one was spoken of by number
		all = []string{"USB-C1", "USB-C2"}
	}
	if len(all) < 2 || s.section == SectionTeardown {
		return end
	}
	s.together = all
	s.share("joined")
	s.portEnd, s.portClause = end, s.clause
	return end
}

// digitsBehind returns the digits at token end, those apart joined, and the token
// behind them: "DC 55 21".
func (s *placer) digitsBehind(end int) (string, int) {
	digits := ""
	k := s.skipBreak(end)
	for k < len(s.tokens) && s.tokens[k].Kind == TokenNumber && len(digits) < connectorDigits {
		digits += string(s.text[s.tokens[k].Start:s.tokens[k].End])
		end = k + 1
		k = s.skipBreak(end)
	}
	return digits, end
}

// connectorDigits is how many digits names of connectors have at the most: two sizes
// in tenths of a millimetre.
const connectorDigits = 4

// portNumber reads the number of a port at token end: "one", "1", "too". A
// number with a unit of its own is a quantity instead.
func (s *placer) portNumber(i, end int, f *portForm) (int, int) {
	k := s.skipBreak(end)
	if c, _ := s.at(k); c == classDash && k < len(s.tokens) && s.tokens[k].Glued {
		k++
	}
	if k >= len(s.tokens) {
		return 0, 0
	}
	n, heard := s.digitAt(k)
	if n < 1 || n > 4 {
		return 0, 0
	}
	if u, ok := s.unit(k + 1); ok && u.Manner != MannerHeard {
		return 0, 0
	}
	behind := s.skipBreak(k + 1)
	if c, _ := s.at(behind); c == classHundred || c == classScale || c == classPoint {
		return 0, 0 // "USB C one hundred watts"
	}
	if t := s.tokens[k]; heard && string(s.text[t.Start:t.End]) != "too" {
		// "USB C to 20 watts", "for": only where another number or verb follows
		if c, _ := s.at(behind); behind < len(s.tokens) && s.tokens[behind].Kind != TokenNumber &&
			c != classDigitWord && c != classTens && c != classTeen && s.tokens[behind].Word != s.c.is {
			return 0, 0
		}
	}
	if f.only && !s.lonePort(i, k, behind) {
		return 0, 0
	}
	return n, k + 1
}

// digitAt is the digit at token k, in digits, a word, or one that sounds like it;
// 0 for none.
func (s *placer) digitAt(k int) (n int, heard bool) {
	t := s.tokens[k]
	switch {
	case t.Kind == TokenNumber && t.End-t.Start == 1:
		return int(s.text[t.Start] - '0'), false
	case t.Kind != TokenWord:
		return 0, false
	}
	if c, v := s.at(k); c == classDigitWord {
		return int(v), false
	}
	if v := s.numberSound(k); v.OK {
		return v.Value, true
	}
	return 0, false
}

// lonePort decides whether a lone "c" or "see" with a number names a port: not
// in "you can see one of them", "n t c 3", "we see two capacitors".
func (s *placer) lonePort(i, number, behind int) bool {
	b := s.backOne(i)
	if b >= 0 && s.tokens[b].Kind == TokenWord {
		w := s.text[s.tokens[b].Start:s.tokens[b].End]
		if len(w) == 1 && w[0] != 'a' && w[0] != 'A' {
			return false
		}
		if s.guarded(b, guardSeeing) {
			return false
		}
	}
	if behind < len(s.tokens) && s.tokens[behind].Kind == TokenWord {
		if s.guarded(behind, guardSeen) {
			return false
		}
		if v, n := s.c.phrases.match(s.tokens, behind); n > 0 {
			for _, e := range s.c.cues[v] {
				if e.kind == effectPart && s.section == SectionTeardown {
					return false
				}
			}
		}
	}
	return true
}

// letterPort reads a lone capital A or C that names the port: "see two and A
// share", "the C gives".
func (s *placer) letterPort(i int) int {
	t := s.tokens[i]
	name := "USB-A"
	switch {
	case t.End-t.Start != 1 || s.sentenceStart(i):
		return i
	case s.text[t.Start] == 'C':
		if name = "USB-C"; !slices.ContainsFunc(s.known, func(p string) bool { return strings.HasPrefix(p, name) }) {
			return i
		}
	case s.text[t.Start] != 'A':
		return i
	}
	b := s.backOne(i)
	before := s.tokens[b].Word
	c, _ := s.at(b)
	if before != s.c.and && before != s.c.the && before != s.c.on && before != s.c.with && c != classOr &&
		c != classComma && c != classPlus {
		return i
	}
	k := s.skipBreak(i + 1)
	if k < len(s.tokens) && s.tokens[k].Kind == TokenWord && !s.guarded(k, guardPortVerb) {
		return i
	}
	s.cueEnd = i + 1
	if s.portGiven(i, i+1, name) {
		return i + 1
	}
	s.said(schema.TermPort, i, i+1, name, GroundSaid)
	s.setPort(i, i+1, name)
	return i + 1
}

// setPort makes the port the one spoken of, or joins it to those named just
// before it.
func (s *placer) setPort(i, end int, name string) {
	if s.likened(i, end, name) {
		return
	}
	s.endAlike(i)
	if !slices.Contains(s.known, name) {
		s.known = append(s.known, name)
	}
	defer func() { s.portEnd, s.portClause = end, s.clause }()
	switch s.section {
	case SectionTeardown:
		if s.busy() {
			return
		}
		s.portPend = true
	case SectionProduct, SectionBody, SectionBattery, SectionCable, SectionClosing, SectionNone:
		if s.section == SectionCable || s.d.Product.Kind == "cable" {
			return
		}
		s.portPend = true
	case SectionOutput:
		if name == "AC" && s.direction == "output" && s.acInput {
			s.acInput = false
		}
	}
	s.portBehind(i, end, name)
	if s.joinPort(i, name) {
		return
	}
	if s.last >= 0 && int(s.d.Mentions[s.last].First) >= s.portEnd && s.portEnd > 0 && s.portClause == s.clause {
		s.clause++ // numbers were said since the port before
	}
	if s.protocol != "" && s.port != name && i-s.protoEnd > s.x.reach.protocol {
		s.protocol = ""
	}
	if !s.shared || s.port == "" || !strings.Contains(s.port, "+") {
		s.together = append(s.together[:0], name)
		if s.port != name {
			s.portBefore = s.port
		}
		s.port = name
	}
	if s.protocol != "" && s.protoLast != s.clause {
		s.protocol = ""
	}
	s.prop = -1
}

// joinPort joins the port named from token i on to those spoken of, where the
// words between say that they go together.
func (s *placer) joinPort(i int, name string) bool {
	if len(s.together) > 0 && s.portEnd <= i && s.joinsPort(s.portEnd, i) && !slices.Contains(s.together, name) {
		s.together = append(s.together, name)
		joint := ","
		if s.shared || s.withBetween(s.portEnd, i) {
			joint = "+"
			s.shared, s.sharedAt = true, s.clause
		}
		s.port = strings.Join(s.together, joint)
		return true
	}
	if s.shared && s.sharedAt != s.clause {
		s.shared = false
	}
	single := s.port != "" && s.port != name && !strings.ContainsAny(s.port, ",+")
	if s.section == SectionOutput && single && s.portClause == s.clause && s.besides(i) {
		s.together = append(s.together[:0], s.port, name)
		s.shared, s.sharedAt, s.protocol, s.prop = true, s.clause, "", -1
		s.port = strings.Join(s.together, "+")
		return true
	}
	return false
}

// besides reports whether the words right before token i put the port there
// in use beside the one spoken of: "together with C2", "alongside the USB-A".
func (s *placer) besides(i int) bool {
	b := s.backOne(s.firstOf(i))
	if s.guarded(b, guardBeside) {
		return true
	}
	return b >= 0 && s.tokens[b].Word == s.c.with && s.guarded(s.backOne(b), guardTogether)
}

// portBehind gives the port named over tokens [i, end) to the numbers right
// before it: "15 volts 3 amps from USB C", "20 watts out of the type C", and,
// where the clause ends there, "15 watts wireless".
func (s *placer) portBehind(i, end int, name string) {
	b := s.backOne(i)
	words := 0
	for ; b >= 0 && s.tokens[b].Kind == TokenWord && words < s.x.reach.portWords; b = s.backOne(b) {
		if !s.guarded(b, guardPortJoint) {
			break
		}
		words++
	}
	if words == 0 {
		if c, _ := s.at(s.skipBreak(end)); !s.ends(end) && c != classComma && c != classAnd {
			return
		}
	}
	for k := s.next - 1; k >= 0; k-- {
		m := &s.d.Mentions[k]
		if int(m.Last) != b+1 && s.skipBreak(int(m.Last)) != b+1 || m.Context.Clause != s.clause ||
			m.Not != NotNothing {
			return
		}
		if s.portStays(m, end, words > 0, name) || !m.HasUnit() {
			return
		}
		switch m.Unit.Unit.Kind() {
		case schema.KindVoltage, schema.KindCurrent, schema.KindPower:
		default:
			return
		}
		m.Context.Port = name
		s.behindEnd = end
		b = s.backOne(int(m.First))
		if c, _ := s.at(b); b >= 0 && (c == classComma || c == classAnd) {
			return
		}
	}
}

// portStays reports whether a mention before the port named up to token end keeps
// the one that it has; joined is set where words such as "from" tie it to the new
// one.
func (s *placer) portStays(m *Mention, end int, joined bool, name string) bool {
	since := int(m.First) >= s.portEnd // it was said behind the port before
	switch old := m.Context.Port; {
	case old == "" || joined && s.behindEnd == s.portEnd && since:
		return false
	case old == name:
		return true
	}
	return s.portClause == s.clause && (joined || !s.ends(end) || !since)
}

// firstOf returns the first token of the noun phrase that ends before token
// i: "the", "port", "for".
func (s *placer) firstOf(i int) int {
	for b := s.backOne(i); b >= 0 && s.tokens[b].Kind == TokenWord; b = s.backOne(i) {
		w := s.tokens[b].Word
		if w == s.c.the || w == s.c.on || s.tokens[b].Word == s.c.port || w == s.c.and {
			i = b
			continue
		}
		break
	}
	return i
}

// joinsPort reports whether only joining words stand in tokens [a, b).
func (s *placer) joinsPort(a, b int) bool {
	if b-a > s.x.reach.join || b <= a {
		return false
	}
	joined := false
	for ; a < b; a++ {
		t := s.tokens[a]
		c, _ := s.at(a)
		switch {
		case t.Kind == TokenBreak, t.Word == s.c.the, c == classComma:
		case t.Word == s.c.and, t.Word == s.c.with, t.Word == s.c.plus, c == classAnd, c == classPlus:
			joined = true
		case t.Word == s.c.port, c == classArticle:
		default:
			return false
		}
	}
	return joined
}

func (s *placer) withBetween(a, b int) bool {
	for ; a < b; a++ {
		if c, _ := s.at(a); s.tokens[a].Word == s.c.with || c == classPlus {
			return true
		}
	}
	return false
}

// share notes that what follows is for ports in use together; who says which:
// all of them, both, or those joined before in the clause.
func (s *placer) share(who string) bool {
	joined := len(s.together) > 1
	if s.busy() && s.section == SectionTeardown || who == "joined" && !joined && !s.shared {
		return false
	}
	switch s.section {
	case SectionOutput, SectionTest, SectionThermal:
	default:
		return false
	}
	s.shared, s.sharedAt, s.protocol = true, s.clause, ""
	all := s.allPorts()
	switch {
	case who == "all":
		s.port = ""
		if len(all) > 1 {
			s.port = strings.Join(all, "+")
		}
		s.together = s.together[:0]
	case joined:
		s.port = strings.Join(s.together, "+")
	case who != "joined" && len(all) == 2:
		s.port = strings.Join(all, "+")
	case who == "both", s.portClause != s.clause:
		s.port = ""
	}
	return true
}

// allPorts returns the sockets that give power, a general name left out where
// numbered ones are known.
func (s *placer) allPorts() []string {
	var all []string
	for _, p := range s.known {
		switch p {
		case "AC", "DC", "pins":
			continue
		}
		if numbered(s.known, p) {
			continue
		}
		all = append(all, p)
	}
	slices.SortStableFunc(all, func(a, b string) int { return portRank(a) - portRank(b) })
	return all
}

// portRank orders ports as records list them: USB-C by number, USB-A, others.
func portRank(p string) int {
	switch {
	case strings.HasPrefix(p, "USB-C"):
		if p == "USB-C" {
			return 0
		}
		return int(p[len(p)-1] - '0')
	case strings.HasPrefix(p, "USB-A"):
		return 10
	}
	return 20
}

// numbered reports whether the list has numbered ports of the general name p.
func numbered(list []string, p string) bool {
	return slices.ContainsFunc(list, func(q string) bool {
		return len(q) == len(p)+1 && strings.HasPrefix(q, p) && q[len(p)] >= '1' && q[len(p)] <= '9'
	})
}

// ports lists the ports spoken of with their protocols, in the order said.
func (s *placer) ports() []schema.Port {
	var all []schema.Port
	for _, p := range s.known {
		if numbered(s.known, p) {
			continue
		}
		port := schema.Port{Name: p}
		for _, q := range s.protocols {
			if slices.Contains(strings.FieldsFunc(q.port, func(r rune) bool { return r == ',' || r == '+' }), p) &&
				!slices.Contains(port.Protocols, q.protocol) {
				port.Protocols = append(port.Protocols, q.protocol)
			}
		}
		all = append(all, port)
	}
	slices.SortStableFunc(all, func(a, b schema.Port) int { return portRank(a.Name) - portRank(b.Name) })
	return all
}

// mainsInput sets the mains as the port of an input that speaks of a mains
// voltage.
func (s *placer) mainsInput(m *Mention, phys schema.Kind) {
	if s.direction != "input" || s.section != SectionInput {
		return
	}
	if phys == schema.KindVoltage && m.High.Float() >= 85 && m.Unit.Unit == "V" && s.portClause != s.clause {
		s.acInput, s.port = true, "AC"
		if s.product == "battery" {
			s.product = "" // what the wall gives is not said of the battery
		}
	}
}
