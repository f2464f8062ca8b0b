package form

import (
	"bytes"
	"encoding/json"
	"strconv"
	"strings"

	"saywatt/schema"
)

func comparePositions(a, b schema.Finding) int {
	if len(a.Positions) == 0 || len(b.Positions) == 0 {
		return len(a.Positions) - len(b.Positions)
	}
	p, q := a.Positions[0], b.Positions[0]
	if p.Line != q.Line {
		return p.Line - q.Line
	}
	return p.Col - q.Col
}

// lookUp follows a JSON pointer (RFC 6901).
func lookUp(v any, pointer string) any {
	for _, part := range pointerParts(pointer) {
		switch in := v.(type) {
		case map[string]any:
			v = in[part]
		case []any:
			i, err := strconv.Atoi(part)
			if err != nil || i < 0 || i >= len(in) {
				return nil
			}
			v = in[i]
		default:
			return nil
		}
	}
	return v
}

var pointerEscapes = strings.NewReplacer("~1", "/", "~0", "~")

func pointerParts(pointer string) []string {
	if pointer == "" {
		return nil
	}
	parts := strings.Split(pointer[1:], "/")
	for i, p := range parts {
		parts[i] = pointerEscapes.Replace(p)
	}
	return parts
}

// pathOf turns a JSON pointer into the path that findings have.
func pathOf(pointer string) string {
	var b strings.Builder
	for _, part := range pointerParts(pointer) {
		if _, err := strconv.Atoi(part); err == nil {
			b.WriteString("[" + part + "]")
			continue
		}
		if b.Len() > 0 {
			b.WriteByte('.')
		}
		b.WriteString(part)
	}
	return b.String()
}

// placesOf gives the offset of every value in a JSON document by its JSON
// pointer. The document must be valid.
func placesOf(document []byte) map[string]int64 {
	places := map[string]int64{}
	d := json.NewDecoder(bytes.NewReader(document))
	d.UseNumber()
	var walk func(pointer string) error
	walk = func(pointer string) error {
		from := d.InputOffset()
		t, err := d.Token()
		if err != nil {
			return err
		}
		for int(from) < len(document) && strings.IndexByte(" \t\r\n:,", document[from]) >= 0 {
			from++
		}
		places[pointer] = from
		switch t {
		case json.Delim('{'):
			for d.More() {
				key, err := d.Token()
				if err != nil {
					return err
				}
				if err := walk(pointer + "/" + escapePointer(key.(string))); err != nil {
					return err
				}
			}
			_, err = d.Token()
		case json.Delim('['):
			for i := 0; d.More(); i++ {
				if err := walk(pointer + "/" + strconv.Itoa(i)); err != nil {
					return err
				}
			}
			_, err = d.Token()
		}
		return err
	}
	if walk("") != nil {
		return nil
	}
	return places
}

func escapePointer(s string) string {
	return strings.ReplaceAll(strings.ReplaceAll(s, "~", "~0"), "/", "~1")
}

// position counts line and column from 1.
func position(document []byte, offset int64) (line, col int) {
	before := document[:min(max(offset, 0), int64(len(document)))]
	return bytes.Count(before, []byte("\n")) + 1, len(before) - (bytes.LastIndexByte(before, '\n') + 1) + 1
}

// lineStarts lists the offsets at which lines begin: positions of many problems
// are looked up there, each counted from the top would take their product.
func lineStarts(document []byte) []int {
	starts := []int{0}
	for i, b := range document {
		if b == '\n' {
			starts = append(starts, i+1)
		}
	}
	return starts
}

// pointerOf turns the path of a place, "levels[3].current", into a JSON pointer.
func pointerOf(path string) string {
	if path == "" {
		return ""
	}
	return "/" + strings.NewReplacer("[", "/", "].", "/", "]", "", ".", "/").Replace(path)
}
