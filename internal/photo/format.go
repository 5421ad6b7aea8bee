package photo

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"

	"github.com/bep/imagemeta"
	"golang.org/x/image/webp"
)

// format is a kind of file that is read.
type format struct {
	kind   imagemeta.ImageFormat
	decode func(io.Reader) (image.Image, error)
	config func(io.Reader) (image.Config, error)
}

var (
	jpegFormat = format{imagemeta.JPEG, jpeg.Decode, jpeg.DecodeConfig}
	pngFormat  = format{imagemeta.PNG, png.Decode, png.DecodeConfig}
	webpFormat = format{imagemeta.WebP, webp.Decode, webp.DecodeConfig}
)

// formatOf tells a format by its first bytes, never by a name or a header somebody sent.
// Signatures: JPEG ITU-T T.81 (SOI), PNG ISO/IEC 15948 §5.2, WebP RFC 9649 §2.4, HEIC and
// AVIF ISO/IEC 14496-12 §4.3 (file type box).
func formatOf(data []byte) (format, error) {
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		return jpegFormat, nil
	case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
		return pngFormat, nil
	case len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP":
		return webpFormat, nil
	case len(data) >= 12 && string(data[4:8]) == "ftyp":
		switch string(data[8:12]) {
		case "heic", "heix", "hevc", "hevx", "heim", "heis", "mif1", "msf1":
			return format{}, Refuse(HEIC, nil)
		}
	}
	return format{}, Refuse(NoPicture, nil)
}

// cost is how many bytes the opened picture takes at most, from its header alone.
func (f format) cost(data []byte, c image.Config) int64 {
	pixels := int64(c.Width) * int64(c.Height)
	switch f.kind {
	case imagemeta.JPEG:
		return frameCost(data, pixels)
	case imagemeta.PNG:
		switch c.ColorModel {
		case color.NRGBA64Model, color.RGBA64Model, color.Gray16Model:
			return pixels * 8
		}
	}
	return pixels * 4
}

// frameCost reads a JPEG's frame header (ITU-T T.81 §B.2.2): a byte for each sample, and
// four more where the frame is progressive, for all coefficients then stay in memory until
// the last scan. Where it cannot be read it is taken for the costliest, four components at
// full resolution.
func frameCost(data []byte, pixels int64) int64 {
	for at := 2; at+10 <= len(data) && data[at] == 0xff; {
		m := data[at+1]
		switch {
		case m == 0xff: // fill
			at++
			continue
		case m == 0x01 || m >= 0xd0 && m <= 0xd9: // without a length
			at += 2
			continue
		case m >= 0xc0 && m <= 0xc2:
			var samples, across, down int64
			for i := range int(data[at+9]) {
				if at+11+3*i >= len(data) {
					break
				}
				factors := data[at+11+3*i]
				h, v := int64(factors>>4), int64(factors&15)
				samples, across, down = samples+h*v, max(across, h), max(down, v)
			}
			if samples == 0 || across == 0 || down == 0 {
				return pixels * 20
			}
			// Rounded up: a row of blocks more at each edge does not show in a limit of megabytes.
			bytes := (pixels*samples + across*down - 1) / (across * down)
			if m == 0xc2 {
				bytes *= 5
			}
			return bytes
		}
		at += 2 + int(data[at+2])<<8 + int(data[at+3])
	}
	return pixels * 20
}

// orientationOf reads the EXIF orientation, 1 to 8; 1 where there is none that can be read.
// CIPA DC-008 (EXIF 2.32) §4.6.4, tag 0x0112.
func orientationOf(data []byte, f format) int {
	found := 1
	_, err := imagemeta.Decode(imagemeta.Options{
		R:               bytes.NewReader(data),
		ImageFormat:     f.kind,
		Sources:         imagemeta.EXIF,
		ShouldHandleTag: func(t imagemeta.TagInfo) bool { return t.Tag == "Orientation" && t.Namespace == "IFD0" },
		HandleTag: func(t imagemeta.TagInfo) error {
			switch v := t.Value.(type) {
			case uint16:
				found = int(v)
			case uint32:
				found = int(v)
			}
			return imagemeta.ErrStopWalking
		},
		LimitNumTags: 2000,
		LimitTagSize: 1 << 16,
	})
	if err != nil && !errors.Is(err, imagemeta.ErrStopWalking) || found < 1 || found > 8 {
		return 1
	}
	return found
}
