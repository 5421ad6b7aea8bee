package main

import (
	"bytes"
	"encoding/binary"
	"errors"
	"regexp"
)

// The function table of a Go program (runtime.pcHeader and runtime._func, as they have been
// since Go 1.20): for each function the offsets of its tables in one shared table of tables.
// The collector reads the stack's size and its maps from there; the file and line tables are
// read by stack traces alone, which print "?" where they are missing; so are names.
const (
	headerSize = 72
	funcSize   = 44
	noTable    = 0 // an offset that says there is no table
)

var magic = []byte{0xf1, 0xff, 0xff, 0xff, 0, 0, 1, 8}

var errTable = errors.New("the Go function table is not laid out as in Go 1.20 to 1.26; see cmd/rulebook/pack/blank.go")

// blankLines takes the file and line tables and the functions' names out of the image's function
// table: stack traces alone read them.
func blankLines(image []byte) error {
	at := bytes.Index(image, magic)
	if at < 0 || len(image)-at < headerSize || bytes.Contains(image[at+1:], magic) {
		return errTable
	}
	pcln := image[at:]
	word := func(i int) int { return int(binary.LittleEndian.Uint64(pcln[8+8*i:])) }
	count, names, units, files, tables, funcs := word(0), word(3), word(4), word(5), word(6), word(7)
	if !(0 < names && names < units && units <= files && files < tables && tables < funcs && funcs < len(pcln)) || count <= 0 || count > (len(pcln)-funcs)/8 {
		return errTable
	}
	ft := pcln[funcs:]
	shared := pcln[tables:funcs]
	kept := make([]byte, len(shared))
	keep := func(off uint32) error {
		if off == noTable {
			return nil
		}
		n, ok := tableSize(shared, off)
		if !ok {
			return errTable
		}
		copy(kept[off:], shared[off:int(off)+n])
		return nil
	}
	for i := range count {
		off := int(binary.LittleEndian.Uint32(ft[8*i+4:]))
		if off > len(ft)-funcSize {
			return errTable
		}
		f := ft[off:]
		field := func(i int) uint32 { return binary.LittleEndian.Uint32(f[4*i:]) }
		if field(0) != binary.LittleEndian.Uint32(ft[8*i:]) { // the entry, which the table repeats
			return errTable
		}
		data := int(field(7))
		if data > (len(f)-funcSize)/4 {
			return errTable
		}
		if err := keep(field(4)); err != nil {
			return err
		}
		for k := range data {
			if err := keep(binary.LittleEndian.Uint32(f[funcSize+4*k:])); err != nil {
				return err
			}
		}
		clear(f[20:28]) // pcfile, pcln
		clear(f[32:40]) // cuOffset, startLine
	}
	copy(shared, kept)
	clear(pcln[names:units])
	clear(pcln[files:tables])
	return nil
}

// tableSize is how long the table at off is: pairs of a value's step and a count, each a
// varint, ended by a step of zero that is not the first.
func tableSize(shared []byte, off uint32) (int, bool) {
	if int64(off) >= int64(len(shared)) {
		return 0, false
	}
	b := shared[off:]
	n := 0
	next := func() (uint64, bool) {
		v, k := binary.Uvarint(b[n:])
		n += max(k, 0)
		return v, k > 0
	}
	for first := true; ; first = false {
		step, ok := next()
		if !ok {
			return 0, false
		}
		if step == 0 && !first {
			return n, true
		}
		if _, ok := next(); !ok {
			return 0, false
		}
	}
}

// tags are struct tags as the linker lays them out. The phone's codec is generated, so no
// program code reads them.
var tags = regexp.MustCompile(`json:"[a-z0-9_,-]*"( [a-zA-Z]+:"[^"\x00]*")*`)

func blankTags(image []byte) {
	for _, span := range tags.FindAllIndex(image, -1) {
		clear(image[span[0]:span[1]])
	}
}
