package page

import (
	"cmp"
	"fmt"
	"slices"

	"posework/engine/diag"
	"posework/grader"
	"posework/grader/report"
)

// The most that is written of one learner. What is beyond is counted.
const (
	mostFindings = 40
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
	More     []Count // findings beyond those listed, by code
	Errors   []fault
	MoreErrs int
	Motion   *moving // nil: nothing moved
}

// check is one row of the mark.
type check struct {
	State, Title, Measured, Points, Of string
	Must                               bool
}

// finding is one finding with its facts in words.
type finding struct {
	ID, Letter         string // the letter marks it in the pictures; "" beyond the last
	Severity           string
	Code, Title        string
	Step, InFile, Text string
	When               string
	Measured, Limit    string
	Place, Subject     string
	Why, Try           string
	As, AsID           string // the letter and id of an earlier finding with the same reasons, instead of them
	At                 string // s: its moment in the replay; "" where it has none
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
			if hasMoment(&m.Findings[i]) {
				s.Findings[i].At = report.Number(st.graphs.Times[st.momentOf(a, i)], "s")
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

func (s *section) findings(all []grader.Finding) {
	for i := range all {
		f := &all[i]
		if i >= mostFindings {
			k := slices.IndexFunc(s.More, func(c Count) bool { return c.Code == f.Code })
			if k < 0 {
				k = len(s.More)
				s.More = append(s.More, Count{Code: f.Code})
			}
			s.More[k].N++
			continue
		}
		v := s.finding(i, f)
		for _, u := range s.Findings {
			if u.Code == v.Code && u.Why == v.Why && u.Try == v.Try && u.Letter != "" {
				v.As, v.AsID, v.Why, v.Try = u.Letter, u.ID, "", ""
				break
			}
		}
		s.Findings = append(s.Findings, v)
	}
}

func (s *section) finding(i int, f *grader.Finding) finding {
	doc, _ := grader.Lookup(f.Code)
	v := finding{
		ID: fmt.Sprintf("%s-f%d", s.ID, i+1), Letter: letter(i), Severity: report.Severity(f.Severity), Code: f.Code,
		Title: cmp.Or(doc.Title, f.Code), Step: visible(cmp.Or(f.Step, "the whole program")), Text: visible(f.Text),
		Subject: visible(f.Subject), Why: visible(f.Why), Try: visible(f.Try),
	}
	if f.Pos.IsValid() {
		v.InFile = visible(f.Pos.String())
	}
	if f.Step != "" || f.To > 0 {
		v.When = report.Span(f.From, f.To)
	}
	if f.Measured != (grader.Value{}) {
		v.Measured = report.Measured(f.Measured)
	}
	if f.Limit != (grader.Value{}) {
		v.Limit = report.Measured(f.Limit)
	}
	if f.HasPlace {
		v.Place = report.Place(f.Place)
	}
	return v
}

// hasMoment reports whether a finding is about a time of the motion.
func hasMoment(f *grader.Finding) bool { return f.To > 0 || f.Step != "" }

// letter marks a finding in the pictures: A to Z, then none.
func letter(i int) string {
	if i >= 26 {
		return ""
	}
	return string(rune('A' + i))
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
