package lessons

import (
	"bytes"
	"io"
	"io/fs"
)

// kept is a file system that keeps what was read of it, so that a lesson can be
// built again from the same bytes although its files were changed meanwhile.
type kept struct {
	fsys  fs.FS // nil once it is closed: nothing else is read then
	files map[string]keptFile
}

type keptFile struct {
	info fs.FileInfo
	data []byte
	err  error
}

// Stat tells of a file without opening it.
func (k *kept) Stat(name string) (fs.FileInfo, error) {
	f, err := k.Open(name)
	if err != nil {
		return nil, err
	}
	return f.Stat()
}

// Open reads a file, at most one byte more than any reader of the course takes.
func (k *kept) Open(name string) (fs.File, error) {
	f, seen := k.files[name]
	switch {
	case !seen && k.fsys == nil:
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	case !seen:
		f = k.read(name)
		k.files[name] = f
	}
	if f.err != nil {
		return nil, f.err
	}
	return &openFile{f.info, bytes.NewReader(f.data)}, nil
}

// close ends reading. From then on nothing is written to k, and several may read
// it at a time.
func (k *kept) close() { k.fsys = nil }

func (k *kept) read(name string) keptFile {
	if info, err := fs.Stat(k.fsys, name); err == nil && !info.Mode().IsRegular() {
		return keptFile{info: info} // opening a pipe waits for its writer
	}
	file, err := k.fsys.Open(name)
	if err != nil {
		return keptFile{err: err}
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil || !info.Mode().IsRegular() {
		return keptFile{info: info, err: err}
	}
	data, err := io.ReadAll(io.LimitReader(file, mostBytes+1))
	return keptFile{info, data, err}
}

// openFile is a file in memory.
type openFile struct {
	info fs.FileInfo
	*bytes.Reader
}

// Stat describes the file as it was when it was read.
func (f *openFile) Stat() (fs.FileInfo, error) { return f.info, nil }

// Close does nothing.
func (f *openFile) Close() error { return nil }
