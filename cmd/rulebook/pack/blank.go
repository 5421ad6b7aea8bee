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
// read by stack traces alone, which print "?" where they are missing; so are names and the
// layout of arguments. Where a goroutine may be stopped from outside is asked for on systems
// that have signals.
const (
	headerSize = 72
	funcSize   = 44
	noTable    = 0          // an offset that says there is no table
	noData     = ^uint32(0) // an offset that says there is no such data
)

// Places in the two lists that follow a function (internal/abi/symtab.go), of what is not read.
const (
	unsafePoint, inlined, argsLive     = 0, 2, 3
	inlineTree, argInfo, argLive, wrap = 3, 5, 6, 7
)

// Words of runtime.moduledata, which says where things are.
const (
	findTable = 19
	firstPC   = 20
	lastPC    = 21
	funcData  = 40
	pclnEnd   = 41
)

// A bucket of the table that finds a function by its program counter: the number of a function
// at or before it, from where the runtime walks on, and sixteen numbers to add.
const (
	bucketSize  = 20
	bucketSpan  = 4096
	bucketSteps = 16 // how far the runtime may have to walk, after coarsen
)

var magic = []byte{0xf1, 0xff, 0xff, 0xff, 0, 0, 1, 8}

var errTable = errors.New("the Go function table is not laid out as in Go 1.20 to 1.26; see cmd/rulebook/pack/blank.go")

// blankLines takes out of the image's function table what stack traces alone read, and what
// nothing reads on this machine.
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
	mod := moduleData(image, at, funcs)
	if mod == nil {
		return errTable
	}
	if err := coarsen(image, mod); err != nil {
		return err
	}
	gofunc := mod(funcData)
	if gofunc < at+funcs || gofunc > len(image) {
		return errTable
	}
	args, read := map[uint32]bool{}, map[uint32]bool{} // where layouts of arguments start, and what is read
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
			t := f[funcSize+4*k:]
			switch k {
			case unsafePoint, inlined, argsLive:
				binary.LittleEndian.PutUint32(t, noTable)
			}
			if err := keep(binary.LittleEndian.Uint32(t)); err != nil {
				return err
			}
		}
		more := f[funcSize+4*data:]
		if n := int(f[funcSize-1]); n > len(more)/4 {
			return errTable
		} else {
			for k := range n {
				off := binary.LittleEndian.Uint32(more[4*k:])
				switch k {
				case argInfo:
					args[off] = true
					fallthrough
				case inlineTree, argLive, wrap:
					binary.LittleEndian.PutUint32(more[4*k:], noData)
				default:
					read[off] = true
				}
			}
		}
		clear(f[4:8])   // nameOff
		clear(f[20:28]) // pcfile, pcln
		clear(f[32:40]) // cuOffset, startLine
	}
	for off := range args {
		if off == noData || read[off] {
			continue
		}
		info := image[gofunc:]
		if int64(off) >= int64(len(info)) {
			return errTable
		}
		end := bytes.IndexByte(info[off:], argsEnd)
		if end < 0 || end > argsMost {
			return errTable
		}
		clear(info[off : int(off)+end+1])
	}
	copy(shared, kept)
	clear(pcln[names:units])
	clear(pcln[files:tables])
	return nil
}

// A layout of arguments ends with this byte (runtime.printArgs), and is at most that long.
const (
	argsEnd  = 0xff
	argsMost = 64
)

// moduleData finds the linker's summary of the program, which begins with the function table's
// place and repeats where its functions are.
func moduleData(image []byte, pcln, funcs int) func(word int) int {
	for from := 0; ; {
		i := bytes.Index(image[from:], binary.LittleEndian.AppendUint64(nil, uint64(pcln)))
		if i < 0 {
			return nil
		}
		mod := image[from+i:]
		word := func(k int) int { return int(binary.LittleEndian.Uint64(mod[8*k:])) }
		if len(mod) >= 8*(pclnEnd+1) && word(13) == pcln+funcs && word(16) == pcln+funcs && word(pclnEnd) >= word(funcData) {
			return word
		}
		from += i + 8
	}
}

// coarsen has each bucket start from the last of every sixteen functions at or before it. On
// this machine a function spans sixteen buckets, so that the table is two megabytes of nearly
// regular counting; walking on costs some steps a stack frame.
func coarsen(image []byte, mod func(int) int) error {
	at, n := mod(findTable), (mod(lastPC)-mod(firstPC))/bucketSpan // the last bucket may be cut short
	if at <= 0 || n <= 0 || at+n*bucketSize > len(image) {
		return errTable
	}
	last := uint32(0)
	for i := range n {
		b := image[at+i*bucketSize:]
		v := binary.LittleEndian.Uint32(b)
		if v < last || v > last+1 || !bytes.Equal(b[4:bucketSize], make([]byte, bucketSize-4)) {
			return errTable
		}
		last = v
		binary.LittleEndian.PutUint32(b, v-v%bucketSteps)
	}
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

// typeName is how a type writes itself in the message of a panic, as the linker lays it out:
// behind a byte of marks and its length, and always with a star before it.
var typeName = regexp.MustCompile(`[\x00\x01]([\x04-\x7f])\*[ -~]+`)

// blankTypeNames takes out what types are called. Nothing but the message of a panic has them.
func blankTypeNames(image []byte) {
	for at := 0; ; {
		m := typeName.FindIndex(image[at:])
		if m == nil {
			return
		}
		name := image[at+m[0]+2 : at+m[1]]
		if n := int(image[at+m[0]+1]); n <= len(name) {
			clear(name[:n])
			at += m[0] + 2 + n
		} else {
			at += m[0] + 1
		}
	}
}
