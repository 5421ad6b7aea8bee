package fault_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"longpoint/internal/fault"
)

func TestSpoken(t *testing.T) {
	t.Parallel()
	for _, tc := range [][3]string{
		{"es", "Sign in first.", "Primero entre con su nombre."},
		{"en", "Sign in first.", "Sign in first."},
		{"", "Sign in first.", "Sign in first."},
		{"es", `The house rule "reveal" may be from 0 to 25400000.`, `La regla de la casa "reveal" puede ir de 0 a 25400000.`},
		{"es", "The id of the job is not a UUID in lower case.", "El identificador de job no es un UUID en minúsculas."},
		{"es", "Nobody wrote this down.", "Nobody wrote this down."},
		{"es", fault.SentenceOf(nil), "Algo falló de nuestro lado. Quedó anotado; intente otra vez."},
	} {
		if got := fault.Spoken(tc[0], tc[1]); got != tc[2] {
			t.Errorf("%s: %q is said %q, want %q", tc[0], tc[1], got, tc[2])
		}
	}
}

// TestEveryFaultIsSaidInSpanish reads the program for the sentences of its faults.
func TestEveryFaultIsSaidInSpanish(t *testing.T) {
	t.Parallel()
	found := 0
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") || strings.Contains(path, "storetest") {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			for _, sentence := range sentences(n) {
				found++
				if fault.Spoken("es", sentence) == sentence {
					t.Errorf("%s: no Spanish in internal/fault/es.txt for %q", path, sentence)
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if found < 60 {
		t.Errorf("only %d sentences found: the search no longer fits the code", found)
	}
}

// sentences are the whole texts of a fault or a problem that a node makes; what is put
// together from parts has its own lines in the file.
func sentences(n ast.Node) []string {
	var args []ast.Expr
	switch n := n.(type) {
	case *ast.CallExpr:
		name := ""
		switch f := n.Fun.(type) {
		case *ast.SelectorExpr:
			name = f.Sel.Name
		case *ast.Ident:
			name = f.Name
		}
		if name == "New" || name == "Because" || name == "newProblem" {
			args = n.Args
		}
	case *ast.CompositeLit:
		args = n.Elts
	}
	if !about(args) {
		return nil
	}
	var out []string
	for _, a := range args {
		if lit, ok := a.(*ast.BasicLit); ok && lit.Kind == token.STRING {
			if s, err := strconv.Unquote(lit.Value); err == nil && strings.HasSuffix(s, ".") {
				out = append(out, s)
			}
		}
	}
	return out
}

// about reports whether one of the values is a fault's code that a person is told of.
func about(args []ast.Expr) bool {
	for _, a := range args {
		if s, ok := a.(*ast.SelectorExpr); ok && s.Sel.Name != "Internal" {
			if x, ok := s.X.(*ast.Ident); ok && x.Name == "fault" {
				return true
			}
		}
	}
	return false
}
