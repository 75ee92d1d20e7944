package source

import (
	"errors"
	"io"
	"io/fs"
	"path"
	"strings"
)

// Beside returns the path of a file that a text in folder dir names, both within
// one file system with slashes. Names that are absolute, that hold a backslash
// or a drive letter, or that lead out of the file system are refused: a lesson
// from a stranger reads nothing outside its course.
func Beside(dir, name string) (string, error) {
	switch {
	case name == "":
		return "", errors.New("the name is empty")
	case strings.ContainsAny(name, "\\:\x00"):
		return "", errors.New("write it with / and without a drive letter")
	case path.IsAbs(name):
		return "", errors.New("a path from the root of the disk is not read")
	}
	p := path.Join(dir, name)
	if !fs.ValidPath(p) || p == "." {
		return "", errors.New("it leads out of the course's folder")
	}
	return p, nil
}

// ReadFile reads a regular file, at most limit+1 bytes of it: enough for a
// reader with that limit to see that the file is too large.
func ReadFile(fsys fs.FS, name string, limit int) ([]byte, error) {
	// Looked at before it is opened: opening a pipe waits for its writer.
	if info, err := fs.Stat(fsys, name); err == nil && !info.Mode().IsRegular() {
		return nil, errors.New("it is no regular file")
	}
	f, err := fsys.Open(name)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, errors.New("there is no such file")
		}
		return nil, errors.New("it can't be opened")
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil || !info.Mode().IsRegular() {
		return nil, errors.New("it is no regular file")
	}
	data, err := io.ReadAll(io.LimitReader(f, int64(limit)+1))
	if err != nil {
		return nil, errors.New("it can't be read")
	}
	return data, nil
}
