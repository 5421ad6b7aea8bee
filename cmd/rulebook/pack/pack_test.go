package main

import (
	"bytes"
	"encoding/binary"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestImageSurvives: any memory image written and read again is the same image.
func TestImageSurvives(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var image []byte
		for range rapid.IntRange(0, 6).Draw(t, "runs") {
			image = append(image, rapid.SliceOfN(rapid.Byte(), 0, 20).Draw(t, "bytes")...)
			image = append(image, make([]byte, rapid.SampledFrom([]int{0, 1, gap - 1, gap, gap + 1, 5 * gap}).Draw(t, "zeros"))...)
		}
		section := encodeData(image)
		got, err := parseData(section)
		if err != nil {
			t.Fatal(err)
		}
		// Trailing zeros are memory's own.
		if want := bytes.TrimRight(image, "\x00"); !bytes.Equal(bytes.TrimRight(got, "\x00"), want) {
			t.Fatalf("got %d bytes, want %d", len(got), len(want))
		}
		if zeros := make([]byte, 2*gap); bytes.Contains(section, zeros) {
			t.Fatalf("a run of %d zeros was written out", len(zeros))
		}
	})
}

func TestLaterSegmentsWin(t *testing.T) {
	t.Parallel()
	section := []byte{2, 0, i32Const, 4, end, 3, 'a', 'b', 'c', 0, i32Const, 5, end, 1, 'x'}
	got, err := parseData(section)
	if err != nil || string(got) != "\x00\x00\x00\x00axc" {
		t.Errorf("got %q %v, want axc at 4", got, err)
	}
}

func TestBrokenModulesAreRefused(t *testing.T) {
	t.Parallel()
	for name, in := range map[string][]byte{
		"empty": {}, "not wasm": []byte("ELF"), "cut": append(bytes.Clone(header), dataSection, 9, 0), "no data": bytes.Clone(header),
		"passive": append(bytes.Clone(header), dataSection, 4, 1, 1, 1, 'x'), "no table": append(bytes.Clone(header), dataSection, 7, 1, 0, i32Const, 0, end, 1, 'x'),
	} {
		if out, err := pack(in); err == nil {
			t.Errorf("%s: got %d bytes, want a refusal", name, len(out))
		}
	}
}

// image is a memory image with a function table of two functions: the first with a stack, a
// file and a line table, one of stops, one map of pointers, and a layout of arguments; the
// second sharing the first's line table as its stack table. The table that finds functions has
// buckets for 20 functions.
func image(t *testing.T) (img []byte, shared, funcs int) {
	t.Helper()
	tables := []byte{0, 2, 1, 0, 4, 2, 0, 6, 3, 0, 8, 4, 0, 2, 9, 0} // at 1, 4, 7, 10, 13
	put := func(b []byte, v uint32) []byte { return binary.LittleEndian.AppendUint32(b, v) }
	function := func(entry, sp, file, line uint32, maps, data []uint32) []byte {
		f := put(put(put(put(nil, entry), 7), 8), 9)
		f = put(put(put(f, sp), file), line)
		f = put(put(put(f, uint32(len(maps))), 11), 12)
		f = append(f, 0, 0, 0, byte(len(data)))
		for _, m := range append(maps, data...) {
			f = put(f, m)
		}
		return f
	}
	first := function(0x100, 1, 4, 7, []uint32{13, 10}, []uint32{4, noData, noData, noData, noData, 0})
	second := function(0x200, 7, 0, 4, nil, nil)
	ftab := put(put(put(put(put(nil, 0x100), 20), 0x200), uint32(20+len(first))), 0x300)
	ftab = append(append(ftab, first...), second...)
	funcnames, filenames := []byte("main.work\x00"), []byte("a.go\x00")
	names := headerSize
	files := names + len(funcnames)
	shared = files + len(filenames)
	funcs = shared + len(tables)
	h := bytes.Clone(magic)
	for _, v := range []int{2, 1, 0, names, files, files, shared, funcs} {
		h = binary.LittleEndian.AppendUint64(h, uint64(v))
	}
	const before = 8
	img = append(append(append(append(append([]byte("\x00\x00before"), h...), funcnames...), filenames...), tables...), ftab...)
	data := len(img)
	img = append(img, 0, 8, argsEnd, 0, 1, 0, 0, 0)
	find := len(img)
	for i := range 20 {
		img = append(put(img, uint32(i)), make([]byte, bucketSize-4)...)
	}
	module := make([]byte, 8*(pclnEnd+1))
	for word, v := range map[int]int{0: before, 13: before + funcs, 16: before + funcs, findTable: find, firstPC: 0, lastPC: 20 * bucketSpan, funcData: data, pclnEnd: find} {
		binary.LittleEndian.PutUint64(module[8*word:], uint64(v))
	}
	img = append(append(img, "end"...), module...)
	return append(img, "\x00\x0a*main.work+json:\"name,omitempty\" doc:\"As supplied\" after"...), before + shared, before + funcs
}

// TestFunctionsAreStillFound walks as the runtime does from where a bucket says.
func TestFunctionsAreStillFound(t *testing.T) {
	t.Parallel()
	img, _, _ := image(t)
	if err := blankLines(img); err != nil {
		t.Fatal(err)
	}
	find := bytes.Index(img, []byte("end")) - 20*bucketSize
	for i := range uint32(20) {
		got := binary.LittleEndian.Uint32(img[find+int(i)*bucketSize:])
		if got > i || i-got >= bucketSteps {
			t.Errorf("function %d is looked for from %d", i, got)
		}
	}
	if data := img[find-8:]; !bytes.Equal(data[:8], []byte{0, 0, 0, 0, 1, 0, 0, 0}) {
		t.Errorf("functions' data is %v: the layout of arguments is to go, the map of pointers to stay", data[:8])
	}
}

// TestLinesAreBlanked keeps what the collector reads, also where a trace's table shares it.
func TestLinesAreBlanked(t *testing.T) {
	t.Parallel()
	img, shared, funcs := image(t)
	if err := blankLines(img); err != nil {
		t.Fatal(err)
	}
	if got, want := img[shared:shared+16], []byte{0, 2, 1, 0, 0, 0, 0, 6, 3, 0, 8, 4, 0, 0, 0, 0}; !bytes.Equal(got, want) {
		t.Errorf("tables: got %v, want %v", got, want)
	}
	for i, at := range []int{funcs + 20, funcs + 20 + funcSize + 4*8} {
		f := img[at:]
		for name, off := range map[string]int{"name": 4, "file table": 20, "line table": 24, "unit": 32, "first line": 36} {
			if v := binary.LittleEndian.Uint32(f[off:]); v != 0 {
				t.Errorf("function %d: %s is %d, want 0", i, name, v)
			}
		}
		if sp := binary.LittleEndian.Uint32(f[16:]); sp != []uint32{1, 7}[i] {
			t.Errorf("function %d: stack table is %d", i, sp)
		}
	}
	if bytes.Contains(img, []byte("a.go")) {
		t.Error("a file's name is still there")
	}
	if bytes.Contains(img, []byte("main.work\x00")) {
		t.Error("a function's name is still there")
	}
}

func TestUnknownTablesAreRefused(t *testing.T) {
	t.Parallel()
	for name, spoil := range map[string]func([]byte, int, int) []byte{
		"no table":    func(img []byte, _, _ int) []byte { return bytes.ReplaceAll(img, magic, []byte("12345678")) },
		"two tables":  func(img []byte, _, _ int) []byte { return append(img, magic...) },
		"cut":         func(img []byte, _, funcs int) []byte { return img[:funcs+30] },
		"entry":       func(img []byte, _, funcs int) []byte { img[funcs+20]++; return img },
		"maps":        func(img []byte, _, funcs int) []byte { img[funcs+20+31] = 0x7f; return img },
		"table apart": func(img []byte, _, funcs int) []byte { img[funcs+20+16] = 200; return img },
		"table's end": func(img []byte, shared, _ int) []byte {
			copy(img[shared+12:], []byte{0x80, 0x80, 0x80, 0x80})
			return img
		},
		"layout":     func(img []byte, _, _ int) []byte { binary.LittleEndian.PutUint64(img[8+8+7*8:], 3); return img },
		"no summary": func(img []byte, _, _ int) []byte { return img[:bytes.Index(img, []byte("end"))] },
		"buckets": func(img []byte, _, _ int) []byte {
			img[bytes.Index(img, []byte("end"))-1] = 1
			return img
		},
	} {
		img, shared, funcs := image(t)
		if err := blankLines(spoil(img, shared, funcs)); err == nil {
			t.Errorf("%s: was taken", name)
		}
	}
}

func TestTagsAndTypeNamesAreBlanked(t *testing.T) {
	t.Parallel()
	img, _, _ := image(t)
	blankTags(img)
	blankTypeNames(img)
	if s := string(img); strings.Contains(s, "omitempty") || strings.Contains(s, "supplied") || !strings.HasSuffix(s, "\x00 after") {
		t.Errorf("got %q", s[len(s)-60:])
	}
	if bytes.Contains(img, []byte("*main")) || !bytes.Contains(img, []byte("\x00\x0a\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00+")) {
		t.Errorf("the type's name is %q", img[len(img)-80:])
	}
}
