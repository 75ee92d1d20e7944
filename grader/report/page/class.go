package page

import (
	"fmt"
	"html/template"
	"slices"

	"posework/grader/report"
)

// mostNames is how many learners are named beside a finding of the class.
const mostNames = 40

// overview is the class's own part of a document.
type overview struct {
	head
	Title     string
	Lesson    Lesson
	Learners  int
	Passed    int
	NotPassed int
	Ungraded  int
	Median    string // points; "" when nobody was graded
	Pass      string
	Histogram template.HTML
	Bins      []bin
	Findings  []tally
	Rows      []overviewRow
	Absent    []string
}

// overviewRow is one learner in the list of the class.
type overviewRow struct {
	Number         int
	ID, Name, File string
	Graded, Passed bool
	Verdict        string
	Points         string
	Codes          []report.Found
}

// tally is one finding's frequency in the class.
type tally struct {
	Code, Title, Severity string
	Learners              int // who were found to make it
	Times                 int
	Of                    int    // learners
	Share                 string // of them
	Meaning, Why, Try     string
	Names                 []overviewName
	More                  int // learners not named
	Bar                   template.HTML
}

type overviewName struct{ ID, Name string }

// bin is a range of points with how many learners have them.
type bin struct {
	From, To          int
	Passed, NotPassed int
}

func newClass(c *Class) *overview {
	v := &overview{
		head: newHead(c.Title), Title: visible(c.Title), Learners: len(c.Rows),
		Lesson: Lesson{visible(c.Lesson.ID), visible(c.Lesson.Title), visible(c.Lesson.Goal)},
	}
	v.rows(c)
	v.marks(c)
	v.tallies(c)
	for _, name := range c.Absent {
		v.Absent = append(v.Absent, visible(name))
	}
	return v
}

func (v *overview) rows(c *Class) {
	for i := range c.Rows {
		r := &c.Rows[i]
		row := overviewRow{
			Number: i + 1, ID: fmt.Sprintf("l%d", i+1), Name: visible(nameOf(r.Learner, r.File)), File: visible(r.File),
			Graded: r.Graded, Passed: r.Passed, Codes: r.Findings, Verdict: "could not be graded",
		}
		switch {
		case !r.Graded:
			v.Ungraded++
		case r.Passed:
			v.Passed++
			row.Verdict = "passed"
		default:
			v.NotPassed++
			row.Verdict = "not passed"
		}
		if r.Graded {
			row.Points = report.Points(r.Points)
		}
		v.Rows = append(v.Rows, row)
	}
}

// marks fills the histogram: ten bins of ten points, 100 in the last.
func (v *overview) marks(c *Class) {
	v.Bins = make([]bin, 10)
	for i := range v.Bins {
		v.Bins[i].From, v.Bins[i].To = 10*i, 10*i+10
	}
	var points []float64
	for i := range c.Rows {
		r := &c.Rows[i]
		if !r.Graded {
			continue
		}
		points = append(points, r.Points)
		v.Pass = report.Points(r.Pass)
		b := &v.Bins[max(0, min(9, int(r.Points/10)))]
		if r.Passed {
			b.Passed++
		} else {
			b.NotPassed++
		}
	}
	if n := len(points); n > 0 {
		slices.Sort(points)
		v.Median = report.Points((points[(n-1)/2] + points[n/2]) / 2)
	}
	v.Histogram = histogram(v.Bins, v.Pass)
}

// tallies lists the findings of the class with who made them.
func (v *overview) tallies(c *Class) {
	class := make([][]report.Found, len(c.Rows))
	for i := range c.Rows {
		class[i] = c.Rows[i].Findings
	}
	for _, found := range report.Tallies(class) {
		n, doc := len(found.Learners), &found.Doc
		t := tally{
			Code: found.Code, Title: doc.Title, Severity: report.Severity(doc.Severity), Meaning: doc.Meaning, Why: doc.Why, Try: doc.Try,
			Learners: n, Times: found.Times, Of: len(c.Rows), More: max(0, n-mostNames),
			Share: report.Number(100*float64(n)/float64(len(c.Rows)), "%") + " %", Bar: shareBar(n, len(c.Rows)),
		}
		for _, i := range found.Learners[:n-t.More] {
			t.Names = append(t.Names, overviewName{v.Rows[i].ID, shorter(v.Rows[i].Name, 40)})
		}
		v.Findings = append(v.Findings, t)
	}
}
