package main

import (
	"bytes"
	"slices"
	"testing"
)

// tiny is a module that imports one function and has three, which its names call in.a, out.b and out.c;
// each body is no locals, i32.const of its number, drop, end.
func tiny() []byte {
	part := func(id byte, body ...byte) []byte { return append([]byte{id, byte(len(body))}, body...) }
	name := func(i byte, s string) []byte { return append([]byte{i, byte(len(s))}, s...) }
	names := append([]byte{4}, slices.Concat(name(0, "imp"), name(1, "in.a"), name(2, "out.b"), name(3, "out.c"))...)
	return slices.Concat(header,
		part(1, 1, 0x60, 0, 0),
		part(importSection, 1, 1, 'm', 1, 'f', importsFunction, 0),
		part(3, 3, 0, 0, 0),
		part(codeSection, 3, 5, 0, i32Const, 1, 0x1a, end, 5, 0, i32Const, 2, 0x1a, end, 5, 0, i32Const, 3, 0x1a, end),
		part(customSection, append([]byte("\x04name"), part(functionNames, names...)...)...),
	)
}

func TestWhatIsUnreachedTraps(t *testing.T) {
	t.Parallel()
	a, b, c := []byte{5, 0, i32Const, 1, 0x1a, end}, []byte{5, 0, i32Const, 2, 0x1a, end}, []byte{5, 0, i32Const, 3, 0x1a, end}
	trapped := append([]byte{byte(len(trap))}, trap...)
	for name, want := range map[string][]byte{
		"out.*": slices.Concat([]byte{3}, a, trapped, trapped),
		"out.c": slices.Concat([]byte{3}, a, b, trapped),
		"in.a":  slices.Concat([]byte{3}, trapped, b, c),
	} {
		out, err := leaveOut(tiny(), []string{name})
		if err != nil {
			t.Fatal(err)
		}
		m, err := parseModule(out)
		if err != nil {
			t.Fatal(err)
		}
		if got := m.section(codeSection).body; !bytes.Equal(got, want) {
			t.Errorf("%s: the code is % x, want % x", name, got, want)
		}
		if m.named() != nil || len(m.sections) != 4 {
			t.Errorf("%s: %d sections are left, want the four that run", name, len(m.sections))
		}
	}
}

func TestAnotherGoIsRefused(t *testing.T) {
	t.Parallel()
	whole := tiny()
	for name, in := range map[string][]byte{
		"nothing so called": whole, "no names": whole[:len(whole)-36], "cut": whole[:len(whole)-1], "no code": header,
	} {
		if out, err := leaveOut(in, []string{"gone.*"}); err == nil {
			t.Errorf("%s: got %d bytes, want a refusal", name, len(out))
		}
	}
	if _, err := leaveOut(whole, []string{"out"}); err == nil {
		t.Error("a name was taken for the start of one")
	}
}
