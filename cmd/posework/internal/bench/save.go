package bench

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"

	"posework/engine/diag"
	"posework/engine/practice"
	"posework/engine/wholefile"
	"posework/grader"
)

// Saver keeps a program's text in a file: whole and at once, so that after a
// crash or a loss of power the file holds either the text before or the text
// after. It may be told to save from several goroutines at once; the newest
// version wins.
type Saver struct {
	Path string

	mu      sync.Mutex
	known   []byte // what the file held when it was last read or written; nil: there was none
	version int    // newest written
}

// ErrChanged says that somebody else wrote the file since it was read.
var ErrChanged = errors.New("the file was changed by something else in the meantime")

// NewSaver returns a saver for a file that holds a text, nil where there is no
// file yet.
func NewSaver(path string, known []byte) *Saver { return &Saver{Path: path, known: known} }

// Save writes a version of the text. Where the file no longer holds what this
// saver wrote or read, it writes nothing and returns an error that wraps
// [ErrChanged]; with force it writes all the same.
func (s *Saver) Save(text []byte, version int, force bool) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if version < s.version {
		return nil // a newer one is there already
	}
	now, err := os.ReadFile(s.Path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		now = nil
	case err != nil:
		return saveError(err)
	}
	if !force && (!bytes.Equal(now, s.known) || (now == nil) != (s.known == nil)) {
		if bytes.Equal(now, text) && now != nil {
			s.known, s.version = text, version
			return nil
		}
		return fmt.Errorf("%s: %w", filepath.Base(s.Path), ErrChanged)
	}
	if err := write(s.Path, text); err != nil {
		return saveError(err)
	}
	s.known, s.version = text, version
	return nil
}

// KeepLog leaves the practice log beside the program, for the program to be
// graded with it later. Where a log of the very same text and cell lies there, the
// new entries come after its own. A log without entries changes nothing, nor does
// one of a text that was not saved.
func (s *Saver) KeepLog(log practice.Log) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(log.Entries) == 0 || log.Program != grader.Digest(s.known) {
		return nil
	}
	file := practice.LogFile(s.Path)
	if text, err := os.ReadFile(file); err == nil {
		if before, l := practice.ReadLog(file, text); len(l) == 0 && before.Of(&log) {
			log = *before.Then(&log)
		}
	}
	if err := write(file, log.Text()); err != nil {
		return fmt.Errorf("keep the practice log: %w", err)
	}
	return nil
}

// saveError is an error about the program's file, whose name is known.
func saveError(err error) error { return fmt.Errorf("save the program: %w", diag.Reason(err)) }

func write(path string, text []byte) error {
	return wholefile.Write(path, 0o644, func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	})
}
