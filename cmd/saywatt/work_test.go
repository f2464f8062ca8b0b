package main

import (
	"slices"
	"testing"
)

// Metrics are for this machine unless an address says otherwise.
func TestMetricsAddress(t *testing.T) {
	for given, want := range map[string]string{
		"9100": "127.0.0.1:9100", ":9100": "127.0.0.1:9100", "0.0.0.0:9100": "0.0.0.0:9100", "[::1]:9100": "[::1]:9100", "10.0.0.5:1": "10.0.0.5:1",
	} {
		if got := metricsAddress(given); got != want {
			t.Errorf("%s is %s, want %s", given, got, want)
		}
	}
}

func TestNumbers(t *testing.T) {
	for list, want := range map[string][]int{
		"": nil, "0": {0}, "0,2-4": {0, 2, 3, 4}, "3-3,0": {0, 3}, "1,1-2": {1, 2},
	} {
		if got, err := numbers(list, 5); err != nil || !slices.Equal(got, want) {
			t.Errorf("%q: %v, %v; want %v", list, got, err, want)
		}
	}
	for _, list := range []string{"5", "-1", "2-1", "a", "1-x", "0-5"} {
		if got, err := numbers(list, 5); err == nil {
			t.Errorf("%q is taken for %v", list, got)
		}
	}
}
