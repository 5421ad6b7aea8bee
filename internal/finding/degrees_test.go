package finding_test

import (
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/length"
)

// Freezing and boiling water, the point where both scales agree, and temperatures that the
// Wood Handbook's table 4-2 is printed for, beside its Celsius labels.
func TestDegrees(t *testing.T) {
	t.Parallel()
	for tenths, want := range map[int64][2]string{
		0: {"32 °F", "0 °C"}, 1000: {"212 °F", "100 °C"}, -400: {"-40 °F", "-40 °C"}, -11: {"30 °F", "-1.1 °C"},
		211: {"70 °F", "21.1 °C"}, 322: {"90 °F", "32.2 °C"}, 600: {"140 °F", "60 °C"}, -178: {"0 °F", "-17.8 °C"},
	} {
		if f, c := finding.Degrees(tenths, length.Inches), finding.Degrees(tenths, length.Millimeters); f != want[0] || c != want[1] {
			t.Errorf("%d tenths: %s and %s, want %v", tenths, f, c, want)
		}
	}
}

// A pass given for a stop years ago is found by its key: a temperature's has to stay what it was
// when it was plain text.
func TestATemperaturesKeyIsItsText(t *testing.T) {
	t.Parallel()
	was := finding.New("put_on_too_cold", finding.Stop).Text("celsius", "9.9").Text("coldest", "10")
	is := finding.New("put_on_too_cold", finding.Stop).Deg("celsius", 99).Deg("coldest", 100)
	if was.Key() != is.Key() {
		t.Errorf("%q, want %q", is.Key(), was.Key())
	}
}
