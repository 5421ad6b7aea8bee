package main

import (
	"bytes"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

// TestGeneratedFilesAreCurrent fails when a type has changed and its codec has not.
func TestGeneratedFilesAreCurrent(t *testing.T) {
	t.Parallel()
	files, err := generate()
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range files {
		got, err := os.ReadFile(filepath.Join("..", name))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s is not what its types make it: run go generate ./internal/wire", name)
		}
	}
}

type deep struct {
	Name  string `json:"name"`
	Stage string `json:"stage"`
}

type shadowed struct {
	deep
	Stage string `json:"stage,omitempty"`
	Gone  string `json:"-"`
	Plain int
}

// TestFieldsFollowTheTags holds the rules of embedding: the least deep wins, and the order is
// that of the struct.
func TestFieldsFollowTheTags(t *testing.T) {
	t.Parallel()
	var got []string
	for _, f := range fields(reflect.TypeFor[shadowed]()) {
		got = append(got, f.path+"="+f.name)
	}
	if want := "deep.Name=name Stage=stage Plain=Plain"; strings.Join(got, " ") != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestGeneratorRefusesWhatItDoesNotKnow(t *testing.T) {
	t.Parallel()
	for name, typ := range map[string]reflect.Type{
		"an option": reflect.TypeFor[struct {
			X int `json:"x,string"`
		}](),
		"an embedded pointer": reflect.TypeFor[struct{ *deep }](),
		"a decimal to read":   reflect.TypeFor[struct{ X float64 }](),
		"a channel":           reflect.TypeFor[struct{ X chan int }](),
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			defer func() {
				if recover() == nil {
					t.Errorf("%s was taken", typ)
				}
			}()
			g := &generator{read: map[reflect.Type]bool{typ: true}, imports: map[string]bool{}}
			g.queue = append(g.queue, typ)
			g.all()
		})
	}
}

// TestTwoOfANameDropOut: encoding/json leaves out both, unless one is named by its tag.
func TestTwoOfANameDropOut(t *testing.T) {
	t.Parallel()
	a, b := field{name: "x", index: []int{0, 1}}, field{name: "x", index: []int{1, 0}}
	if f, ok := dominant([]field{a, b}); ok {
		t.Errorf("got %v, want neither", f)
	}
	b.tagged = true
	if f, ok := dominant([]field{a, b}); !ok || !f.tagged {
		t.Errorf("got %v, want the tagged one", f)
	}
}
