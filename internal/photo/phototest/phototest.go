// Package phototest makes pictures for tests: as a phone's camera writes them, with its
// orientation and the place they were taken at.
package phototest

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"math/rand/v2"
)

// Corners returns a picture with a color of its own in each corner: red, green, blue and
// white, clockwise from the upper left.
func Corners(w, h int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.RGBA{0xff, 0, 0, 0xff}
			switch left, top := x < w/2, y < h/2; {
			case !left && top:
				c = color.RGBA{0, 0xff, 0, 0xff}
			case !left:
				c = color.RGBA{0, 0, 0xff, 0xff}
			case !top:
				c = color.RGBA{0xff, 0xff, 0xff, 0xff}
			}
			m.SetRGBA(x, y, c)
		}
	}
	return m
}

// Noisy returns a JPEG about as heavy as a photo of its size: grain on a gradient.
func Noisy(w, h int, seed uint64) []byte {
	r := rand.New(rand.NewPCG(seed, 7))
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		line := m.Pix[y*m.Stride:]
		for x := range w {
			n := uint8(r.UintN(24))
			line[x*4], line[x*4+1], line[x*4+2], line[x*4+3] = uint8(x*200/w)+n, uint8(y*200/h)+n, 90+n, 0xff
		}
	}
	return JPEG(m)
}

// JPEG writes a picture at a camera's usual quality.
func JPEG(m image.Image) []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 90}); err != nil {
		panic(err) // a picture this package made
	}
	return b.Bytes()
}

// What Camera writes beside the pixels; nothing of it may be found in what is kept.
const (
	Maker  = "Invented Phone Works"
	Artist = "Somebody Who Lives Here"
	XMP    = "http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta><exif:GPSLatitude>44,3.0N</exif:GPSLatitude></x:xmpmeta>"
)

// Latitude and Longitude of the place, in degrees, minutes and hundredths of seconds, as
// they stand in the file (a field in Oregon).
var (
	Latitude  = [3][2]uint32{{44, 1}, {3, 1}, {1234, 100}}
	Longitude = [3][2]uint32{{123, 1}, {5, 1}, {4321, 100}}
)

// Camera puts into a JPEG what a phone's camera writes: EXIF 2.32 (CIPA DC-008) with maker,
// artist, orientation and place, and an XMP packet that names the place again.
func Camera(jpg []byte, orientation uint16) []byte {
	out := append([]byte{}, jpg[:2]...)
	out = append(out, segment(0xe1, append([]byte("Exif\x00\x00"), exif(orientation)...))...)
	out = append(out, segment(0xe1, []byte(XMP))...)
	out = append(out, segment(0xfe, []byte(Artist))...)
	return append(out, jpg[2:]...)
}

func segment(marker byte, body []byte) []byte {
	n := len(body) + 2
	return append([]byte{0xff, marker, byte(n >> 8), byte(n)}, body...)
}

// exif writes one TIFF structure: directory 0 with four entries, and the place's own.
func exif(orientation uint16) []byte {
	const (
		ascii, short, long, rational = 2, 3, 4, 5
		first                        = 8
	)
	type entry struct {
		tag, kind uint16
		count     uint32
		value     []byte
	}
	le := binary.LittleEndian
	text := func(tag uint16, s string) entry {
		return entry{tag, ascii, uint32(len(s) + 1), append([]byte(s), 0)}
	}
	place := func(tag uint16, v [3][2]uint32) entry {
		var b []byte
		for _, r := range v {
			b = le.AppendUint32(le.AppendUint32(b, r[0]), r[1])
		}
		return entry{tag, rational, 3, b}
	}
	directory := func(at int, entries []entry) []byte {
		body := le.AppendUint16(nil, uint16(len(entries)))
		var beyond []byte
		end := at + 2 + 12*len(entries) + 4
		for _, e := range entries {
			body = le.AppendUint32(le.AppendUint16(le.AppendUint16(body, e.tag), e.kind), e.count)
			if len(e.value) <= 4 {
				body = append(body, append(e.value, make([]byte, 4-len(e.value))...)...)
				continue
			}
			body = le.AppendUint32(body, uint32(end+len(beyond)))
			beyond = append(beyond, e.value...)
		}
		return append(le.AppendUint32(body, 0), beyond...)
	}
	main := []entry{text(0x010f, Maker), {0x0112, short, 1, le.AppendUint16(nil, orientation)}, text(0x013b, Artist), {0x8825, long, 1, make([]byte, 4)}}
	after := first + len(directory(first, main))
	main[3].value = le.AppendUint32(nil, uint32(after))
	out := append([]byte("II*\x00"), le.AppendUint32(nil, first)...)
	out = append(out, directory(first, main)...)
	return append(out, directory(after, []entry{
		{0x0000, 1, 4, []byte{2, 3, 0, 0}}, text(0x0001, "N"), place(0x0002, Latitude), text(0x0003, "W"), place(0x0004, Longitude),
	})...)
}
