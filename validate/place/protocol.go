package place

import (
	"slices"
	"strings"
	"sync"

	"saywatt/internal/knowledge"
)

// Protocol is the family that the rules sort a protocol into.
type Protocol uint8

// The families that rules and calculators know apart.
const (
	NoProtocol Protocol = iota // none given
	OtherProtocol
	PD
	PPS
	AVS // SPR or EPR, not said which
	AVSEPR
	AVSSPR
	TypeC
	BC
	QC
	QC2
	QC3
	QC3Plus
	QC4
	AFC
	FCP
	SCP
	UFCS
	Qi
	QiBPP
	QiEPP
	QiMPP
	QiMPP25
	AC
	DC
)

var protocolNames = [...]string{"", "other", "pd", "pps", "avs", "avs-epr", "avs-spr", "type-c", "bc", "qc", "qc2",
	"qc3",
	"qc3plus", "qc4", "afc", "fcp", "scp", "ufcs", "qi", "qi-bpp", "qi-epp", "qi-mpp", "qi-mpp25", "ac", "dc"}

// FamilyNamed is the family that tables call by a name: "pps"; NoProtocol for a name
// that none has.
func FamilyNamed(name string) Protocol {
	for i, n := range protocolNames {
		if i > 0 && n == name {
			return Protocol(i)
		}
	}
	return NoProtocol
}

// namedProtocol is a row of knowledge.Protocols.
type namedProtocol struct {
	name   string
	family Protocol
}

var protocols = sync.OnceValue(func() []namedProtocol {
	var t []namedProtocol
	for _, r := range knowledge.Protocols().Rows {
		p := namedProtocol{name: r.Get("name"), family: FamilyNamed(r.Get("family"))}
		if p.family == NoProtocol {
			panic("protocols.tsv: family of " + p.name)
		}
		t = append(t, p)
	}
	return t
})

// protocolIndex sorts the table by first letter, longest names first, since
// every rule asks for every level.
var protocolIndex = sync.OnceValue(func() *[letters][]namedProtocol {
	var t [letters][]namedProtocol
	for _, p := range protocols() {
		i := letter(p.name[0])
		if i < 0 {
			panic("protocols.tsv: " + p.name + " does not begin with a letter")
		}
		t[i] = append(t[i], p)
	}
	for _, b := range t {
		slices.SortStableFunc(b, func(p, q namedProtocol) int { return len(q.name) - len(p.name) })
	}
	return &t
})

// letters is the size of the alphabet of first letters.
const letters = 'z' - 'a' + 1

// letter numbers a letter of either case from 0, -1 for anything else.
func letter(c byte) int {
	if c |= ' '; c >= 'a' && c <= 'z' {
		return int(c - 'a')
	}
	return -1
}

// ProtocolOf sorts a protocol as said: "PD 3.0" is PD. A name that the
// table does not have is OtherProtocol.
func ProtocolOf(name string) Protocol {
	if name == "" {
		return NoProtocol
	}
	i := letter(name[0])
	if i < 0 {
		return OtherProtocol
	}
	bucket := protocolIndex()[i]
	for k := range bucket {
		p := &bucket[k]
		n := len(p.name)
		if len(name) < n || name[n-1]|' ' != p.name[n-1]|' ' { // most fall here
			continue
		}
		if (name[:n] == p.name || strings.EqualFold(name[:n], p.name)) && ends(name, n) {
			return p.family
		}
	}
	return OtherProtocol
}

// ends reports whether the word in s[:n] ends there or goes on as a version:
// "PD3.1" begins with "PD", "PDO" does not.
func ends(s string, n int) bool {
	if n == len(s) {
		return true
	}
	c := s[n]
	return c < 'A' || c > 'Z' && c < 'a' || c > 'z'
}
