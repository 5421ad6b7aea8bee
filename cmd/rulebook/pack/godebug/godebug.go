// Package godebug stands in for the standard library's internal/godebug where the rule book is
// compiled for a browser. That one reads the GODEBUG environment variable, which a browser does
// not have; with it go a matcher, counters and their maps, twenty kilobytes compressed. Here
// every setting has its default. It offers what the standard library asks of it: if a later Go
// asks for more, the rule book does not compile.
package godebug

// Setting is a setting at its default.
type Setting struct{ name string }

// New returns the setting of a name.
func New(name string) *Setting { return &Setting{name: name} }

// Name is the setting's name.
func (s *Setting) Name() string { return s.name }

// Undocumented reports whether the setting has no page of its own.
func (*Setting) Undocumented() bool { return false }

func (s *Setting) String() string { return s.name + "=" + s.Value() }

// Value is the setting's value, where empty means the default.
func (*Setting) Value() string { return "" }

// IncNonDefault counts uses of a value other than the default, of which there are none.
func (*Setting) IncNonDefault() {}
