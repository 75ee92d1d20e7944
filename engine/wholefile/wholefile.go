// Package wholefile writes files whole or not at all: after a fault, a full disk
// or a loss of power a file holds what it held before, or all that was written.
package wholefile

import (
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"posework/engine/diag"
)

// Write has write fill a file. It takes the place of an older one of its name
// when all of it is on the disk; a link stays one. A new file gets the mode, an
// older one keeps its own. What fails leaves nothing beside the file, and the
// error does not name the file in the making.
func Write(path string, mode fs.FileMode, write func(io.Writer) error) error {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	if info, err := os.Stat(path); err == nil {
		mode = info.Mode().Perm()
	}
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return diag.Reason(err)
	}
	err = write(f)
	if err == nil {
		err = f.Chmod(mode)
	}
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		os.Remove(f.Name())
		return diag.Reason(err)
	}
	// The new name, too, must reach the disk. Not every file system can be told
	// so; then there is nothing more to do.
	if dir, err := os.Open(filepath.Dir(path)); err == nil {
		_ = dir.Sync()
		dir.Close()
	}
	return nil
}
