package transcript

import (
	"bytes"
	"embed"
	"strconv"
	"strings"
	"sync"

	"saywatt/schema"
)

//go:embed tables/*.tsv
var tables embed.FS

// A role is what a member of a JSON segment, or a column of a table, holds.
type role uint8

const (
	roleNone role = iota
	roleStart
	roleEnd
	roleDuration
	roleText
	roleWord
	roleWords
	roleOffset
	roleSpeaker
	roleLanguage
	roleOther
)

// roleNames are the roles as tables/keys.tsv writes them.
var roleNames = map[string]role{
	"start": roleStart, "end": roleEnd, "duration": roleDuration, "text": roleText, "word": roleWord,
	"words":  roleWords,
	"offset": roleOffset, "speaker": roleSpeaker, "language": roleLanguage, "other": roleOther,
}

// A key is what a name stands for.
type key struct {
	role  role
	milli bool // a bare number counts milliseconds
}

// keys are the names by form, "json" or "table".
type keys map[string]map[string]key

var loadKeys = sync.OnceValue(func() keys {
	all := keys{"json": {}, "table": {}}
	for _, r := range schema.MustReadTable(tables, "tables/keys.tsv").Rows {
		k := key{roleNames[r.Get("role")], r.Get("unit") == "ms"}
		for form := range all {
			if f := r.Get("form"); f == "any" || f == form {
				all[form][r.Get("key")] = k
			}
		}
	}
	return all
})

// find looks a name up, without regard to case and to blanks at its ends.
func (k keys) find(form string, name []byte) key {
	if len(name) > 40 {
		return key{}
	}
	if found, ok := k[form][string(name)]; ok {
		return found
	}
	return k[form][strings.ToLower(string(bytes.TrimSpace(name)))]
}

// speakerWords are the words for somebody without a name.
var speakerWords = sync.OnceValue(func() map[string]bool {
	all := map[string]bool{}
	for _, r := range schema.MustReadTable(tables, "tables/speakers.tsv").Rows {
		all[r.Get("word")] = true
	}
	return all
})

// A refusal is a row of tables/refused.tsv.
type refusal struct {
	at         string
	offset     int // -1 where at is no number
	mark       []byte
	name, hint string
}

var refusals = sync.OnceValue(func() []refusal {
	var all []refusal
	for _, r := range schema.MustReadTable(tables, "tables/refused.tsv").Rows {
		one := refusal{at: r.Get("at"), offset: -1, name: r.Get("name"), hint: r.Get("hint")}
		if n, err := strconv.Atoi(one.at); err == nil {
			one.offset = n
		}
		mark, err := strconv.Unquote(`"` + r.Get("bytes") + `"`)
		if err != nil {
			panic("tables/refused.tsv: " + r.Get("bytes"))
		}
		one.mark = []byte(mark)
		all = append(all, one)
	}
	return all
})
