package wire

import (
	"time"

	"longpoint/internal/length"
)

// codec goes through a value's members, writing each, or reading those the text has. One
// list of members serves both, so that what is written and what is read cannot differ: a
// type's shape, or where there is none
//
//	for c.open(); c.pass(); {
//		c.text("name", &v.Name)
//		c.length("width", &v.Width)
//	}
//
// Writing goes through the members once. Reading goes through them as often as it takes for
// the text's order of members, which is once for a text written in the same order; a member
// that a whole pass does not ask for is unknown and passed over.
type codec struct {
	reading bool
	r       reader
	w       writer
	frames  []frame
}

// frame is where one open object stands.
type frame struct {
	waiting bool // reading: the key is read, its value is not
	used    bool // reading: this pass has taken a member; writing: the pass is done
	ended   bool // reading: the object's end has been read
}

func newWriter(size int) *codec {
	return &codec{w: writer{buf: make([]byte, 0, size)}, frames: make([]frame, 0, 16)}
}

func newReader(in string) *codec {
	return &codec{reading: true, r: reader{in: in}, frames: make([]frame, 0, 16)}
}

// open starts an object.
func (c *codec) open() {
	if c.reading {
		c.r.object()
	} else {
		c.w.open('{')
	}
	c.frames = append(c.frames, frame{used: c.reading})
}

// pass reports whether the members are to be gone through, once more, and else ends the object.
func (c *codec) pass() bool {
	f := &c.frames[len(c.frames)-1]
	again := false
	if c.reading {
		if f.waiting && !f.used {
			c.r.skip()
			f.waiting = false
		}
		again = c.step(f)
		f.used = false
	} else {
		again = !f.used
		f.used = true
		if !again {
			c.w.close('}')
		}
	}
	if !again {
		c.frames = c.frames[:len(c.frames)-1]
	}
	return again
}

// member reports whether the member's value is to be written or read now.
func (c *codec) member(name string) bool {
	if !c.reading {
		c.w.key(name)
		return true
	}
	f := &c.frames[len(c.frames)-1]
	if !c.step(f) || c.r.key != name {
		return false
	}
	f.waiting, f.used = false, true
	return true
}

// step reads on to a name whose value is still to be read, if there is one.
func (c *codec) step(f *frame) bool {
	if !f.waiting && !f.ended {
		f.waiting = c.r.field()
		f.ended = !f.waiting
	}
	return f.waiting
}

// some is member for a value that may be absent: left out, and null when read.
func (c *codec) some(name string, there bool) bool {
	if !c.reading {
		if there {
			c.w.key(name)
		}
		return there
	}
	return c.member(name) && !c.r.null()
}

// list starts a list and reports whether it is one to be read.
func (c *codec) list(there bool) bool {
	if c.reading {
		c.r.array()
		return !c.r.none
	}
	if c.w.none = !there; there {
		c.w.open('[')
	} else {
		c.w.null()
	}
	return false
}

// item reports whether there is an item i to write or to read, and else ends the list.
func (c *codec) item(i, n int) bool {
	switch {
	case c.reading:
		return c.r.element()
	case i < n:
		c.w.comma()
		return true
	case c.w.none:
		c.w.none = false
	default:
		c.w.close(']')
	}
	return false
}

// The kinds of member without parts. The …If ones are left out when empty.

func (c *codec) text(name string, v *string) {
	if c.member(name) {
		c.textValue(v)
	}
}

func (c *codec) textIf(name string, v *string) {
	if c.reading || *v != "" {
		c.text(name, v)
	}
}

func (c *codec) textValue(v *string) {
	if c.reading {
		*v = c.r.text(*v)
	} else {
		c.w.text(*v)
	}
}

func (c *codec) flag(name string, v *bool) {
	if !c.member(name) {
		return
	}
	if c.reading {
		*v = c.r.flag(*v)
	} else {
		c.w.flag(*v)
	}
}

func (c *codec) whole(name string, v *int64) {
	if c.member(name) {
		c.wholeValue(v)
	}
}

func (c *codec) wholeValue(v *int64) {
	if c.reading {
		*v = c.r.whole(*v)
	} else {
		c.w.whole(*v)
	}
}

func (c *codec) length(name string, v *length.Length) {
	if c.member(name) {
		c.lengthValue(v)
	}
}

func (c *codec) lengthValue(v *length.Length) {
	if c.reading {
		*v = c.r.length(*v)
	} else {
		c.w.whole(int64(*v))
	}
}

func (c *codec) time(name string, v *time.Time) {
	if c.member(name) {
		c.timeValue(v)
	}
}

func (c *codec) timeValue(v *time.Time) {
	if c.reading {
		*v = c.r.time(*v)
	} else {
		c.w.time(*v)
	}
}

// sorted sorts a map's keys in place. They are few (readings, stages) or, in a job's rooms and
// items, at most some thousands.
func sorted(keys []string) []string {
	for gap := len(keys) / 2; gap > 0; gap /= 2 {
		for i := gap; i < len(keys); i++ {
			k := keys[i]
			at := i
			for ; at >= gap && k < keys[at-gap]; at -= gap {
				keys[at] = keys[at-gap]
			}
			keys[at] = k
		}
	}
	return keys
}
