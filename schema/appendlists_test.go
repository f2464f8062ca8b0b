package schema

import (
	"bytes"
	"reflect"
	"testing"
)

// Records on one line are written by hand: with all fields filled, and with any one
// of them empty, in the record or in what it holds, a line is what encoding/json
// writes, or an error where that gives one.
func TestLineEveryField(t *testing.T) {
	var r Record
	fillValue(t, reflect.ValueOf(&r).Elem())
	checkLine(t, "all", &r)
	emptied := 0
	var empty func(path string, v reflect.Value)
	empty = func(path string, v reflect.Value) {
		switch v.Interface().(type) {
		case Decimal, Quantity, Said:
			return
		}
		was := reflect.ValueOf(v.Interface())
		v.SetZero()
		checkLine(t, path, &r)
		v.Set(was)
		emptied++
		switch v.Kind() {
		case reflect.Pointer:
			empty(path+"*", v.Elem())
		case reflect.Slice:
			empty(path+"[]", v.Index(0))
		case reflect.Struct:
			for i := range v.NumField() {
				empty(path+"."+v.Type().Field(i).Name, v.Field(i))
			}
		}
	}
	v := reflect.ValueOf(&r).Elem()
	for i := range v.NumField() {
		empty(v.Type().Field(i).Name, v.Field(i))
	}
	if emptied < 200 {
		t.Errorf("only %d fields emptied", emptied)
	}
}

func checkLine(t *testing.T, path string, r *Record) {
	t.Helper()
	c := r.bare()
	if c.Quantities = r.Quantities; c.Quantities == nil {
		c.Quantities = []Said{}
	}
	want, wanted := encoded(c)
	var got bytes.Buffer
	err := r.WriteLine(&got)
	switch {
	case wanted != nil && err == nil:
		t.Errorf("%s: written, where encoding/json has: %v", path, wanted)
	case wanted == nil && err != nil:
		t.Errorf("%s: %v", path, err)
	case wanted == nil && got.String() != want+"\n":
		t.Errorf("%s:\n%s, want\n%s", path, got.String(), want)
	}
}
