package class

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"unicode"

	"github.com/charmbracelet/x/ansi"

	"posework/engine/diag"
	"posework/grader/report"
)

// The widest that a column of the sheet gets.
const (
	widestName = 28
	mostNames  = 30 // absent learners that are named
)

// Text writes the sheet for a terminal, in lines of at most [report.Width]: a row
// a learner, then what was found by how many of them, then what could not be
// graded, then who is absent. Text from files can't move the cursor.
func (s *Sheet) Text(w io.Writer) error {
	b := bufio.NewWriter(w)
	s.head(b)
	s.table(b)
	s.tallies(b)
	s.ungraded(b)
	s.absent(b)
	return b.Flush()
}

func (s *Sheet) head(w io.Writer) {
	graded, passed := 0, s.Passed()
	for i := range s.Rows {
		if s.Rows[i].Graded {
			graded++
		}
	}
	text := fmt.Sprintf("%s: %s, %d passed, %d not passed", s.Lesson, diag.Count(len(s.Rows), "learner", "learners"), passed, graded-passed)
	if n := len(s.Rows) - graded; n > 0 {
		text += fmt.Sprintf(", %d without a program that could be graded", n)
	}
	if n := len(s.Absent); n > 0 {
		text += fmt.Sprintf(", %d absent", n)
	}
	fmt.Fprintln(w, report.Wrap(text, "", report.Width))
	fmt.Fprintf(w, "course %s, %s\n", s.Course, diag.Count(s.Programs, "file", "files"))
}

func (s *Sheet) table(w io.Writer) {
	if len(s.Rows) == 0 {
		return
	}
	width := len("learner")
	for i := range s.Rows {
		width = max(width, min(widestName, ansi.StringWidth(Shown(s.name(&s.Rows[i])))))
	}
	row := func(name, mark, passed, findings, first string) {
		line := pad(ansi.Truncate(name, width, "…"), width) + fmt.Sprintf("  %5s  %-6s  %8s  %s", mark, passed, findings, first)
		fmt.Fprintln(w, strings.TrimRight(ansi.Truncate(line, report.Width, "…"), " "))
	}
	fmt.Fprintln(w)
	row("learner", "mark", "passed", "findings", "first finding")
	for i := range s.Rows {
		r := &s.Rows[i]
		first := r.First
		if r.Programs > 1 {
			first = strings.TrimLeft(fmt.Sprintf("%s (best of %d: %s)", first, r.Programs, r.File), " ")
		}
		if !r.Graded {
			row(Shown(s.name(r)), "-", "no", "-", Shown(first))
			continue
		}
		row(Shown(s.name(r)), report.Points(r.Points), yes(r.Passed), fmt.Sprint(r.Findings), Shown(first))
	}
	for i := range s.Rows {
		if s.stranger(&s.Rows[i]) {
			fmt.Fprintln(w, "* not on the roster")
			break
		}
	}
}

// stranger tells whether there is a roster and the learner is not on it.
func (s *Sheet) stranger(r *Row) bool { return s.names.Any() && !r.Known }

// name is a learner's name as the table has it.
func (s *Sheet) name(r *Row) string {
	if s.stranger(r) {
		return "* " + r.Learner
	}
	return r.Learner
}

func (s *Sheet) tallies(w io.Writer) {
	if len(s.Findings) == 0 {
		return
	}
	fmt.Fprintf(w, "\nFindings, by how many of %s made them:\n", diag.Count(len(s.Rows), "learner", "learners"))
	width := 0
	for _, t := range s.Findings {
		width = max(width, len(t.Code))
	}
	for _, t := range s.Findings {
		line := fmt.Sprintf("  %4d  %-*s  %s", len(t.Learners), width, t.Code, t.Doc.Title)
		if t.Times > len(t.Learners) {
			line += fmt.Sprintf(" (%d times)", t.Times)
		}
		fmt.Fprintln(w, ansi.Truncate(line, report.Width, "…"))
	}
}

func (s *Sheet) ungraded(w io.Writer) {
	if len(s.Ungraded) == 0 {
		return
	}
	fmt.Fprintf(w, "\nCould not be graded:\n")
	for _, u := range s.Ungraded {
		between := ": "
		if u.Reason[0] >= '1' && u.Reason[0] <= '9' {
			between = ":" // FILE:LINE:COL
		}
		fmt.Fprintln(w, report.Wrap(Shown(u.File)+between+Shown(u.Reason), "  ", report.Width))
	}
}

func (s *Sheet) absent(w io.Writer) {
	if len(s.Absent) == 0 {
		return
	}
	var names []string
	for i, p := range s.Absent {
		if i == mostNames {
			names = append(names, fmt.Sprintf("and %d more", len(s.Absent)-i))
			break
		}
		names = append(names, Shown(p.Name))
	}
	fmt.Fprintf(w, "\nAbsent:\n%s\n", report.Wrap(strings.Join(names, ", "), "  ", report.Width))
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// pad fills a text up with blanks.
func pad(s string, width int) string {
	return s + strings.Repeat(" ", max(0, width-ansi.StringWidth(s)))
}

// Shown is a text that may come from a file's name, without characters that move
// the cursor, turn the direction of writing or are not seen.
func Shown(s string) string {
	return strings.Map(func(r rune) rune {
		if r == ' ' || unicode.IsGraphic(r) {
			return r
		}
		return unicode.ReplacementChar
	}, strings.ToValidUTF8(s, string(unicode.ReplacementChar)))
}
