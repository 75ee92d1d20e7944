package class

import (
	"posework/grader/records/sheet"
	"posework/grader/report"
)

// Export returns the sheet as spreadsheets get it, the absent at its end.
func (s *Sheet) Export() *sheet.Class {
	c := &sheet.Class{Lesson: s.Lesson}
	for i := range s.Rows {
		r := &s.Rows[i]
		c.Marks = append(c.Marks, sheet.Mark{
			Name: Shown(r.Learner), Crew: r.Crew, Graded: r.Graded, Passed: r.Passed, Points: r.Points, Needed: r.Needed,
			Findings: r.Findings, First: Shown(r.First), Programs: r.Programs, File: Shown(r.File),
		})
	}
	for _, p := range s.Absent {
		c.Marks = append(c.Marks, sheet.Mark{Name: p.Name, Crew: p.Crew, Absent: true})
	}
	for _, t := range s.Findings {
		c.Findings = append(c.Findings, sheet.Frequency{
			Code: t.Code, Title: t.Doc.Title, Severity: report.Severity(t.Doc.Severity), Learners: len(t.Learners), Times: t.Times,
		})
	}
	for _, u := range s.Ungraded {
		c.Ungraded = append(c.Ungraded, sheet.Ungraded{Name: Shown(u.Learner), File: Shown(u.File), Reason: Shown(u.Reason)})
	}
	return c
}
