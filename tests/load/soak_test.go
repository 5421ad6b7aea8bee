package main

import (
	"math"
	"math/rand/v2"
	"testing"
)

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

// Memory that goes up and down shows no trend; the same with a leak in it does, and one sample that sticks out changes
// nothing.
func TestTheTrendSeesALeak(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(1, 2))
	flat := make([]float64, 27)
	for i := range flat {
		flat[i] = 80 + 8*r.Float64() // as a collected heap does
	}
	flat[20] = 160
	if got := trend(flat) * 26; math.Abs(got) > 80*mayGrow {
		t.Errorf("a flat one grows by %.1f MB", got)
	}
	leak := make([]float64, len(flat))
	for i := range leak {
		leak[i] = flat[i] + float64(i)*0.5
	}
	if got := trend(leak) * 26; got < 80*mayGrow || math.Abs(got-13) > 4 {
		t.Errorf("a leak of 13 MB: the trend says %.1f", got)
	}
	// The worked example of a line: every slope is the same.
	if got := trend([]float64{1, 3, 5, 7}); got != 2 {
		t.Errorf("a line: got %v, want 2", got)
	}
}
