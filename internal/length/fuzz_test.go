package length_test

import (
	"testing"

	"longpoint/internal/length"
)

// FuzzParse: no panic; what is read is in range and reads back from its exact value and, on a
// mark, from its print; what is refused says why and, where it names what to type, that reads.
func FuzzParse(f *testing.F) {
	for _, n := range notations {
		f.Add(n.in)
	}
	for _, s := range []string{
		"", "-", "9/8", "5/3", "5/0", "6' 20cm", "6' 14\"", "79 - 5/8", "2,018 mm", "0-", "/8", "795/8", "1.2.3",
		"twenty three sixty-fourths", "6 feet and a half", "\xff", "''''", "2000.", "7'1120", "99999999999999999999/64 ft", "a an of of",
	} {
		f.Add(s)
	}
	st := length.Style{Step: length.SixtyFourth}
	f.Fuzz(func(t *testing.T, s string) {
		for _, unit := range []length.Unit{length.Inches, length.Millimeters} {
			l, err := length.Parse(s, unit)
			if err != nil {
				e := refusal(t, err)
				if e.Input != s || l != 0 {
					t.Fatalf("Parse(%q): want the input and 0, got %q and %d", s, e.Input, l)
				}
				if e.Instead != "" {
					if _, err := length.Parse(e.Instead, unit); err != nil {
						t.Fatalf("Parse(%q) says to type %q, which is refused: %v", s, e.Instead, err)
					}
				}
				if v, err := length.ParseSigned(s, unit); err == nil && v.Abs() > length.Longest {
					t.Fatalf("ParseSigned(%q): %d is out of range", s, v)
				}
				continue
			}
			if l < 0 || l > length.Longest {
				t.Fatalf("Parse(%q): %d is out of range", s, l)
			}
			if signed, err := length.ParseSigned(s, unit); err != nil || signed != l {
				t.Fatalf("ParseSigned(%q): want %d as Parse, got %d, %v", s, l, signed, err)
			}
			for _, u := range []length.Unit{length.Inches, length.Millimeters} {
				if got, err := length.ParseSigned(l.Exact(u), unit); err != nil || got != l {
					t.Fatalf("Parse(%q) = %d, exactly %q: read back %d, %v", s, l, l.Exact(u), got, err)
				}
			}
			if l%length.SixtyFourth == 0 {
				if got, err := length.Parse(l.Print(st), length.Inches); err != nil || got != l {
					t.Fatalf("Parse(%q) = %d, prints %q: read back %d, %v", s, l, l.Print(st), got, err)
				}
			}
		}
	})
}

func BenchmarkParse(b *testing.B) {
	for _, s := range []string{"79 5/8", `6' 7 5/8"-`, "2018 mm", "seventy-nine and five-eighths inches"} {
		b.Run(s, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := length.Parse(s, length.Inches); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
