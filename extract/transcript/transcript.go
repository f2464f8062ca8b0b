package transcript

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"time"
)

// DefaultMaxBytes is the largest file Read takes where Options say nothing:
// some thousand hours of captions.
const DefaultMaxBytes = 64 << 20

// Options for Read. The zero value works.
type Options struct {
	Name     string // for messages; "-" where empty
	MaxBytes int64  // largest input; 0 means DefaultMaxBytes
}

// A Transcript is a caption, transcript or notes file as read: its words once,
// as one text, and for every byte of that text where it stands in the file and
// when it was said. It is immutable and safe for concurrent use.
type Transcript struct {
	Name     string
	Format   Format
	Encoding string        // "utf-8", "utf-8-bom", "utf-16le", "utf-16be"
	Source   []byte        // the file's bytes; not copied, must not be changed
	Taken    bool          // Source is the text taken out of the file, which has it compressed
	Hash     string        // SHA-256 of the file in lower-case hexadecimal
	Language string        // as the file says it, mostly a tag of BCP 47; "" where it does not
	Duration time.Duration // latest time a cue names; 0 when untimed
	Timed    bool

	// Parts are the files that Join made this of; nil for one file.
	Parts []Part

	// Cues in file order, whatever their times say.
	Cues []Cue

	// Text is the words said, UTF-8, each once. A line break inside a cue and
	// a cue break are "\n", a paragraph break of notes is "\n\n"; there is
	// none at either end.
	Text []byte

	// Problems says what could not be read or was read leniently, in file
	// order; complaints about the file as a whole come last.
	Problems []*ParseError

	src     *source
	pieces  []piece  // in text order
	repeats []repeat // by text, then by source
	again   []piece  // pieces of the repeats
	stamps  []stamp  // in text order
	foreign string   // why it is not English; "" where it may be
}

// Read reads all of r and parses it. It fails with ErrTooBig past the limit,
// with r's own error, and as Parse does.
func Read(r io.Reader, o Options) (*Transcript, error) {
	limit, name := o.MaxBytes, o.Name
	if limit == 0 {
		limit = DefaultMaxBytes
	}
	if name == "" {
		name = "-"
	}
	var buf bytes.Buffer
	n, err := io.Copy(&buf, io.LimitReader(r, limit+1))
	if err != nil {
		return nil, &ParseError{Name: name, Err: err}
	}
	if n > limit {
		return nil, &ParseError{Name: name, Err: fmt.Errorf("%w: more than %d bytes", ErrTooBig, limit)}
	}
	return Parse(name, buf.Bytes())
}

// HashOf is the hash of a file's bytes as transcripts and records have it: SHA-256
// in hexadecimal digits.
func HashOf(src []byte) string {
	sum := sha256.Sum256(src)
	return hex.EncodeToString(sum[:])
}

// Parse reads src, knowing the format by content. src is kept, not copied. The
// error is a *ParseError wrapping ErrEmpty, ErrNotText, ErrEncoding, ErrTooBig,
// ErrNotTTML, ErrDTD, ErrForm, ErrJSON, ErrNotTimed, ErrRecord or ErrDocument;
// everything less is in Transcript.Problems.
func Parse(name string, src []byte) (*Transcript, error) {
	hash, taken := HashOf(src), false
	if isZIP(src) {
		text, ok, err := docxText(name, src)
		if err != nil {
			return nil, err
		}
		if taken = ok; ok {
			src = text
		}
	}
	if !taken {
		if err := refuseBytes(name, src); err != nil {
			return nil, err
		}
	}
	s, err := newSource(name, src)
	if err != nil {
		return nil, err
	}
	if err := refuseText(s); err != nil {
		return nil, err
	}
	b := newBuilder(s)
	b.t.Taken = taken
	format, err := b.read(sniff(s))
	if err != nil {
		return nil, err
	}
	if taken {
		format = FormatDOCX
	}
	b.tellLanguage()
	t := b.finish()
	t.Format = format
	t.Hash = hash
	return t, nil
}

// read reads the source in a format.
func (b *builder) read(f Format) (Format, error) {
	switch f {
	case FormatVTT:
		readVTT(b)
	case FormatSRT:
		readSRT(b)
	case FormatTTML:
		return f, readTTML(b)
	case FormatStamped:
		readStamped(b)
	case FormatSBV:
		readSBV(b)
	case FormatASS:
		readASS(b)
	case FormatJSON:
		return f, readJSON(b)
	case FormatTable:
		readTable(b)
	case FormatSpeaker:
		readSpeaker(b)
	default:
		readNotes(b)
		return FormatNotes, nil
	}
	return f, nil
}

// Call gives the file another name, in what is wrong with it too.
func (t *Transcript) Call(name string) {
	t.Name = name
	for _, p := range t.Problems {
		p.Name = name
	}
}
