package main

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
)

// A WebAssembly module is a header and sections, each an id, a size and a body (WebAssembly
// Core Specification, section 5.5).
type module struct {
	sections []section
}

type section struct {
	id   byte
	body []byte
}

const dataSection = 11

var header = []byte("\x00asm\x01\x00\x00\x00")

var errCut = errors.New("the file ends too soon")

func parseModule(b []byte) (*module, error) {
	if !bytes.HasPrefix(b, header) {
		return nil, errors.New("not a WebAssembly module of version 1")
	}
	m := &module{}
	for b = b[len(header):]; len(b) > 0; {
		size, n := binary.Uvarint(b[1:])
		if n <= 0 || size > uint64(len(b)-1-n) {
			return nil, errCut
		}
		body := b[1+n : 1+n+int(size)]
		m.sections = append(m.sections, section{b[0], body})
		b = b[1+n+int(size):]
	}
	return m, nil
}

func (m *module) section(id byte) *section {
	for i := range m.sections {
		if m.sections[i].id == id {
			return &m.sections[i]
		}
	}
	return nil
}

func (m *module) encode() []byte {
	out := bytes.Clone(header)
	for _, s := range m.sections {
		out = binary.AppendUvarint(append(out, s.id), uint64(len(s.body)))
		out = append(out, s.body...)
	}
	return out
}

// The instructions of a segment's offset expression: i32.const and end.
const (
	i32Const = 0x41
	end      = 0x0b
)

// most is more memory than the rule book's image will ever have.
const most = 64 << 20

// parseData lays the segments of memory 0 out as they stand when the module starts.
func parseData(b []byte) ([]byte, error) {
	count, n := binary.Uvarint(b)
	if n <= 0 {
		return nil, errCut
	}
	b = b[n:]
	var image []byte
	for range count {
		if len(b) < 2 || b[0] != 0 || b[1] != i32Const {
			return nil, errors.New("a data segment is not an active one of memory 0 at a constant")
		}
		at, n := sleb(b[2:])
		if n <= 0 || at < 0 || at > most {
			return nil, errors.New("a data segment has no usable offset")
		}
		b = b[2+n:]
		if len(b) == 0 || b[0] != end {
			return nil, errors.New("a data segment's offset is not one constant")
		}
		size, n := binary.Uvarint(b[1:])
		if n <= 0 || size > uint64(len(b)-1-n) {
			return nil, errCut
		}
		b = b[1+n:]
		if need := at + int(size); need > len(image) {
			if need > most {
				return nil, fmt.Errorf("the memory image is over %d bytes", most)
			}
			image = append(image, make([]byte, need-len(image))...)
		}
		copy(image[at:], b[:size])
		b = b[size:]
	}
	if len(b) != 0 {
		return nil, errors.New("the data section is longer than its segments")
	}
	return image, nil
}

// gap is the run of zeros worth a new segment: from 32 up the compressed size changes by
// less than one percent, and shorter runs cost more to cut out than to keep (measured).
const gap = 128

// encodeData writes the image as active segments of memory 0, leaving out long runs of
// zeros, since memory starts as zeros.
func encodeData(image []byte) []byte {
	var body []byte
	count := 0
	zeros := make([]byte, gap)
	for at := 0; ; count++ {
		for at < len(image) && image[at] == 0 {
			at++
		}
		if at == len(image) {
			break
		}
		size := len(image) - at
		if i := bytes.Index(image[at:], zeros); i >= 0 {
			size = i
		}
		body = append(body, 0, i32Const)
		body = append(appendSleb(body, at), end)
		body = binary.AppendUvarint(body, uint64(size))
		body = append(body, image[at:at+size]...)
		at += size
	}
	return append(binary.AppendUvarint(nil, uint64(count)), body...)
}

// sleb reads a signed LEB128 number and says how many bytes it took; 0 when it is broken.
func sleb(b []byte) (v, n int) {
	for shift := 0; n < len(b) && shift < 35; shift += 7 {
		c := b[n]
		n++
		v |= int(c&0x7f) << shift
		if c&0x80 == 0 {
			if c&0x40 != 0 {
				v -= 1 << (shift + 7)
			}
			return v, n
		}
	}
	return 0, 0
}

// appendSleb writes v, which is not negative, as a signed LEB128 number.
func appendSleb(b []byte, v int) []byte {
	for ; v > 0x3f; v >>= 7 {
		b = append(b, byte(v)&0x7f|0x80)
	}
	return append(b, byte(v))
}
