package yard_test

import (
	"testing"

	"longpoint/internal/demo"
	"longpoint/internal/yard"
)

// TestShoeTakesBrads: shoe of 1/2 is nailed into the base, with 1/2 in it at least (common
// practice), and no nail for the studs is counted for it.
func TestShoeTakesBrads(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	v := h.look(h.plan(yard.Ask{Items: []string{h.item("Mudroom shoe").ID}, Nest: true}, demo.Yard()))
	var nails []string
	for _, s := range v.Supplies {
		nails = append(nails, s.Label)
	}
	if len(nails) == 0 || nails[0] != "18-gauge brads 1" {
		t.Errorf("supplies are %q, want 1 in brads first", nails)
	}
	for _, l := range nails {
		if l == "15-gauge nails 1 3/4" {
			t.Errorf("supplies are %q, want no nails for the studs", nails)
		}
	}
}
