package photo_test

import (
	"bytes"
	"context"
	"image/jpeg"
	"testing"
	"time"

	"longpoint/internal/photo"
	"longpoint/internal/photo/phototest"
)

// FuzzPhoto gives the door for photos files made to trip it. Each is refused with a reason, or comes out as two
// JPEGs within the limits, with nothing in them of what stood beside the pixels.
func FuzzPhoto(f *testing.F) {
	whole := phototest.Camera(phototest.JPEG(phototest.Corners(40, 30)), 6)
	f.Add(whole)
	f.Add(whole[:len(whole)/2])
	f.Add([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\xff\xff\xff\xff\xff\xff\xff\xff\x08\x06\x00\x00\x00"))
	f.Add([]byte("RIFF\x10\x00\x00\x00WEBPVP8 "))
	f.Add([]byte("GIF89a\xff\xff\xff\xff"))
	f.Add([]byte{})
	in := photo.NewIngester()
	f.Fuzz(func(t *testing.T, data []byte) {
		ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
		defer cancel()
		p, err := in.Take(ctx, data)
		if err != nil {
			if photo.ReasonOf(err) == "" {
				t.Fatalf("refused without a reason: %v", err)
			}
			return
		}
		for name, b := range map[string][]byte{"full": p.Full, "thumb": p.Thumb} {
			c, err := jpeg.DecodeConfig(bytes.NewReader(b))
			if err != nil || max(c.Width, c.Height) > photo.FullSide {
				t.Fatalf("%s: %+v, %v", name, c, err)
			}
			if bytes.Contains(b, []byte("Exif")) {
				t.Fatalf("%s holds Exif", name)
			}
		}
	})
}
