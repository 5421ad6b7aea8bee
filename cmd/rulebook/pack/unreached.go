package main

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"strings"
)

// unreached names what the linker keeps and a browser's rule book never runs, as the linker writes
// it, * for any end: Go's execution tracer and profiles, which nothing in the program
// turns on, the scheduler's and the heap's dumps, which GODEBUG asks for, and clock times in a layout of
// the caller's (the rule book writes RFC 3339; only the print of a panic would say a time). Their bodies are
// replaced by one that traps. What of the tracer is asked whether it is on stays.
var unreached = []string{
	"runtime.traceLocker.G*", "runtime.traceLocker.Heap*", "runtime.traceLocker.Proc*", "runtime.traceLocker.STW*", "runtime.traceLocker.Span*",
	"runtime.traceLocker.startPC", "runtime.traceLocker.stack", "runtime.traceLocker.string", "runtime.traceLocker.rtype",
	"runtime.traceLocker.writer", "runtime.traceLocker.eventWriter", "runtime.traceLocker.rawEventWriter",
	"runtime.traceWriter.*", "runtime.traceEventWriter.*", "runtime.traceAdvance*", "runtime.traceStack*", "runtime.traceCPU*",
	"runtime.traceReadCPU*", "runtime.__traceBuf_.*", "runtime.__traceMap_.*", "runtime.__traceStringTable_.*", "runtime.__traceStackTable_.*",
	"runtime.__traceTypeTable_.*", "runtime.__profBuf_.*", "runtime.schedtrace*", "runtime.__hexdumper_.*", "runtime.gcDumpObject*",
	"time.Time.appendFormat", "time.nextStdChunk",
}

const (
	customSection   = 0
	importSection   = 2
	codeSection     = 10
	functionNames   = 1
	importsFunction = 0
)

// trap is a body of no locals that traps when it is run.
var trap = []byte{0, 0x00, end}

// leaveOut replaces the bodies of what is unreached and drops the names, which the module is linked with
// for this alone. It refuses a module that lacks one of them: another Go's, to be looked at anew.
func leaveOut(in []byte, unreached []string) ([]byte, error) {
	m, err := parseModule(in)
	if err != nil {
		return nil, err
	}
	code, names := m.section(codeSection), m.named()
	if code == nil || names == nil {
		return nil, errors.New("it has no code, or no names of functions")
	}
	called, err := functionsNamed(names.body)
	if err != nil {
		return nil, err
	}
	before, err := m.importedFunctions()
	if err != nil {
		return nil, err
	}
	r := reader{b: code.body}
	count := r.number()
	body := binary.AppendUvarint(nil, uint64(count))
	found := make([]bool, len(unreached))
	for i := range count {
		own := r.bytes(r.number())
		for k, name := range unreached {
			if start, open := strings.CutSuffix(name, "*"); called[before+i] == name || open && strings.HasPrefix(called[before+i], start) {
				own, found[k] = trap, true
			}
		}
		body = append(binary.AppendUvarint(body, uint64(len(own))), own...)
	}
	if r.broken || len(r.b) != 0 {
		return nil, errCut
	}
	for k, name := range unreached {
		if !found[k] {
			return nil, fmt.Errorf("it has no function %s; see cmd/rulebook/pack/unreached.go", name)
		}
	}
	code.body = body
	m.sections = m.without(names)
	return m.encode(), nil
}

// named is the section that says what functions are called (Core Specification, appendix 7.4).
func (m *module) named() *section {
	for i := range m.sections {
		if s := &m.sections[i]; s.id == customSection && bytes.HasPrefix(s.body, []byte("\x04name")) {
			return s
		}
	}
	return nil
}

func (m *module) without(s *section) []section {
	var out []section
	for i := range m.sections {
		if &m.sections[i] != s {
			out = append(out, m.sections[i])
		}
	}
	return out
}

// functionsNamed reads the names by the functions' numbers.
func functionsNamed(body []byte) (map[int]string, error) {
	r := reader{b: body[len("\x04name"):]}
	out := map[int]string{}
	for len(r.b) > 0 && !r.broken {
		kind := r.bytes(1)
		part := reader{b: r.bytes(r.number())}
		if r.broken || kind[0] != functionNames {
			continue
		}
		for range part.number() {
			i := part.number()
			out[i] = string(part.bytes(part.number()))
		}
		r.broken = part.broken
	}
	if r.broken {
		return nil, errCut
	}
	return out, nil
}

// importedFunctions counts the functions numbered before the module's own. A Go program imports
// nothing but functions.
func (m *module) importedFunctions() (int, error) {
	s := m.section(importSection)
	if s == nil {
		return 0, nil
	}
	r := reader{b: s.body}
	count := r.number()
	for range count {
		r.bytes(r.number()) // the module it is of
		r.bytes(r.number()) // its name
		if kind := r.bytes(1); r.broken || kind[0] != importsFunction {
			return 0, errors.New("it imports something that is no function")
		}
		r.number() // its type
	}
	return count, nil
}

// reader reads LEB128 numbers and runs of bytes; broken once there were too few.
type reader struct {
	b      []byte
	broken bool
}

func (r *reader) number() int {
	v, n := binary.Uvarint(r.b)
	if n <= 0 || v > most {
		r.broken, r.b = true, nil
		return 0
	}
	r.b = r.b[n:]
	return int(v)
}

func (r *reader) bytes(n int) []byte {
	if n > len(r.b) {
		r.broken, r.b = true, nil
		return nil
	}
	out := r.b[:n]
	r.b = r.b[n:]
	return out
}
