package transcript

import (
	"bytes"
	"fmt"
	"strconv"
)

var arrow = []byte("-->")

// readVTT reads WebVTT by the standard's parser (W3C WebVTT, section 6.1,
// "collect a WebVTT block"), kept in step with it so far as which lines make a
// cue. Where the standard drops what it cannot read, words are kept:
//
//	cue with irregular times               read loosely; without any, at the
//	                                       end of the cue before
//	block of plain text after a cue        a blank line inside that cue
//	NOTE, STYLE, REGION, header lines      dropped, as the standard wants
//
// Each such leniency is a problem in the list.
func readVTT(b *builder) {
	b.rolls = true
	s := b.src
	i := vttSignature(b)
	// The header goes on to the first blank line or cue timing.
	for ; i < len(s.starts); i++ {
		from, to := s.line(i)
		if from == to || bytes.Contains(s.text[from:to], arrow) {
			break
		}
		if value, ok := bytes.CutPrefix(s.text[from:to], []byte("Language:")); ok { // common practice, no source
			b.t.Language = string(bytes.TrimSpace(value))
		}
	}
	for i < len(s.starts) {
		from, to := s.line(i)
		if from == to {
			i++
			continue
		}
		i = vttBlock(b, i)
	}
}

// vttSignature finds the WEBVTT line and returns the one after it.
func vttSignature(b *builder) int {
	s := b.src
	for i := range s.starts {
		from, to := s.line(i)
		line := bytes.TrimLeft(s.text[from:to], " \t\f\ufeff")
		if len(line) == 0 {
			continue
		}
		if i > 0 || len(line) < to-from || !bytes.HasPrefix(line, []byte("WEBVTT")) ||
			len(line) > 6 && line[6] != ' ' && line[6] != '\t' {
			b.add(from, ErrSignature, "")
		}
		return i + 1
	}
	return len(s.starts)
}

// vttBlock reads the block at line i and returns the line after it.
func vttBlock(b *builder, i int) int {
	s := b.src
	from, to := s.line(i)
	first := s.text[from:to]
	if bytes.Contains(first, arrow) {
		return vttCue(b, "", from, i)
	}
	if i+1 < len(s.starts) {
		if f, t := s.line(i + 1); bytes.Contains(s.text[f:t], arrow) {
			return vttCue(b, string(first), from, i+1)
		}
	}
	end := i + 1
	for end < len(s.starts) {
		f, t := s.line(end)
		if f == t || bytes.Contains(s.text[f:t], arrow) {
			break
		}
		end++
	}
	_, last := s.line(end - 1)
	vttStray(b, from, last, first)
	return end
}

// vttCue reads the cue whose times stand on line i; from is where it begins.
func vttCue(b *builder, id string, from, i int) int {
	s := b.src
	lineFrom, lineTo := s.line(i)
	end, words := i+1, false
	for end < len(s.starts) {
		f, t := s.line(end)
		if f == t || bytes.Contains(s.text[f:t], arrow) {
			break
		}
		words = words || len(bytes.TrimSpace(s.text[f:t])) > 0
		end++
	}
	end = b.nextNumber(id, i, end)
	tm := readTiming(s.text[lineFrom:lineTo])
	if !tm.strict {
		if !words && !tm.endRead {
			b.add(lineFrom, ErrTiming, "no words follow")
			return end
		}
		b.irregular(&tm, lineFrom)
	}
	b.open(id, tm.start, tm.end, i, from)
	b.extend(lineTo)
	if end > i+1 {
		first, _ := s.line(i + 1)
		_, last := s.line(end - 1)
		b.cueText(first, last, dialect{vtt: true})
		b.extend(last)
	}
	return end
}

// nextNumber looks for the next cue's number at the end of a cue that runs up
// against the next times with no blank line, and returns the line the cue ends
// before. By the standard the number is text; but where this cue has the number
// before, it can hardly be words.
func (b *builder) nextNumber(id string, i, end int) int {
	s := b.src
	if end >= len(s.starts) || end-1 <= i {
		return end
	}
	if from, to := s.line(end); from == to {
		return end
	}
	n := s.number(end - 1)
	if n < 1 || strconv.Itoa(n-1) != id {
		return end
	}
	at, _ := s.line(end - 1)
	b.add(at, ErrBlankLine, "none before this cue")
	return end - 1
}

// irregular reports times that are not as the format writes them and fills in
// what could not be read.
func (b *builder) irregular(tm *timing, at int) {
	how := "read leniently"
	switch {
	case !tm.startRead:
		if n := len(b.t.Cues); n > 0 {
			tm.start = max(b.t.Cues[n-1].Start, b.t.Cues[n-1].End)
		}
		tm.end = tm.start
		how = fmt.Sprintf("taken as %v, where the cue before ends", tm.start)
	case !tm.endRead:
		how = "end taken as the start"
	}
	b.add(at, ErrTiming, how)
}

// vttStray deals with a block without times, [from, to) of the source.
func vttStray(b *builder, from, to int, first []byte) {
	for _, word := range []string{"NOTE", "STYLE", "REGION"} {
		if bytes.HasPrefix(first, []byte(word)) && (len(first) == len(word) || isBlank(first[len(word)])) {
			return
		}
	}
	if len(bytes.TrimSpace(b.text[from:to])) == 0 {
		return
	}
	if b.cue == nil {
		b.add(from, ErrStrayText, "left out")
		return
	}
	if to == len(b.text) && cutTiming(b.text[from:]) {
		b.add(from, ErrTiming, cutTimingNote)
		return
	}
	b.add(from, ErrBlankLine, "the text after it read as part of the cue")
	b.newline()
	b.cueText(from, to, dialect{vtt: true})
	b.extend(to)
}
