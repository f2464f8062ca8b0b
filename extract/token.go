package extract

import "saywatt/schema"

// TokenKind is the kind of a Token.
type TokenKind uint8

// The kinds of token.
const (
	TokenNone   TokenKind = iota
	TokenWord             // letters, perhaps with digits after them: "volts", "C1", "mΩ"
	TokenNumber           // digits with inner points and commas: "325", "3.25", "10,000", ".95"
	TokenSign             // one punctuation mark or symbol: "%", "-", "/", "$"
	TokenBreak            // a line or cue break
	TokenPara             // a paragraph break
)

// Token is the smallest scanned unit of the joined text.
type Token struct {
	Start, End int32     // byte offsets in the text
	Word       int32     // index into the lexicon, 0 where the lexicon has no such word
	Kind       TokenKind // what it is
	Glued      bool      // no white space between it and the token before
	Comma      bool      // a number whose comma is the decimal sign: 3,25
	Apart      uint8     // how far the word is from what was shown, in tenths of a nat; 0: as shown (see rehear.go)
}

// Span returns the token's place in the text.
func (t Token) Span() schema.Span { return schema.Span{Start: int(t.Start), End: int(t.End)} }
