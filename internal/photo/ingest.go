// Package photo takes pictures in, keeps them and gives them back. What comes in is opened
// within limits, turned upright, made no larger than it is looked at, and written anew as
// JPEG: of what the camera wrote beside the pixels (place, time, device, names) nothing is
// left, and what a stranger wrote into a file never reaches anybody else's browser.
package photo

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image"
	"image/jpeg"
	"runtime"

	"golang.org/x/sync/semaphore"
)

// The limits at the door. A phone's camera makes 12 million pixels, its best 50; the app
// makes photos smaller before it sends them, so these are for files from elsewhere.
const (
	MostBytes  = 12 << 20
	MostPixels = 50_000_000
	mostSide   = 20_000
	// memory bounds what pictures being made ready may take together: opened, and as large
	// as they are kept, before and after they are turned.
	memory   = 200 << 20
	madeCost = 2 * 4 * FullSide * FullSide
)

// What is kept: the picture as it is looked at, and a small one for lists.
const (
	FullSide     = 2048
	ThumbSide    = 400
	fullQuality  = 85
	thumbQuality = 78
)

// Picture is a photo made ready: two JPEGs, each known by its SHA-256.
type Picture struct {
	Full, Thumb   []byte
	FullHash      string
	ThumbHash     string
	Width, Height int // of Full, as it is seen
}

// Ingester makes files into pictures, few enough at a time that memory holds. It is safe
// for concurrent use.
type Ingester struct{ room *semaphore.Weighted }

// NewIngester returns an Ingester.
func NewIngester() *Ingester { return &Ingester{semaphore.NewWeighted(memory)} }

// Take makes a picture of a file. It waits for memory until ctx ends.
//
// Errors: invalid or too_large with a Reason for a file that is not taken; the context's
// error.
func (in *Ingester) Take(ctx context.Context, data []byte) (Picture, error) {
	f, c, err := look(data)
	if err != nil {
		return Picture{}, err
	}
	cost := f.cost(data, c) + madeCost
	if cost > memory {
		return Picture{}, Refuse(TooBig, nil)
	}
	if err := in.room.Acquire(ctx, cost); err != nil {
		return Picture{}, err
	}
	defer in.room.Release(cost)
	// The service lets its heap grow to five times what lives: what pictures leave behind is
	// collected while its room is still held, or eight photos at once would take over 500 MB.
	// It costs a few milliseconds of some hundreds; pixels hold no pointers to follow.
	if cost > madeCost+collectAbove {
		defer runtime.GC()
	}
	return ready(f, c, data)
}

// collectAbove is a picture of about 4 million pixels: what the app sends is under it.
const collectAbove = 6 << 20

func ready(f format, c image.Config, data []byte) (Picture, error) {
	src, err := decode(f, data)
	if err != nil {
		return Picture{}, Refuse(Damaged, err)
	}
	if b := src.Bounds(); b.Dx() != c.Width || b.Dy() != c.Height {
		return Picture{}, Refuse(Damaged, fmt.Errorf("%v was announced as %d by %d", b, c.Width, c.Height))
	}
	full := fit(src, FullSide, orientationOf(data, f))
	p := Picture{Width: full.Rect.Dx(), Height: full.Rect.Dy()}
	if p.Full, p.FullHash, err = encode(full, fullQuality); err != nil {
		return Picture{}, err
	}
	p.Thumb, p.ThumbHash, err = encode(fit(full, ThumbSide, 1), thumbQuality)
	return p, err
}

// look judges a file by its size and its header, before anything of it is opened.
func look(data []byte) (format, image.Config, error) {
	switch {
	case len(data) == 0:
		return format{}, image.Config{}, Refuse(Empty, nil)
	case len(data) > MostBytes:
		return format{}, image.Config{}, Refuse(TooHeavy, nil)
	}
	f, err := formatOf(data)
	if err != nil {
		return format{}, image.Config{}, err
	}
	c, err := config(f, data)
	switch {
	case err != nil || c.Width < 1 || c.Height < 1:
		return format{}, image.Config{}, Refuse(Damaged, err)
	case c.Width > mostSide || c.Height > mostSide || int64(c.Width)*int64(c.Height) > MostPixels:
		return format{}, image.Config{}, Refuse(TooBig, nil)
	}
	return f, c, nil
}

// A decoder that trips over a file somebody made for it is that file's fault, not the
// service's: the panic is its refusal.

func decode(f format, data []byte) (m image.Image, err error) {
	defer tripped(&err)
	return f.decode(bytes.NewReader(data))
}

func config(f format, data []byte) (c image.Config, err error) {
	defer tripped(&err)
	return f.config(bytes.NewReader(data))
}

func tripped(err *error) {
	if v := recover(); v != nil {
		*err = fmt.Errorf("the decoder panicked: %v", v)
	}
}

func encode(m image.Image, quality int) ([]byte, string, error) {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: quality}); err != nil {
		return nil, "", fmt.Errorf("writing a JPEG: %w", err)
	}
	return b.Bytes(), Hash(b.Bytes()), nil
}

// Hash is the SHA-256 of data in hexadecimal: what bytes are known by.
func Hash(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}
