package scenarios

import (
	"embed"
	"io/fs"
)

//go:embed harbour
var builtin embed.FS

// Builtin returns the harnesses and exercises that come with the program: an invented workshop of an invented harbour
// authority.
func Builtin() fs.FS { return builtin }
