package main

import "testing"

// What a node keeps may wander by a tenth; a leak of a megabyte in a quarter of an hour may not be missed.
func TestTheSoakSeesALeak(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		kept []float64
		want bool
	}{
		{[]float64{38, 40, 37, 39}, false},
		{[]float64{38, 52, 37, 36}, false},
		{[]float64{24, 25, 26, 27}, true},
		{[]float64{38, 38, 38, 43}, true},
	} {
		if got := grows(c.kept); got != c.want {
			t.Errorf("%v grows: got %t, want %t", c.kept, got, c.want)
		}
	}
}
