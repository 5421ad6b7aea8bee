package httpapi

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"io"
	"strconv"
	"sync"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humachi"
	"github.com/klauspost/compress/flate"
	"github.com/klauspost/compress/gzhttp"
)

// piece is a piece of a JSON answer, as it is and compressed: whole blocks of deflate (RFC
// 1951) that end at a byte and refer to nothing before them, so that pieces compressed at
// different times follow each other in one stream.
type piece struct{ plain, packed []byte }

func (p piece) size() int { return len(p.plain) + len(p.packed) }

// squeezers compress as squeeze does. One is hundreds of kilobytes, which are used again.
var squeezers = sync.Pool{New: func() any {
	w, err := flate.NewWriter(nil, squeezeLevel)
	if err != nil {
		panic(err) // there is such a level
	}
	return w
}}

func newPiece(plain []byte) piece {
	var packed bytes.Buffer
	w := squeezers.Get().(*flate.Writer)
	defer squeezers.Put(w)
	w.Reset(&packed)
	_, _ = w.Write(plain) // a buffer takes everything
	_ = w.Flush()
	return piece{bytes.Clone(plain), bytes.Clone(packed.Bytes())}
}

// The first ten bytes of gzip (RFC 1952) without name and time, and an empty last block.
var (
	gzipBegins = []byte{0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 4, 255}
	gzipEnds   = []byte{3, 0}
)

// answerInPieces sends JSON, compressed where squeeze would have compressed it.
func answerInPieces(c huma.Context, pieces []piece) {
	_, w := humachi.Unwrap(c)
	packed := false
	switch w.(type) {
	case *gzhttp.GzipResponseWriter, gzhttp.GzipResponseWriterWithCloseNotify:
		packed = true
	}
	var length, size int
	for _, p := range pieces {
		length, size = length+len(p.plain), size+len(p.packed)
	}
	c.SetHeader("Content-Type", "application/json")
	if !packed || length < squeezeFrom {
		c.SetHeader("Content-Length", strconv.Itoa(length))
		for _, p := range pieces {
			if _, err := w.Write(p.plain); err != nil {
				return // nobody listens any more
			}
		}
		return
	}
	c.SetHeader("Content-Encoding", "gzip")
	c.SetHeader("Content-Length", strconv.Itoa(len(gzipBegins)+size+len(gzipEnds)+8))
	writePacked(w, pieces)
}

func writePacked(w io.Writer, pieces []piece) {
	sum, length := uint32(0), uint32(0)
	if _, err := w.Write(gzipBegins); err != nil {
		return
	}
	for _, p := range pieces {
		sum, length = crc32.Update(sum, crc32.IEEETable, p.plain), length+uint32(len(p.plain))
		if _, err := w.Write(p.packed); err != nil {
			return
		}
	}
	end := binary.LittleEndian.AppendUint32(bytes.Clone(gzipEnds), sum)
	_, _ = w.Write(binary.LittleEndian.AppendUint32(end, length))
}
