package class

import (
	"cmp"
	"fmt"

	"posework/cmd/posework/internal/marking"
	"posework/engine/diag"
	"posework/grader/records"
	"posework/grader/report"
)

// Sheet is how a class did. Results come in with [Sheet.Add], learner by learner.
type Sheet struct {
	Lesson   string         // its id
	Course   string         // version
	Rows     []Row          // one a learner
	Findings []report.Tally // in the programs that count
	Ungraded []Ungraded
	Absent   []records.Person
	Programs int // that were looked at
	names    *Names
}

// Row is what a sheet says of one learner: of the best of their programs, which
// is the one that counts.
type Row struct {
	Learner, Crew  string
	Known          bool // on the roster
	Programs       int
	File           string // of the program that counts
	Graded, Passed bool
	Points, Needed float64
	Findings       int
	First          string         // the first finding's code, or what is wrong with the file
	Codes          []report.Found // each once, in the order in which they were found
}

// Ungraded is a program that could not be graded.
type Ungraded struct{ Learner, File, Reason string }

// NewSheet begins a sheet.
func NewSheet(lesson, course string, names *Names) *Sheet {
	return &Sheet{Lesson: lesson, Course: course, names: names}
}

// Add takes the next result. Those of one learner come one after the other. It
// reports whether this program is the best of its learner's so far.
func (s *Sheet) Add(r *marking.Result) (best bool) {
	s.Programs++
	if why := Trouble(r); why != "" {
		s.Ungraded = append(s.Ungraded, Ungraded{r.Job.Learner, r.Job.File, why})
	}
	if r.Job.Learner == "" {
		return false // a stray file
	}
	row := s.row(r)
	last := len(s.Rows) - 1
	if last < 0 || s.Rows[last].Learner != row.Learner {
		row.Programs = 1
		s.Rows = append(s.Rows, row)
		return true
	}
	row.Programs = s.Rows[last].Programs + 1
	if better(&row, &s.Rows[last]) {
		s.Rows[last] = row
		return true
	}
	s.Rows[last].Programs = row.Programs
	return false
}

// better tells whether a program that comes later counts instead of one before.
// Of equals the later one does: it was named to be the newer.
func better(a, b *Row) bool {
	rank := func(r *Row) int {
		switch {
		case r.Passed:
			return 2
		case r.Graded:
			return 1
		}
		return 0
	}
	return cmp.Or(rank(a)-rank(b), cmp.Compare(a.Points, b.Points)) >= 0
}

// Trouble says in one line why a program could not be graded, "" for one that
// was. What is wrong in the file begins with its line and column.
func Trouble(r *marking.Result) string {
	switch {
	case r.Trouble != "":
		return r.Trouble
	case r.Mark != nil:
		return ""
	case len(r.Errors) == 0:
		return "it could not be graded"
	}
	d := r.Errors[0]
	text := d.Text
	if d.Pos.Line > 0 {
		text = fmt.Sprintf("%d:%d: %s", d.Pos.Line, d.Pos.Column, text)
	}
	if more := len(r.Errors) - 1; more > 0 {
		text += ", and " + diag.Count(more, "more error", "more errors")
	}
	return text
}

func (s *Sheet) row(r *marking.Result) Row {
	row := Row{Learner: r.Job.Learner, File: r.Job.File, First: Trouble(r)}
	p, known := s.names.Person(row.Learner)
	row.Crew, row.Known = p.Crew, known
	if r.Mark == nil {
		return row
	}
	row.Graded, row.Passed, row.Points, row.Needed = true, r.Mark.Passed, r.Mark.Points, r.Mark.Pass
	row.Findings = len(r.Mark.Findings)
	for i := range r.Mark.Findings {
		row.Codes = report.AddFound(row.Codes, r.Mark.Findings[i].Code)
	}
	if row.Findings > 0 {
		row.First = r.Mark.Findings[0].Code
	}
	return row
}

// Close ends the sheet: all results are in it.
func (s *Sheet) Close() {
	class := make([][]report.Found, len(s.Rows))
	for i := range s.Rows {
		class[i] = s.Rows[i].Codes
	}
	s.Findings = report.Tallies(class)
	s.Absent = s.names.Absent()
}

// Passed is how many learners have passed.
func (s *Sheet) Passed() int {
	n := 0
	for i := range s.Rows {
		if s.Rows[i].Passed {
			n++
		}
	}
	return n
}
