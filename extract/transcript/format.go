package transcript

import (
	"bytes"
	"fmt"
)

// Format is how a file writes its words and times. The zero value is unusable.
type Format int

const (
	FormatUnknown Format = iota
	FormatVTT            // WebVTT: The Web Video Text Tracks Format, W3C
	FormatSRT            // SubRip text
	FormatTTML           // Timed Text Markup Language 1 and 2, IMSC text profile, W3C
	FormatStamped        // plain text with a time at the head of its lines
	FormatNotes          // plain text or Markdown without times
	FormatSBV            // captions with "0:00:01.000,0:00:02.500" above their words; SubViewer
	FormatASS            // SubStation Alpha and Advanced SubStation Alpha, their text events
	FormatJSON           // JSON with a list of timed segments, or of events with segments of words
	FormatTable          // CSV or TSV with a column of times and one of words
	FormatSpeaker        // a transcript with lines such as "Speaker 1  00:12"
	FormatDOCX           // a Word document (ECMA-376), its text in any of the plain forms
)

var formatNames = [...]string{
	"unknown", "vtt", "srt", "ttml", "stamped", "notes", "sbv", "ass", "json", "table", "speaker", "docx",
}

// String returns the short name: "vtt", "srt", "ttml", "stamped", "notes",
// "sbv", "ass", "json", "table", "speaker", "docx".
func (f Format) String() string {
	if f < 0 || int(f) >= len(formatNames) {
		return fmt.Sprintf("Format(%d)", int(f))
	}
	return formatNames[f]
}

// sniff gives the format by content alone; it is never at a loss, since any
// text can be notes.
//
//	WEBVTT leads, as the standard asks or nearly so   vtt
//	an XML declaration or a tt element leads          ttml
//	a brace with a name, or a list, opens             json
//	[Script Info], [Events] or "Dialogue:" leads      ass
//	some line reads "time --> time"                   srt
//	a line reads "time,time"                          sbv
//	columns of times and of words                     table
//	lines begin with times that mostly ascend         stamped
//	lines of a name and a time that ascend            speaker
//	otherwise                                         notes
func sniff(s *source) Format {
	head := bytes.TrimLeft(s.text, " \t\r\n\f\ufeff")
	switch {
	case len(head) >= 6 && bytes.EqualFold(head[:6], []byte("WEBVTT")) && !continues(head[6:]):
		return FormatVTT
	case bytes.HasPrefix(head, []byte("<?xml")), isTT(head):
		return FormatTTML
	case isJSON(head):
		return FormatJSON
	case isASS(head):
		return FormatASS
	case hasTiming(s):
		return FormatSRT
	case hasSBV(s):
		return FormatSBV
	case isTable(s):
		return FormatTable
	case isStamped(s):
		return FormatStamped
	case isSpeaker(s):
		return FormatSpeaker
	}
	return FormatNotes
}

// continues reports whether a word goes on at the start of rest.
func continues(rest []byte) bool {
	return len(rest) > 0 && (isWord(rest[0]) || rest[0] == '-' || rest[0] >= 0x80)
}

func isWord(c byte) bool {
	return isDigit(c) || 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' || c == '_'
}

// isTT reports whether text starts with a tt element, prefixed or not, after
// any comments.
func isTT(text []byte) bool {
	for bytes.HasPrefix(text, []byte("<!--")) {
		end := bytes.Index(text, []byte("-->"))
		if end < 0 {
			return false
		}
		text = bytes.TrimLeft(text[end+3:], " \t\r\n")
	}
	if len(text) < 4 || text[0] != '<' {
		return false
	}
	name := text[1:min(len(text), 64)]
	if end := bytes.IndexAny(name, " \t\r\n>/"); end >= 0 {
		name = name[:end]
	}
	return string(name) == "tt" || bytes.HasSuffix(name, []byte(":tt"))
}

// hasTiming reports whether any line is a cue timing. It stops at the first.
func hasTiming(s *source) bool {
	arrow := []byte("-->")
	for i := 0; ; {
		n := bytes.Index(s.text[i:], arrow)
		if n < 0 {
			return false
		}
		line, _ := s.position(i + n)
		from, to := s.line(line - 1)
		if tm := readTiming(s.text[from:to]); tm.startRead && tm.endRead {
			return true
		}
		i = to // one look at each line keeps this linear
	}
}
