package schema

import (
	"encoding/json"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestSeconds(t *testing.T) {
	for _, tt := range []struct {
		s           Seconds
		text, clock string
	}{
		{0, "0", "0:00"}, {3_000, "3", "0:03"}, {3_200, "3.2", "0:03"}, {3_205, "3.205", "0:03"}, {5, "0.005", "0:00"},
		{59_999, "59.999", "0:59"}, {60_000, "60", "1:00"}, {62_205, "62.205", "1:02"}, {600_000, "600", "10:00"},
		{3_599_999, "3599.999", "59:59"}, {3_600_000, "3600", "1:00:00"}, {3_723_004, "3723.004", "1:02:03"},
		{360_000_000, "360000", "100:00:00"}, {-1_500, "-1.5", "-0:01"},
	} {
		if tt.s.String() != tt.text || tt.s.Clock() != tt.clock {
			t.Errorf("%d ms: %s, %s, want %s, %s", int64(tt.s), tt.s, tt.s.Clock(), tt.text, tt.clock)
		}
	}
	for d, want := range map[time.Duration]Seconds{
		1499 * time.Microsecond: 1, 1500 * time.Microsecond: 2, -1500 * time.Microsecond: -2, time.Hour: 3_600_000,
	} {
		if got := SecondsOf(d); got != want {
			t.Errorf("SecondsOf(%v) = %d ms, want %d", d, int64(got), int64(want))
		}
	}
	if d := Seconds(3_205).Duration(); d != 3205*time.Millisecond {
		t.Errorf("Duration %v", d)
	}
}

func TestSecondsJSON(t *testing.T) {
	for _, tt := range []struct {
		in   string
		want Seconds
		ok   bool
	}{
		{"0", 0, true}, {"62.205", 62_205, true}, {"62.2050", 62_205, true}, {"1e3", 1_000_000, true}, {"-1.5", -1_500, true},
		{"62.2051", 0, false}, {`"62"`, 0, false}, {"null", 0, false}, {"1e300", 0, false}, {"1e-9", 0, false}, {"1e400", 0, false},
		{"9223372036854776", 0, false}, {"9223372036854775.807", 9223372036854775807, true},
	} {
		var got Seconds
		if err := json.Unmarshal([]byte(tt.in), &got); (err == nil) != tt.ok || got != tt.want {
			t.Errorf("%s: %d, error %v", tt.in, got, err)
		}
	}
	var s Seconds
	if err := s.UnmarshalJSON([]byte("62.2051")); err == nil ||
		err.Error() != "time 62.2051: finer than a millisecond" {
		t.Errorf("error %v does not say why", err)
	}
	rapid.Check(t, func(t *rapid.T) {
		s := Seconds(rapid.Int64().Draw(t, "ms"))
		b, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		var back Seconds
		if err := json.Unmarshal(b, &back); err != nil || back != s {
			t.Fatalf("%d ms is written %s and read %d, %v", int64(s), b, int64(back), err)
		}
	})
}
