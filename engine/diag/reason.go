package diag

import (
	"errors"
	"io/fs"
	"os"
)

// Reason is the part of an error about a file that a person needs, where the name
// of the file is told already or is none that they know.
func Reason(err error) error {
	var p *fs.PathError
	var l *os.LinkError
	switch {
	case errors.As(err, &p):
		return p.Err
	case errors.As(err, &l):
		return l.Err
	}
	return err
}
