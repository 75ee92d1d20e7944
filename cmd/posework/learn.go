package main

import (
	"os"
	"strings"

	"github.com/mattn/go-isatty"

	"posework/cmd/posework/internal/plain"
	"posework/cmd/posework/internal/tui"
)

type learnCmd struct{}

// Help is shown by --help.
func (learnCmd) Help() string {
	return `Opens the course: lessons with their tasks, handing in programs, findings, and
questions. ? lists the keys of every screen. Marks and answers are kept in the
user's data folder (or where --records says), programs where you say at the
bench; nothing else is written.

Example:

  posework learn --name "Jo Fenwick"

Exit status: 0, or 2 when the course or the terminal can't be used.`
}

// Run opens the course.
func (c *learnCmd) Run(s *session) error {
	st, trouble, err := s.seat()
	if err != nil {
		return err
	}
	if st.Store != nil {
		defer st.Store.Close()
	}
	in, isIn := asTerminal(s.in)
	out, isOut := asTerminal(s.out)
	if s.options.Plain || os.Getenv("TERM") == "dumb" || !isIn || !isOut {
		return plain.Run(s.ctx, st, s.in, s.out, trouble)
	}
	return tui.Run(s.ctx, st, in, out, utf8Locale(os.Getenv), trouble)
}

// asTerminal is v where a person sits at the other end.
func asTerminal(v any) (f *os.File, ok bool) {
	f, ok = v.(*os.File)
	return f, ok && isatty.IsTerminal(f.Fd())
}

// utf8Locale reports whether the locale shows more than ASCII, by the variables
// that decide it (POSIX, Base Definitions, 8.2), the first that is set. An
// environment that says nothing is taken for a modern one.
func utf8Locale(env func(string) string) bool {
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if v := strings.ToLower(env(name)); v != "" {
			return strings.Contains(v, "utf-8") || strings.Contains(v, "utf8")
		}
	}
	return true
}
