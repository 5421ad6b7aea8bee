package wire

import (
	"time"
	"unsafe"

	"longpoint/internal/length"
)

// shape says how a type is laid out and what it is called in JSON. One function goes through
// every shape: a function a type, which this was before, weighs three times as much.
type shape struct {
	kind    kind
	size    uintptr // of a list or an array, its part's size
	count   int     // of an array
	part    *shape  // of a list, an array or a pointer
	members []member
	// room makes a list one part longer, or has a pointer point at something new. Nil where the
	// type is only written.
	room func(unsafe.Pointer)
	// own goes through a map, which only its own type can do; full says whether it holds something.
	own  func(*codec, unsafe.Pointer)
	full func(unsafe.Pointer) bool
}

type kind uint8

const (
	aText kind = iota
	aFlag
	aWhole
	aCount
	aLength // a length.Length
	aDecimal
	aMoment // a time.Time
	anObject
	aList
	anArray
	aMap
	aPointer
)

// member is one member of an object, at bytes into the struct.
type member struct {
	name     string
	at       uintptr
	shape    *shape
	optional bool // left out when empty
}

// slice stands for a slice of any type: where it is and how long are the same for all.
type slice = []byte

var (
	ofText    = shape{kind: aText}
	ofFlag    = shape{kind: aFlag}
	ofWhole   = shape{kind: aWhole}
	ofCount   = shape{kind: aCount}
	ofMeasure = shape{kind: aLength}
	ofDecimal = shape{kind: aDecimal}
	ofMoment  = shape{kind: aMoment}
)

// visit writes or reads the value at p, which has to be of the type that s is of.
func (c *codec) visit(s *shape, p unsafe.Pointer) {
	switch s.kind {
	case aText:
		c.textValue((*string)(p))
	case aFlag:
		if x := (*bool)(p); c.reading {
			*x = c.r.flag(*x)
		} else {
			c.w.flag(*x)
		}
	case aWhole:
		c.wholeValue((*int64)(p))
	case aCount:
		x := int64(*(*int)(p))
		c.wholeValue(&x)
		*(*int)(p) = int(x)
	case aLength:
		c.lengthValue((*length.Length)(p))
	case aDecimal: // views alone have these, and are only written
		c.w.decimal(*(*float64)(p))
	case aMoment:
		c.timeValue((*time.Time)(p))
	case anObject:
		for c.open(); c.pass(); {
			for i := range s.members {
				c.one(&s.members[i], p)
			}
		}
	case aList:
		v := (*slice)(p)
		if c.list(*v != nil) {
			*v = slice{}
		}
		for i := 0; c.item(i, len(*v)); i++ {
			if c.reading {
				s.room(p)
			}
			c.visit(s.part, unsafe.Add(unsafe.Pointer(unsafe.SliceData(*v)), uintptr(i)*s.size))
		}
	case anArray:
		c.list(true)
		for i := 0; c.item(i, s.count); i++ {
			c.visit(s.part, unsafe.Add(p, uintptr(i)*s.size))
		}
	case aMap:
		s.own(c, p)
	case aPointer:
		if c.reading {
			if c.r.null() {
				return // leaves what is there
			}
			s.room(p)
		}
		if to := *(*unsafe.Pointer)(p); to != nil {
			c.visit(s.part, to)
		} else {
			c.w.null()
		}
	}
}

// one writes or reads one member of the struct at p.
func (c *codec) one(m *member, p unsafe.Pointer) {
	p = unsafe.Add(p, m.at)
	if !c.reading && m.optional && m.shape.empty(p) || !c.member(m.name) {
		return
	}
	c.visit(m.shape, p)
}

// empty reports whether encoding/json's omitempty leaves the value at p out.
func (s *shape) empty(p unsafe.Pointer) bool {
	switch s.kind {
	case aText:
		return *(*string)(p) == ""
	case aList:
		return len(*(*slice)(p)) == 0
	case aFlag:
		return !*(*bool)(p)
	case aWhole, aLength:
		return *(*int64)(p) == 0
	case aCount:
		return *(*int)(p) == 0
	case aDecimal:
		return *(*float64)(p) == 0
	case aMap:
		return !s.full(p)
	case aPointer:
		return *(*unsafe.Pointer)(p) == nil
	}
	return false
}
