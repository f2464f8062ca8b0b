package schema

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Said is one physical quantity as the speaker said it: the words heard, the
// readings of them, the one chosen, and why.
type Said struct {
	Number         int         `json:"number" doc:"1, 2, 3 … in the order said"`
	At             *Seconds    `json:"at" doc:"start of the cue in seconds; null where untimed"`
	Media          string      `json:"media,omitempty" doc:"W3C Media Fragment of the moment, #t=begin,end"`
	Span           Span        `json:"span" doc:"[start, end) byte offsets of the heard words in the source file"`
	Spans          []Span      `json:"spans,omitempty" doc:"every occurrence, where captions roll"`
	Heard          string      `json:"heard" doc:"the words, cue breaks as one space"`
	Context        string      `json:"context,omitempty" doc:"the words around them"`
	Kind           Kind        `json:"kind" doc:"physical kind"`
	Quantity       Quantity    `json:"quantity" doc:"the chosen reading"`
	Qualifier      Qualifier   `json:"qualifier,omitempty" doc:"hedge or comparator"`
	Status         Status      `json:"status" doc:"heard, repaired, open or settled"`
	Confidence     float64     `json:"confidence" doc:"posterior probability of the chosen reading, 0 to 1"`
	Readings       []Reading   `json:"readings" doc:"up to five readings, best first, the chosen one included"`
	Nothing        float64     `json:"nothing,omitempty" doc:"probability that no quantity was said there, 0 to 1; what this and the readings leave is that of another value"`
	Role           string      `json:"role,omitempty" doc:"what kind of place it was read for: level.voltage, fuse.current, …"`
	Place          string      `json:"place" doc:"path of the field it fills, empty where none"`
	Belongs        []Belonging `json:"belongs,omitempty" doc:"what it may belong to, likeliest first, where that is in doubt"`
	BelongsSettled bool        `json:"belongs_settled,omitempty" doc:"a person said what it belongs to"`
	Aside          Aside       `json:"aside,omitempty" doc:"why it is of nothing of the product"`
	Information    float64     `json:"information,omitempty" doc:"of an open one: what an answer would say, in bits, its own doubt and its neighbours'; ask the largest first"`
	Withdrawn      bool        `json:"withdrawn,omitempty" doc:"the speaker took it back"`
	Why            []string    `json:"why" doc:"each piece of evidence for or against, with its source"`
}

// LikeKind reports whether a quantity is of the kind that this one is read as, or
// of one that converts into it: an apparent power is like a power. Who says a
// voltage where a current is read may have slipped.
func (s *Said) LikeKind(q *Quantity) bool {
	read, k := s.Quantity.Unit.Kind(), q.Unit.Kind()
	return k == read || read == KindUnknown || k != KindOther && read != KindOther && read.Convertible(k)
}

// Reading is one interpretation of heard words. The sum of the terms is its
// score, a natural-log probability up to a constant common to the readings of
// one quantity.
type Reading struct {
	Quantity   Quantity `json:"quantity" doc:"exact value or range with UCUM unit"`
	Confidence float64  `json:"confidence" doc:"posterior probability, 0 to 1"`
	Terms      []Term   `json:"terms,omitempty" doc:"the parts of its score"`
}

// Term is one named part of a reading's score.
type Term struct {
	Name  string  `json:"name" doc:"prior, channel, context, or the name of a rule"`
	Score float64 `json:"score" doc:"natural-log probability or ratio"`
	Note  string  `json:"note,omitempty" doc:"in plain words, with source"`
}

// Seconds is a moment or a length of time in whole milliseconds, written as a
// number of seconds.
type Seconds int64

// MediaFragment is the address of a stretch of sound or film, in seconds:
// "#t=12.5,15" (W3C Media Fragments URI 1.0, 4.2.1).
func MediaFragment(from, to Seconds) string { return "#t=" + from.String() + "," + to.String() }

// SecondsOf rounds a duration to milliseconds.
func SecondsOf(d time.Duration) Seconds { return Seconds(d.Round(time.Millisecond).Milliseconds()) }

// Duration returns the time as a duration.
func (s Seconds) Duration() time.Duration { return time.Duration(s) * time.Millisecond }

// String writes "3", "3.2", "3.205".
func (s Seconds) String() string {
	sign, ms := s.split()
	if ms%1000 == 0 {
		return sign + strconv.FormatUint(ms/1000, 10)
	}
	part := strconv.FormatUint(1000+ms%1000, 10)[1:] // three digits
	return sign + strconv.FormatUint(ms/1000, 10) + "." + strings.TrimRight(part, "0")
}

// Clock writes "1:02", "1:02:03": a time for people.
func (s Seconds) Clock() string {
	sign, ms := s.split()
	t := ms / 1000
	if t >= 3600 {
		return fmt.Sprintf("%s%d:%02d:%02d", sign, t/3600, t/60%60, t%60)
	}
	return fmt.Sprintf("%s%d:%02d", sign, t/60, t%60)
}

// split gives the sign and the magnitude in milliseconds.
func (s Seconds) split() (sign string, ms uint64) {
	if s < 0 {
		return "-", -uint64(s)
	}
	return "", uint64(s)
}

// MarshalJSON writes a number of seconds.
func (s Seconds) MarshalJSON() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalJSON reads a number of seconds with up to three decimals.
func (s *Seconds) UnmarshalJSON(b []byte) error {
	d, err := ParseDecimal(string(b))
	if err != nil {
		return err
	}
	ms := d.Shift(3)
	if !ms.IsWhole() {
		return fmt.Errorf("time %s: finer than a millisecond", b)
	}
	n, err := strconv.ParseInt(ms.Trim().String(), 10, 64)
	if err != nil {
		return fmt.Errorf("time %s: %w", b, err)
	}
	*s = Seconds(n)
	return nil
}

// Unplaced reports whether the quantity fills no field of the record, though
// the speaker did not take it back.
func (s *Said) Unplaced() bool { return s.Place == "" && !s.Withdrawn }
