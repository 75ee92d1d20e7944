package page

import (
	"io"
	"iter"

	"posework/engine/diag"
	"posework/grader"
	"posework/grader/report"
)

// Lesson is what a report says of the lesson that the programs were for.
type Lesson struct {
	ID, Title string
	Goal      string
}

// Attempt is one learner's program with what became of it.
type Attempt struct {
	// Number is the attempt's place in the class, from 1: its row is
	// Class.Rows[Number-1]. Parts of one document must have different numbers.
	Number int

	Learner string // a name; "" where there is none
	File    string // the program file, as it was found
	Lesson  Lesson
	Own     []report.Own // what is the learner's own in the cell

	Exam   *grader.Exam // nil: the program could not be planned, Errors say why
	Mark   *grader.Mark // of Exam
	Errors diag.List
}

// Row is what the class's own pages say of one learner: what is left of an
// attempt when its part has been written.
type Row struct {
	Learner, File  string
	Graded, Passed bool
	Points, Pass   float64        // of 100
	Findings       []report.Found // each code once
}

// Class is a document about all learners of a class.
type Class struct {
	Title  string // "Tuesday, early shift"
	Lesson Lesson
	Rows   []Row
	Absent []string // learners who handed nothing in
}

// Section writes one learner's part as a fragment of HTML, independent of all
// others.
func Section(w io.Writer, a *Attempt) error {
	return templates.ExecuteTemplate(w, "section", newSection(a))
}

// Write writes the whole document: what the class did, then the parts, which are
// read one after the other. An error of the sequence ends the writing.
func (c *Class) Write(w io.Writer, sections iter.Seq2[io.Reader, error]) error {
	v := newClass(c)
	if err := templates.ExecuteTemplate(w, "head", v.head); err != nil {
		return err
	}
	if err := templates.ExecuteTemplate(w, "class", v); err != nil {
		return err
	}
	for r, err := range sections {
		if err != nil {
			return err
		}
		if _, err := io.Copy(w, r); err != nil {
			return err
		}
	}
	return templates.ExecuteTemplate(w, "foot", v.head)
}

// Single writes a document about one learner's attempt.
func Single(w io.Writer, a *Attempt) error {
	h := newHead(a.Lesson.Title + ": " + nameOf(a.Learner, a.File))
	if err := templates.ExecuteTemplate(w, "head", h); err != nil {
		return err
	}
	if err := templates.ExecuteTemplate(w, "single", newSection(a)); err != nil {
		return err
	}
	return templates.ExecuteTemplate(w, "foot", h)
}
