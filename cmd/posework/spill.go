package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
)

// spill keeps pieces in a file until they are wanted.
type spill struct {
	f    *os.File
	w    *bufio.Writer
	ends []int64
	size int64
}

func newSpill() (*spill, error) {
	f, err := os.CreateTemp("", "posework-*")
	if err != nil {
		return nil, fmt.Errorf("make room for the report: %w", err)
	}
	return &spill{f: f, w: bufio.NewWriter(f)}, nil
}

func (s *spill) close() {
	if s != nil {
		_ = errors.Join(s.f.Close(), os.Remove(s.f.Name()))
	}
}

func (s *spill) add(piece []byte) error {
	n, err := s.w.Write(piece)
	s.size += int64(n)
	s.ends = append(s.ends, s.size)
	if err != nil {
		return fmt.Errorf("make room for the report: %w", err)
	}
	return nil
}

// all reads the pieces one after the other.
func (s *spill) all() io.Reader {
	if err := s.w.Flush(); err != nil {
		return failing{err}
	}
	return io.NewSectionReader(s.f, 0, s.size)
}

// each goes through the pieces.
func (s *spill) each() iter.Seq2[io.Reader, error] {
	return func(yield func(io.Reader, error) bool) {
		if err := s.w.Flush(); err != nil {
			yield(nil, err)
			return
		}
		from := int64(0)
		for _, end := range s.ends {
			if !yield(io.NewSectionReader(s.f, from, end-from), nil) {
				return
			}
			from = end
		}
	}
}

// failing is a reader of what could not be put away.
type failing struct{ err error }

// Read fails.
func (f failing) Read([]byte) (int, error) { return 0, f.err }
