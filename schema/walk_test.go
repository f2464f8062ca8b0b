package schema

import (
	"reflect"
	"slices"
	"strings"
	"testing"
)

// TestEachValue: every value of a record with all fields filled is given once, with a path
// of its own.
func TestEachValue(t *testing.T) {
	r := sampleRecord()
	var want []*Value
	var collect func(reflect.Value)
	collect = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Pointer:
			if !v.IsNil() {
				collect(v.Elem())
			}
		case reflect.Slice:
			for i := range v.Len() {
				collect(v.Index(i))
			}
		case reflect.Struct:
			if value, ok := v.Addr().Interface().(*Value); ok {
				want = append(want, value)
				return
			}
			for i := range v.NumField() {
				if v.Type().Field(i).IsExported() {
					collect(v.Field(i))
				}
			}
		}
	}
	collect(reflect.ValueOf(r))
	var got []*Value
	paths := map[string]bool{}
	r.EachValue(func(v *Value, path ...string) {
		got = append(got, v)
		paths[strings.Join(path, "")] = true
	})
	for _, v := range want {
		if !slices.Contains(got, v) {
			t.Errorf("%s is not given", &v.Quantity)
		}
	}
	if len(got) != len(want) || len(paths) != len(got) {
		t.Errorf("%d values given with %d paths, want %d with as many", len(got), len(paths), len(want))
	}
	for _, path := range []string{"body.mass", "levels[0].current", "battery.pack.full", "cable.data_rate",
		"measurements[0].condition.mains"} {
		if !paths[path] {
			t.Errorf("no value has the path %s: %v", path, paths)
		}
	}
}
