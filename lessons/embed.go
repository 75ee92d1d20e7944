package lessons

import (
	"embed"
	"io/fs"
)

//go:embed cells decks [0-9][0-9]-*
var embedded embed.FS

// Embedded returns the files of the course that is built into the program.
func Embedded() fs.FS { return embedded }
