package edit

import (
	"encoding/binary"
	"unicode/utf16"

	"saywatt/extract/transcript"
)

// inEncoding writes text in the encoding of the file.
func inEncoding(t *transcript.Transcript, text string) []byte {
	switch t.Encoding {
	case "utf-16le":
		return encode16(text, binary.LittleEndian)
	case "utf-16be":
		return encode16(text, binary.BigEndian)
	}
	return []byte(text)
}

func encode16(text string, order binary.AppendByteOrder) []byte {
	var b []byte
	for _, u := range utf16.Encode([]rune(text)) {
		b = order.AppendUint16(b, u)
	}
	return b
}
