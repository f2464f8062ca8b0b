package schema

import (
	"encoding/json"
	"errors"
	"testing"
)

func TestCheckKeys(t *testing.T) {
	for document, want := range map[string]string{
		`{"a":1,"b":2}`:                      "",
		`{"a":{"a":[{"a":1},{"a":2}]}}`:      "",
		`{"a":"b","b":"a,\"a\":"}`:           "",
		`[{"a":1},{"a":2},"a","a"]`:          "",
		`{"a":1,"a":2}`:                      "a",
		`{"a":1,"\u0061":2}`:                 "a",
		`{"b":[1,{"x":{},"y":[],"x":null}]}`: "x",
		`{"a":{"b":1}, "c":[[]], "a":0}`:     "a",
		`"a"`:                                "",
	} {
		err := CheckKeys([]byte(document))
		var twice *KeyError
		switch {
		case want == "" && err != nil:
			t.Errorf("%s: %v", document, err)
		case want != "" && (!errors.As(err, &twice) || twice.Key != want || !errors.Is(err, ErrTwice)):
			t.Errorf("%s: %v, want %s given twice", document, err, want)
		}
	}
}

func FuzzCheckKeys(f *testing.F) {
	f.Add([]byte(`{"a":[{"b":"\""},1],"a":{}}`))
	f.Fuzz(func(t *testing.T, document []byte) {
		if err := CheckKeys(document); err == nil && json.Valid(document) {
			var m map[string]json.RawMessage
			if json.Unmarshal(document, &m) == nil {
				again, err := json.Marshal(m)
				if err != nil || CheckKeys(again) != nil {
					t.Errorf("%s written again: %v, %v", document, err, CheckKeys(again))
				}
			}
		}
	})
}
