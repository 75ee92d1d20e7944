package sheet

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"

	"github.com/xuri/excelize/v2"
)

// Class is the mark sheet of a class that was graded at once.
type Class struct {
	Lesson   string
	Marks    []Mark
	Findings []Frequency
	Ungraded []Ungraded
}

// Mark is a learner's row.
type Mark struct {
	Name, Crew     string
	Absent         bool
	Graded, Passed bool
	Points, Needed float64
	Findings       int
	First          string // the first finding, or why there is no mark
	Programs       int
	File           string // of the program that counts
}

// Frequency is how often a finding was made.
type Frequency struct {
	Code, Title, Severity string
	Learners, Times       int
}

// Ungraded is a file that could not be graded.
type Ungraded struct{ Name, File, Reason string }

// ClassCSV writes the mark sheet of a class as RFC 4180 has it: one row a
// learner, the absent included.
func ClassCSV(w io.Writer, c *Class) error {
	out := csv.NewWriter(w)
	if err := out.Write([]string{"name", "crew", "lesson", "state", "points", "needed", "passed", "findings", "first", "programs", "file"}); err != nil {
		return err
	}
	for i := range c.Marks {
		m := &c.Marks[i]
		row := []string{Plain(m.Name), Plain(m.Crew), Plain(c.Lesson), m.state(), "", "", yes(m.Passed), "", Plain(m.First), strconv.Itoa(m.Programs), Plain(m.File)}
		if m.Graded {
			row[4], row[5], row[7] = number(m.Points), number(m.Needed), strconv.Itoa(m.Findings)
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func (m *Mark) state() string {
	switch {
	case m.Absent:
		return "absent"
	case m.Graded:
		return "graded"
	}
	return "not graded"
}

// ClassXLSX writes a workbook with three sheets: Marks has one row a learner,
// Findings one row a finding with how many learners made it, Not graded one row a
// file that could not be graded.
func ClassXLSX(w io.Writer, c *Class) error {
	f := excelize.NewFile()
	defer f.Close()
	b := &book{f: f}
	b.styles()
	b.classMarks(c)
	b.sheet("Findings", "finding", "title", "severity", "learners", "times", "share")
	for i, t := range c.Findings {
		b.row("Findings", i+2, t.Code, t.Title, t.Severity, t.Learners, t.Times, fmt.Sprintf("%d of %d", t.Learners, c.handedIn()))
	}
	b.sheet("Not graded", "name", "file", "reason")
	for i, u := range c.Ungraded {
		b.row("Not graded", i+2, u.Name, u.File, u.Reason)
	}
	b.do(f.SetColWidth("Findings", "B", "B", 60))
	b.do(f.SetColWidth("Not graded", "B", "C", 60))
	if b.err != nil {
		return b.err
	}
	return f.Write(w)
}

func (c *Class) handedIn() int {
	n := 0
	for i := range c.Marks {
		if !c.Marks[i].Absent {
			n++
		}
	}
	return n
}

func (b *book) classMarks(c *Class) {
	const sheet, points = "Marks", 4 // column of the points
	b.sheet(sheet, "name", "crew", "state", "points", "needed", "passed", "findings", "first", "programs", "file")
	for i := range c.Marks {
		m := &c.Marks[i]
		if !m.Graded {
			b.row(sheet, i+2, m.Name, m.Crew, m.state(), nil, nil, yes(m.Passed), nil, m.First, m.Programs, m.File)
			continue
		}
		b.row(sheet, i+2, m.Name, m.Crew, m.state(), tenths(m.Points), m.Needed, yes(m.Passed), m.Findings, m.First, m.Programs, m.File)
		style := b.open
		if m.Passed {
			style = b.passed
		}
		cell := b.cell(points, i+2)
		b.do(b.f.SetCellStyle(sheet, cell, cell, style))
	}
	b.do(b.f.SetColWidth(sheet, "H", "H", 40))
	b.do(b.f.SetColWidth(sheet, "J", "J", 40))
}
