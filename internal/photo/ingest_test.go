package photo

import (
	"bytes"
	"compress/zlib"
	"context"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bep/imagemeta"

	"longpoint/internal/fault"
	"longpoint/internal/photo/phototest"
)

func take(t *testing.T, data []byte) Picture {
	t.Helper()
	p, err := NewIngester().Take(t.Context(), data)
	if err != nil {
		t.Fatalf("taking a picture: %v", err)
	}
	return p
}

func open(t *testing.T, data []byte) image.Image {
	t.Helper()
	m, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatalf("opening what was kept: %v", err)
	}
	return m
}

// near reports whether two colors are the same but for what JPEG does to them.
func near(a, b color.Color) bool {
	ar, ag, ab, _ := a.RGBA()
	br, bg, bb, _ := b.RGBA()
	off := func(x, y uint32) bool { return max(x, y)-min(x, y) < 0x3000 }
	return off(ar, br) && off(ag, bg) && off(ab, bb)
}

// TestOrientationsByTheStandard: CIPA DC-008 (EXIF 2.32) §4.6.4, tag Orientation, says for
// each value which side of what is seen the stored first row and first column are.
func TestOrientationsByTheStandard(t *testing.T) {
	t.Parallel()
	sides := map[uint16][2]string{1: {"top", "left"}, 2: {"top", "right"}, 3: {"bottom", "right"}, 4: {"bottom", "left"},
		5: {"left", "top"}, 6: {"right", "top"}, 7: {"right", "bottom"}, 8: {"left", "bottom"}}
	const w, h = 96, 64
	stored := phototest.Corners(w, h)
	for value, side := range sides {
		p := take(t, phototest.Camera(phototest.JPEG(stored), value))
		seen := open(t, p.Full)
		upright := value <= 4
		wantW, wantH := w, h
		if !upright {
			wantW, wantH = h, w
		}
		if p.Width != wantW || p.Height != wantH || seen.Bounds().Dx() != wantW {
			t.Errorf("orientation %d: seen %d by %d, want %d by %d", value, p.Width, p.Height, wantW, wantH)
			continue
		}
		// The stored corner's place: first (or last) row and first (or last) column.
		for _, corner := range []struct{ lastRow, lastColumn bool }{{false, false}, {false, true}, {true, false}, {true, true}} {
			at := map[string]bool{opposite(side[0], corner.lastRow): true, opposite(side[1], corner.lastColumn): true}
			x, y := 3, 3
			if at["right"] {
				x = wantW - 4
			}
			if at["bottom"] {
				y = wantH - 4
			}
			sx, sy := 3, 3
			if corner.lastColumn {
				sx = w - 4
			}
			if corner.lastRow {
				sy = h - 4
			}
			if got, want := seen.At(x, y), stored.At(sx, sy); !near(got, want) {
				t.Errorf("orientation %d: at %d,%d is seen %v, want %v", value, x, y, got, want)
			}
		}
	}
}

func opposite(side string, is bool) string {
	if !is {
		return side
	}
	return map[string]string{"top": "bottom", "bottom": "top", "left": "right", "right": "left"}[side]
}

// samples is the folder of pictures that the metadata library is tested with: taken by real
// cameras, with what these write. Its licenses are beside them.
func samples(t *testing.T) string {
	t.Helper()
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/bep/imagemeta").Output()
	if err != nil {
		t.Fatalf("looking for the library's pictures: %v", err)
	}
	return filepath.Join(strings.TrimSpace(string(out)), "testdata", "images")
}

func sample(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(samples(t), name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestOrientationsOfTheSamples: the eight sample pictures f1 to f8 (imagemeta's and goexif's)
// show the same letter F once each is turned as it says.
func TestOrientationsOfTheSamples(t *testing.T) {
	t.Parallel()
	first := open(t, take(t, sample(t, "goexif/f1-exif.jpg")).Full)
	for _, name := range []string{"f2", "f3", "f4", "f5", "f6", "f7", "f8"} {
		m := open(t, take(t, sample(t, "goexif/"+name+"-exif.jpg")).Full)
		if m.Bounds() != first.Bounds() {
			t.Errorf("%s: seen %v, want %v as f1", name, m.Bounds(), first.Bounds())
			continue
		}
		wrong, all := 0, 0
		for y := range first.Bounds().Dy() {
			for x := range first.Bounds().Dx() {
				all++
				if !near(first.At(x, y), m.At(x, y)) {
					wrong++
				}
			}
		}
		if wrong*100 > all {
			t.Errorf("%s: %d of %d pixels are not those of f1", name, wrong, all)
		}
	}
}

// TestNothingOfTheCameraIsKept searches the bytes of what is kept.
func TestNothingOfTheCameraIsKept(t *testing.T) {
	t.Parallel()
	made := phototest.Camera(phototest.JPEG(phototest.Corners(640, 480)), 6)
	place := binary.LittleEndian.AppendUint32(nil, phototest.Latitude[2][0])
	for _, must := range [][]byte{[]byte(phototest.Maker), []byte(phototest.Artist), []byte("xmpmeta"), []byte("Exif\x00"), place} {
		if !bytes.Contains(made, must) {
			t.Fatalf("the test picture does not hold %q: the test would prove nothing", must)
		}
	}
	for name, data := range map[string][]byte{
		"made here": made, "sunrise.jpg": sample(t, "bep/sunrise.jpg"), "sunrise.png": sample(t, "bep/sunrise.png"),
		"sunrise.webp": sample(t, "bep/sunrise.webp"), "mushroom.jpg": sample(t, "mushroom.jpg"),
	} {
		p := take(t, data)
		for what, kept := range map[string][]byte{"picture": p.Full, "thumbnail": p.Thumb} {
			for _, no := range []string{"Exif", "xmp", "XMP", "GPS", "Photoshop", "ICC_PROFILE", "Apple", "Canon", phototest.Maker, phototest.Artist, string(place)} {
				if bytes.Contains(kept, []byte(no)) {
					t.Errorf("%s, %s: %q is still in it", name, what, no)
				}
			}
			for at := 2; at+4 < len(kept) && kept[at+1] != 0xda; at += 2 + int(kept[at+2])<<8 + int(kept[at+3]) {
				if m := kept[at+1]; m >= 0xe0 && m <= 0xef || m == 0xfe {
					t.Errorf("%s, %s: segment %#x is kept", name, what, m)
				}
			}
			tags := 0
			_, _ = imagemeta.Decode(imagemeta.Options{R: bytes.NewReader(kept), ImageFormat: imagemeta.JPEG,
				HandleTag: func(imagemeta.TagInfo) error { tags++; return nil }})
			if tags != 0 {
				t.Errorf("%s, %s: the library reads %d tags in it", name, what, tags)
			}
		}
	}
}

func TestSizes(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ w, h, fullW, fullH, thumbW, thumbH int }{
		{640, 480, 640, 480, 400, 300},
		{300, 200, 300, 200, 300, 200},
		{4032, 3024, 2048, 1536, 400, 300},
		{1000, 5000, 410, 2048, 80, 400},
		{6200, 30, 2048, 10, 400, 2},
		{1, 1, 1, 1, 1, 1},
	} {
		p := take(t, phototest.JPEG(phototest.Corners(tc.w, tc.h)))
		thumb := open(t, p.Thumb).Bounds()
		if p.Width != tc.fullW || p.Height != tc.fullH || thumb.Dx() != tc.thumbW || thumb.Dy() != tc.thumbH {
			t.Errorf("%d by %d: kept %d by %d and %d by %d, want %d by %d and %d by %d", tc.w, tc.h,
				p.Width, p.Height, thumb.Dx(), thumb.Dy(), tc.fullW, tc.fullH, tc.thumbW, tc.thumbH)
		}
		full := open(t, p.Full)
		if tc.w > 50 && tc.h > 50 {
			for name, at := range map[string][2]int{"red": {0, 0}, "green": {p.Width - 1, 0}, "blue": {p.Width - 1, p.Height - 1}, "white": {0, p.Height - 1}} {
				want := map[string]color.RGBA{"red": {255, 0, 0, 255}, "green": {0, 255, 0, 255}, "blue": {0, 0, 255, 255}, "white": {255, 255, 255, 255}}[name]
				if got := full.At(at[0], at[1]); !near(got, want) {
					t.Errorf("%d by %d: %s corner is %v", tc.w, tc.h, name, got)
				}
			}
		}
		if p.FullHash != Hash(p.Full) || p.ThumbHash != Hash(p.Thumb) {
			t.Errorf("%d by %d: the hashes are not those of the bytes", tc.w, tc.h)
		}
	}
}

// TestTransparentIsWhite: a drawing saved as PNG is read on paper, not on black.
func TestTransparentIsWhite(t *testing.T) {
	t.Parallel()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewNRGBA(image.Rect(0, 0, 900, 900))); err != nil {
		t.Fatal(err)
	}
	p := take(t, b.Bytes())
	if got := open(t, p.Full).At(450, 450); !near(got, color.White) {
		t.Errorf("a transparent pixel is seen as %v, want white", got)
	}
	if got := open(t, p.Thumb).At(200, 200); !near(got, color.White) {
		t.Errorf("a transparent pixel of the thumbnail is seen as %v, want white", got)
	}
}

// pngOf writes a PNG whose header announces a size and whose pixels are a few bytes of
// nothing, as a decompression bomb does.
func pngOf(w, h uint32, depth, kind byte) []byte {
	var z bytes.Buffer
	zw := zlib.NewWriter(&z)
	_, _ = zw.Write(make([]byte, 1<<20))
	_ = zw.Close()
	be := binary.BigEndian
	chunk := func(name string, body []byte) []byte {
		out := append(be.AppendUint32(nil, uint32(len(body))), name...)
		out = append(out, body...)
		return be.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
	}
	header := append(be.AppendUint32(be.AppendUint32(nil, w), h), depth, kind, 0, 0, 0)
	out := append([]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", header)...)
	out = append(out, chunk("IDAT", z.Bytes())...)
	return append(out, chunk("IEND", nil)...)
}

// announce rewrites a JPEG's frame header to another size and kind of frame.
func announce(jpg []byte, w, h uint16, marker byte) []byte {
	out := bytes.Clone(jpg)
	at := bytes.Index(out, []byte{0xff, 0xc0})
	out[at+1] = marker
	binary.BigEndian.PutUint16(out[at+5:], h)
	binary.BigEndian.PutUint16(out[at+7:], w)
	return out
}

func TestWhatIsRefused(t *testing.T) {
	t.Parallel()
	small := phototest.JPEG(phototest.Corners(64, 48))
	for name, tc := range map[string]struct {
		data []byte
		want Reason
		code fault.Code
	}{
		"nothing":                    {nil, Empty, fault.Invalid},
		"13 MB":                      {append(bytes.Clone(small), make([]byte, 13<<20)...), TooHeavy, fault.TooLarge},
		"text":                       {[]byte("The gap on the strike side is uneven."), NoPicture, fault.Invalid},
		"a web page":                 {[]byte("<!doctype html><script>alert(1)</script>"), NoPicture, fault.Invalid},
		"a drawing with a script":    {[]byte(`<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>`), NoPicture, fault.Invalid},
		"a GIF":                      {[]byte("GIF89a\x01\x00\x01\x00\x00\x00\x00;"), NoPicture, fault.Invalid},
		"an iPhone's own format":     {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), HEIC, fault.Invalid},
		"AVIF":                       {[]byte("\x00\x00\x00\x1cftypavif\x00\x00\x00\x00avifmif1"), NoPicture, fault.Invalid},
		"half a JPEG":                {small[:len(small)/2], Damaged, fault.Invalid},
		"a JPEG's first bytes":       {small[:4], Damaged, fault.Invalid},
		"a PNG's first bytes":        {[]byte("\x89PNG\r\n\x1a\n"), Damaged, fault.Invalid},
		"a PNG bomb":                 {pngOf(50_000, 50_000, 8, 2), TooBig, fault.TooLarge},
		"a PNG bomb within sides":    {pngOf(19_000, 19_000, 1, 0), TooBig, fault.TooLarge},
		"16 bits a channel, 49 MP":   {pngOf(7_000, 7_000, 16, 6), TooBig, fault.TooLarge},
		"a JPEG bomb":                {announce(small, 65_000, 65_000, 0xc0), TooBig, fault.TooLarge},
		"a progressive JPEG, 49 MP":  {announce(small, 7_000, 7_000, 0xc2), TooBig, fault.TooLarge},
		"a JPEG of another size":     {announce(small, 640, 480, 0xc0), Damaged, fault.Invalid},
		"a WebP header and no more":  {[]byte("RIFF\x24\x00\x00\x00WEBPVP8 \x18\x00\x00\x00\x30\x01\x00\x9d\x01\x2a\xff\x3f\xff\x3f"), TooBig, fault.TooLarge},
		"a WebP that is cut off":     {sample(t, "bep/sunrise.webp")[:4000], Damaged, fault.Invalid},
		"a PNG whose pixels are few": {pngOf(5_000, 5_000, 8, 2), Damaged, fault.Invalid},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := NewIngester().Take(t.Context(), tc.data)
			if ReasonOf(err) != tc.want || fault.CodeOf(err) != tc.code {
				t.Fatalf("got %v (%s), want %s (%s)", err, fault.CodeOf(err), tc.want, tc.code)
			}
			if s := fault.SentenceOf(err); s != tc.want.Sentence() || !strings.Contains(s, ". ") {
				t.Errorf("the sentence is %q, want one that says what to do", s)
			}
		})
	}
}

// TestItWaitsForMemory: a picture that does not fit beside those being opened waits, and
// gives up when its request does.
func TestItWaitsForMemory(t *testing.T) {
	t.Parallel()
	in := NewIngester()
	if err := in.room.Acquire(t.Context(), memory); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	data := phototest.JPEG(phototest.Corners(64, 48))
	if _, err := in.Take(ctx, data); ctx.Err() == nil || err == nil || ReasonOf(err) != "" {
		t.Errorf("got %v, want the context's end and no refusal", err)
	}
	in.room.Release(memory)
	if _, err := in.Take(t.Context(), data); err != nil {
		t.Errorf("with memory free again: %v", err)
	}
}

// FuzzTake holds the door: whatever comes, it is refused with a reason or becomes a picture
// within the limits, whose bytes are JPEG without any metadata.
func FuzzTake(f *testing.F) {
	small := phototest.JPEG(phototest.Corners(24, 16))
	for _, seed := range [][]byte{nil, small, phototest.Camera(small, 6), small[:40], pngOf(40, 40, 8, 2), announce(small, 900, 900, 0xc2),
		[]byte("RIFF\x24\x00\x00\x00WEBPVP8 \x18\x00\x00\x00\x30\x01\x00\x9d\x01\x2a\x08\x00\x08\x00"), []byte("\x00\x00\x00\x18ftypheic")} {
		f.Add(seed)
	}
	var b bytes.Buffer
	if err := png.Encode(&b, phototest.Corners(16, 24)); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes())
	in := NewIngester()
	f.Fuzz(func(t *testing.T, data []byte) {
		if ft, c, err := look(data); err == nil && ft.cost(data, c) > 16<<20 {
			t.Skip("within the limits and slow; the limits have their own test")
		}
		p, err := in.Take(t.Context(), data)
		if err != nil {
			if ReasonOf(err) == "" || ReasonOf(err).Sentence() == "" {
				t.Fatalf("refused without a reason: %v", err)
			}
			return
		}
		m, err := jpeg.Decode(bytes.NewReader(p.Full))
		if err != nil {
			t.Fatalf("what was kept does not open: %v", err)
		}
		if d := m.Bounds(); d.Dx() != p.Width || d.Dy() != p.Height || max(d.Dx(), d.Dy()) > FullSide {
			t.Fatalf("kept %v, said %d by %d", d, p.Width, p.Height)
		}
		if bytes.Contains(p.Full[:min(len(p.Full), 600)], []byte("Exif")) {
			t.Fatal("metadata was kept")
		}
	})
}
