// Command pack compiles the rule book to WebAssembly and rewrites the file so that it
// compresses better. What runs of the program stays the same, instruction for instruction.
//
//	go run ./cmd/rulebook/pack web/src/rulebook/made/rulebook.wasm
//
// Go's linker cuts the memory image into some sixty thousand slivers to leave out short runs
// of zeros, and each sliver's address is noise to a compressor: one image with its zeros is
// a tenth smaller after brotli. What only a stack trace's line numbers and OpenAPI's field
// notes need is blanked. Functions that a browser's rule book never runs (unreached.go) are
// replaced by a trap. The standard library's own switches for old behavior are left out.
package main

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

//go:embed godebug/godebug.go
var godebug []byte

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: pack out.wasm")
		os.Exit(2)
	}
	if err := run(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "pack: "+err.Error())
		os.Exit(1)
	}
}

func run(out string) error {
	dir, err := os.MkdirTemp("", "rulebook")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	linked := filepath.Join(dir, "rulebook.wasm")
	replaced, err := overlay(dir)
	if err != nil {
		return err
	}
	// The names of functions are there to leave out bodies by, and go then.
	// Inlining would make the compressed file a fifth larger.
	build := exec.Command("go", "build", "-trimpath", "-ldflags=-w", "-gcflags=all=-l", "-overlay", replaced, "-o", linked, "longpoint/cmd/rulebook")
	// The older collector of the two that Go 1.26 has is ten kilobytes smaller compressed and on
	// one thread no slower (measured). Go 1.27 is to drop the choice.
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "GOEXPERIMENT=nogreenteagc")
	build.Stdout, build.Stderr = os.Stderr, os.Stderr
	if err := build.Run(); err != nil {
		return fmt.Errorf("go build: %w", err)
	}
	module, err := os.ReadFile(linked)
	if err != nil {
		return err
	}
	if module, err = leaveOut(module, unreached); err != nil {
		return err
	}
	packed, err := pack(module)
	if err != nil {
		return err
	}
	return os.WriteFile(out, packed, 0o644)
}

// overlay writes, into dir, the list of the standard library's files to be replaced in this
// build, and says where it is.
func overlay(dir string) (string, error) {
	std, err := exec.Command("go", "list", "-f", "{{.Dir}}", "internal/godebug").Output()
	if err != nil {
		return "", fmt.Errorf("go list: %w", err)
	}
	own := filepath.Join(dir, "godebug.go")
	if err := os.WriteFile(own, godebug, 0o600); err != nil {
		return "", err
	}
	list, err := json.Marshal(map[string]map[string]string{
		"Replace": {filepath.Join(strings.TrimSpace(string(std)), "godebug.go"): own},
	})
	if err != nil {
		return "", err
	}
	name := filepath.Join(dir, "overlay.json")
	return name, os.WriteFile(name, list, 0o600)
}

// pack returns the module with its memory image rewritten.
func pack(in []byte) ([]byte, error) {
	mod, err := parseModule(in)
	if err != nil {
		return nil, err
	}
	data := mod.section(dataSection)
	if data == nil {
		return nil, fmt.Errorf("it has no data section")
	}
	image, err := parseData(data.body)
	if err != nil {
		return nil, err
	}
	if err := blankLines(image); err != nil {
		return nil, err
	}
	blankTags(image)
	blankTypeNames(image)
	data.body = encodeData(image)
	return mod.encode(), nil
}
