// Package assets holds what is not Go: the page around the bench.
package assets

import (
	"embed"
	"io/fs"
)

//go:embed page
var files embed.FS

// Page returns the page's files: index.html and what it asks for, but for the built bench (bench.wasm) and the loader that
// belongs to the Go it was built with (wasm_exec.js), which whoever serves the page adds beside them. The page works
// without a network, runs no script written into it, and asks for nothing outside its own folder.
func Page() fs.FS {
	page, err := fs.Sub(files, "page")
	if err != nil {
		panic(err) // the name is fixed: a broken build
	}
	return page
}
