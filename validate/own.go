package validate

import (
	"iter"

	"saywatt/schema"
	"saywatt/validate/place"
)

// owner is what a claimed power and a level must have in common for the claim
// to be about the level: see claims and levels below.
type owner struct {
	port, product, protocol string
	f                       place.Flow
}

// carriedByPD stands for all protocols that USB Power Delivery carries; no
// protocol has that name.
const carriedByPD = "+"

// protocolKey is a protocol as owners compare it.
func protocolKey(protocol string) string {
	if place.ProtocolOf(protocol).USBPD() {
		return carriedByPD
	}
	return protocol
}

// ownerOf is the owner that a claim names. sole is what solePort has: an output
// claimed without a port is about the only port, and about none where there
// are several.
func ownerOf(c *schema.Claim, sole string) owner {
	product, f := claimMode(c.Mode)
	port := c.Port
	if port == "" && place.ProtocolOf(c.Protocol) != place.AC && (sole != manyPorts || f != place.Input) {
		port = sole
	}
	return owner{port, product, protocolKey(c.Protocol), f}
}

// owners are the owners that a claim about a level may name, at their slot: with
// its product mode or none, and with its protocol or none. Slots that would
// hold the same twice are not used.
func owners(l *schema.Level) (keys [slots]owner, used [slots]bool) {
	product, f := place.ModeOf(l.Mode)
	protocol := protocolKey(l.Protocol)
	for _, k := range [...]owner{{l.Port, "", "", f}, {l.Port, "", protocol, f},
		{l.Port, product, "", f}, {l.Port, product, protocol, f}} {
		i := k.slot()
		keys[i], used[i] = k, true
	}
	return keys, used
}

// slots is how many owners a level may have.
const slots = 4

// slot distinguishes owners of one level: by whether they name a product mode, and
// a protocol.
func (k owner) slot() int {
	i := 0
	if k.product != "" {
		i += 2
	}
	if k.protocol != "" {
		i++
	}
	return i
}

// chains are lists of indices by owner, each rising. They are linked, so that
// a list costs what is taken of it, however long it is.
type chains struct {
	first map[owner]int32
	next  []int32
}

// push puts entry i before those of its owner.
func (x *chains) push(k owner, i int32) {
	x.next[i] = -1
	if j, ok := x.first[k]; ok {
		x.next[i] = j
	}
	x.first[k] = i
}

func (x *chains) head(k owner) int32 {
	if i, ok := x.first[k]; ok {
		return i
	}
	return -1
}

// newChains makes chains of up to n entries.
func newChains(n int) chains { return chains{make(map[owner]int32), make([]int32, n)} }

// claimsOf are the claimed powers of a record by what they are about.
type claimsOf struct {
	r      *schema.Record
	owned  chains           // of one port
	totals map[string][]int // of the whole output, by product mode
}

func newClaimsOf(r *schema.Record) *claimsOf {
	x := &claimsOf{r: r, owned: newChains(len(r.Claims)), totals: map[string][]int{}}
	sole := solePort(r)
	for k := len(r.Claims) - 1; k >= 0; k-- {
		if c := &r.Claims[k]; isPower(c) {
			x.owned.push(ownerOf(c, sole), int32(k))
		}
	}
	totals(r, func(k int, c *schema.Claim) bool {
		product, _ := claimMode(c.Mode)
		x.totals[product] = append(x.totals[product], k)
		return true
	})
	return x
}

// own visits, by rising index, the claimed powers of the level's own port,
// mode, direction and protocol. It reports whether to go on.
func (x *claimsOf) own(l *schema.Level, visit func(k int) bool) bool {
	keys, used := owners(l)
	var at [slots]int32
	for i := range at {
		at[i] = -1
		if used[i] {
			at[i] = x.owned.head(keys[i])
		}
	}
	for {
		least := -1
		for i := range at {
			if at[i] >= 0 && (least < 0 || at[i] < at[least]) {
				least = i
			}
		}
		if least < 0 {
			return true
		}
		k := at[least]
		at[least] = x.owned.next[k]
		if !visit(int(k)) {
			return false
		}
	}
}

// ceilings visits the claims that a level must not exceed: those of its own
// port, or where there are none the totals of its output. It reports whether
// to go on.
func (x *claimsOf) ceilings(l *schema.Level, visit func(k int) bool) bool {
	found := false
	if !x.own(l, func(k int) bool {
		found = true
		return visit(k)
	}) {
		return false
	}
	product, f := place.ModeOf(l.Mode)
	if found || f != place.Output && f != place.Shared {
		return true
	}
	for k := range merged(x.totals[""], x.totals[product], product != "") {
		if !visit(k) {
			return false
		}
	}
	return true
}

// merged goes through two rising lists as one; through the first alone where
// both is false.
func merged(a, b []int, both bool) iter.Seq[int] {
	return func(yield func(int) bool) {
		if !both {
			b = nil
		}
		for len(a)+len(b) > 0 {
			list := &a
			if len(a) == 0 || len(b) > 0 && b[0] < a[0] {
				list = &b
			}
			k := (*list)[0]
			*list = (*list)[1:]
			if !yield(k) {
				return
			}
		}
	}
}

// levelsFor are levels of a record, by the claims about them.
type levelsFor struct {
	sole  string
	lists [slots]chains
}

// newLevelsFor takes the levels that want accepts.
func newLevelsFor(r *schema.Record, want func(*schema.Level) bool) *levelsFor {
	x := &levelsFor{sole: solePort(r)}
	for i := range x.lists {
		x.lists[i] = newChains(len(r.Levels))
	}
	for i := len(r.Levels) - 1; i >= 0; i-- {
		l := &r.Levels[i]
		if !want(l) {
			continue
		}
		keys, used := owners(l)
		for s := range keys {
			if used[s] {
				x.lists[s].push(keys[s], int32(i))
			}
		}
	}
	return x
}

// mostOwned is how many levels of one port are looked at for a claim: far more
// than any port has, so that many claims about many levels take linear time.
const mostOwned = 64

// of visits, by rising index, the levels that a claimed power is about, the
// first mostOwned of them, until visit returns false.
func (x *levelsFor) of(c *schema.Claim, visit func(i int) bool) {
	if !isPower(c) {
		return
	}
	k := ownerOf(c, x.sole)
	list := &x.lists[k.slot()]
	left := mostOwned
	for i := list.head(k); i >= 0 && left > 0 && visit(int(i)); i = list.next[i] {
		left--
	}
}
