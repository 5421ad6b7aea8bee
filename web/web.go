// Package web carries the built web app within the program.
package web

import (
	"embed"
	"io/fs"
)

// The pattern matches dist, which the web app's build makes, and this file: a pattern that
// matches nothing would keep the program from being built before the web app is.
//
//go:embed [dw][ie][sb][t.]*
var files embed.FS

// App returns the built web app's files; ok is false when the program was built without.
func App() (app fs.FS, ok bool) {
	if _, err := fs.Stat(files, "dist/index.html"); err != nil {
		return nil, false
	}
	app, err := fs.Sub(files, "dist")
	return app, err == nil
}
