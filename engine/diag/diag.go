// Package diag is how posework tells a person what is wrong with a file: a list
// of positioned diagnostics, all that one reading found, sorted by place.
//
// It finds nothing itself. Every reader in engine, grader and lessons reports
// through it, so that all errors look alike:
//
//	pick.yaml:14:16: speed is 1500 mm/s, but the fastest that can be written is 1000 mm/s; try 250 mm/s
package diag

import (
	"cmp"
	"fmt"
	"go/token"
	"slices"
	"strings"
)

// Pos is a place in a file: name, line and column, both from 1.
type Pos = token.Position

// Diagnostic is one thing wrong with a file.
type Diagnostic struct {
	Pos  Pos
	Code string // stable, such as "F003"; posework explain CODE tells more
	Text string // what is wrong, with the value and unit seen and the limit by name
	Fix  string // one thing to try; may be empty
}

// String returns FILE:LINE:COL: text; fix, [Visible].
func (d Diagnostic) String() string {
	s := fmt.Sprintf("%s: %s", d.Pos, d.Text)
	if d.Fix != "" {
		s += "; " + d.Fix
	}
	return Visible(s)
}

// List is what one reading found. The zero value is ready to use.
type List []Diagnostic

// Add appends a diagnostic.
func (l *List) Add(pos Pos, code, fix, format string, args ...any) {
	*l = append(*l, Diagnostic{Pos: pos, Code: code, Text: fmt.Sprintf(format, args...), Fix: fix})
}

// Sort orders the list by file, line, column, code and text, and drops exact
// repeats.
func (l *List) Sort() {
	slices.SortStableFunc(*l, func(a, b Diagnostic) int {
		return cmp.Or(
			strings.Compare(a.Pos.Filename, b.Pos.Filename),
			cmp.Compare(a.Pos.Line, b.Pos.Line),
			cmp.Compare(a.Pos.Column, b.Pos.Column),
			strings.Compare(a.Code, b.Code),
			strings.Compare(a.Text, b.Text),
		)
	})
	*l = slices.CompactFunc(*l, func(a, b Diagnostic) bool { return a == b })
}

// Err returns the sorted list as an error, or nil when it is empty.
func (l List) Err() error {
	if len(l) == 0 {
		return nil
	}
	l.Sort()
	return l
}

// Error returns one line a diagnostic.
func (l List) Error() string {
	lines := make([]string, len(l))
	for i, d := range l {
		lines[i] = d.String()
	}
	return strings.Join(lines, "\n")
}
