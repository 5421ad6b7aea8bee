package tests

import (
	"os/exec"
	"strings"
	"testing"
)

// TestPhotosAreTakenInWithinMemory is the short form of make bench-photos: photos of 12
// megapixels, eight at a time, in a process of its own whose memory the kernel counts.
func TestPhotosAreTakenInWithinMemory(t *testing.T) {
	t.Parallel()
	out, err := exec.CommandContext(t.Context(), "go", "run", "./bench/photos", "-n", "16").CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	t.Log(strings.TrimSpace(string(out)))
}
