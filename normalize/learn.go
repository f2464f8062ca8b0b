package normalize

import (
	"saywatt/extract"
	"saywatt/normalize/channel"
	"saywatt/schema"
)

// Learn counts the distortions of a document that a person has decided on
// with r.Answers, in the place of what was learnt of the same file before.
// Counted are the decisions, and the readings of the rest that are all but
// decided with them: decisions alone, which are asked for where captions went
// wrong, would make every distortion look common. It returns the number of
// decisions counted; one that no distortion explains, or that there was no
// quantity, is not.
//
// Answers that fit nothing in the document are an error, StrayAnswers.
func (r *Ranker) Learn(d *extract.Document, l *channel.Learned) (int, error) {
	e, stray := r.inferred(d)
	if len(stray) > 0 {
		return 0, stray
	}
	var counts channel.Counts
	for i := range e.nodes {
		n := &e.nodes[i]
		if n.settled {
			continue
		}
		for k := n.from; k < n.to; k++ {
			if c := &e.cands[k]; c.posterior >= loadBounds().decided && !c.nothing {
				e.count(&counts, n, c)
			}
		}
	}
	decisions := 0
	for i := range e.decided {
		if s := &e.decided[i]; s.found {
			e.count(&counts, &e.nodes[s.node], &s.was)
			decisions++
		}
	}
	l.Put(d.Transcript.Hash, d.Transcript.Name, counts)
	return decisions, nil
}

// count counts one quantity that was said: what it suffered of what it could
// have.
func (e *engine) count(k *channel.Counts, n *node, c *candidate) {
	words := e.mention(n.last-1).Style != extract.StyleDigits
	for d := range channel.End {
		suffered := c.suffered(d)
		if d == channel.Intact {
			suffered = c.by == [3]channel.Distortion{}
		}
		if suffered || c.could(d, words) {
			k.Add(d, suffered)
		}
	}
}

// could reports whether a quantity with such a value, shown in words or in
// digits, could have suffered a distortion.
func (c *candidate) could(d channel.Distortion, words bool) bool {
	decimal := c.lo.Exp < 0 || c.hi.Exp < 0
	switch d {
	case channel.PointLost:
		return decimal && !words
	case channel.PointWordLost:
		return decimal && words
	case channel.PointShownWrong, channel.PointMisheard:
		return decimal
	case channel.ZeroLost:
		return decimal && c.lo.Float() < 1
	case channel.TeenTy:
		return teenOrTy(c.hi)
	case channel.ToAs2, channel.ToLost, channel.RangeMerged:
		return c.isRange
	case channel.MergedNumbers:
		return c.kind == schema.KindVoltage || c.kind == schema.KindCurrent
	case channel.UnitSwapped:
		return c.kind == schema.KindVoltage || c.kind == schema.KindPower
	case channel.HourLost:
		return c.kind == schema.KindEnergy || c.kind == schema.KindCharge
	case channel.PrefixLost, channel.PrefixWrong, channel.LetterCase: // of units with a prefix
		info, ok := c.unit.Info()
		return ok && info.Scale != 1
	}
	return true
}
