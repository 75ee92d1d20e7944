package page

import (
	"fmt"
	"slices"

	"posework/engine/diag"
	"posework/grader"
	"posework/grader/report"
)

// The most that is written of one learner. What is beyond is counted.
const (
	mostFindings = 40 // without repetitions
	mostAgain    = 12
	mostErrors   = 40
)

// section is one learner's part, every text ready to be shown.
type section struct {
	ID       string // of the part; the ids in it begin with it
	Name     string
	File     string
	Lesson   Lesson
	Own      string // what is the learner's own in the cell
	Graded   bool
	Passed   bool
	Verdict  string
	Points   string
	Pass     string
	Because  string
	Duration string
	Checks   []check
	Findings []finding
	More     []report.Found // findings beyond those listed, by code
	Errors   []fault
	MoreErrs int
	Motion   *moving // nil: nothing moved
}

// check is one row of the mark.
type check struct {
	State, Title, Measured, Points, Of string
	Must                               bool
}

// fault is one thing wrong with a file.
type fault struct{ Where, Text, Code, Fix string }

func newSection(a *Attempt) *section {
	s := &section{
		ID: fmt.Sprintf("l%d", a.Number), Name: visible(nameOf(a.Learner, a.File)), File: visible(a.File),
		Lesson:  Lesson{visible(a.Lesson.ID), visible(a.Lesson.Title), visible(a.Lesson.Goal)},
		Verdict: "could not be graded",
	}
	if len(a.Own) > 0 {
		s.Own = visible(report.Owns(a.Own))
	}
	s.faults(a.Errors)
	if a.Mark == nil {
		return s
	}
	m := a.Mark
	s.Graded, s.Passed, s.Verdict = true, m.Passed, report.Verdict(m)
	s.Points, s.Pass, s.Because = report.Points(m.Points), report.Points(m.Pass), report.Because(m)
	s.Duration = report.Number(m.Duration, "s")
	for i := range m.Checks {
		s.Checks = append(s.Checks, newCheck(&m.Checks[i]))
	}
	s.findings(m.Findings)
	if st := newStage(a); st != nil {
		s.Motion = newMoving(a, st, s.ID)
		for i := range s.Findings {
			if k := s.Findings[i].index; hasMoment(&m.Findings[k]) {
				if t := st.graphs.Times[st.momentOf(a, k)]; t <= st.until {
					s.Findings[i].At = report.Number(t, "s")
				}
			}
		}
	}
	return s
}

// nameOf is what a learner goes by.
func nameOf(learner, file string) string {
	switch {
	case learner != "":
		return learner
	case file != "":
		return file
	}
	return "nameless"
}

func newCheck(r *grader.Result) check {
	c := check{State: report.Holds(r), Title: visible(r.Title), Points: report.Points(r.Points), Of: report.Points(r.Of), Must: r.Must}
	if r.Measured != (grader.Value{}) {
		c.Measured = report.Measured(r.Measured)
		if r.Subject != "" && c.Measured != "" {
			c.Measured += " (" + visible(r.Subject) + ")"
		}
	}
	return c
}

func (s *section) faults(l diag.List) {
	l = slices.Clone(l)
	l.Sort()
	for i, d := range l {
		if i == mostErrors {
			s.MoreErrs = len(l) - i
			break
		}
		s.Errors = append(s.Errors, fault{visible(d.Pos.String()), visible(d.Text), visible(d.Code), visible(d.Fix)})
	}
}
