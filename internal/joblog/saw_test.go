package joblog_test

import (
	"testing"

	"longpoint/internal/joblog"
	"longpoint/internal/trim"
)

// A person turns the saw to each angle that is named, so none is named that stays where it is.
func TestSawSaysOnlyWhatIsSet(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		end    trim.End
		en, es string
	}{
		{trim.End{Joint: "square"}, "square", "a escuadra"},
		{trim.End{Joint: "miter", Miter: 45}, "miter 45°", "inglete 45°"},
		{trim.End{Joint: "miter", Bevel: 45}, "bevel 45°", "bisel 45°"},
		{trim.End{Joint: "return", Bevel: 45}, "returned to the wall, bevel 45°", "con retorno a la pared, bisel 45°"},
		{trim.End{Joint: "miter", Miter: 31.619, Bevel: 33.863}, "miter 31.62°, bevel 33.86°", "inglete 31.62°, bisel 33.86°"},
	} {
		en, es := joblog.Reader{Language: "en"}.Saw(tt.end), joblog.Reader{Language: "es"}.Saw(tt.end)
		if en != tt.en || es != tt.es {
			t.Errorf("%+v: %q and %q, want %q and %q", tt.end, en, es, tt.en, tt.es)
		}
	}
}
