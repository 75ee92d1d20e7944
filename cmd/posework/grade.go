package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"posework/cmd/posework/internal/seat"
	"posework/engine/diag"
	"posework/engine/practice"
	"posework/grader"
	"posework/grader/report"
	"posework/grader/report/page"
	"posework/lessons"
)

type gradeCmd struct {
	Program string `arg:"" help:"The program file; - reads the standard input." predictor:"program"`
	Lesson  string `required:"" short:"l" placeholder:"ID" help:"The lesson that the program is for; posework lesson list shows them." predictor:"lesson"`
	Log     string `placeholder:"FILE" help:"The practice log of the program; without it the log that the bench left beside the program." predictor:"program"`
	JSON    bool   `name:"json" help:"Write the mark as JSON for other programs."`
	HTML    string `name:"html" placeholder:"FILE" help:"Also write a page with pictures, graphs and a replay to this file." predictor:"file"`

	AsWritten bool   `xor:"cell" help:"Grade in the cell as the lesson describes it, not in the learner's own."`
	Seed      uint64 `xor:"cell" placeholder:"NUMBER" help:"Grade in the cell with this seed, as records export tells it of an attempt."`

	Keep bool `help:"Keep the attempt in the records, as handing in from the course does."`
}

// Help is shown by --help.
func (gradeCmd) Help() string {
	return `Runs the program through the model of the lesson's cell and writes what was
found: every check with its points, every finding with its step, the measured
value, the limit, the place, why it matters and one thing to try.

Where a lesson gives each learner a cell of their own, the program is graded in
the cell of the learner in --name; --as-written takes the lesson's numbers
instead.

With --html the same is written as a web page that needs nothing else and can be
printed: the cell from above and from the side, graphs with their limits, a replay.

A task that asks for a proved program is graded with its practice log. The bench
leaves it beside the program: pick.log.yaml beside pick.yaml. A log counts only
for the very text that it was made with.

Nothing is kept unless --keep says so. Errors about the file go to the error
output; with --json they are part of the document.

Example:

  posework grade pick.yaml --lesson approach-the-crate

Exit status: 0 passed, 1 graded and not passed, 2 could not be graded.`
}

// Run grades.
func (c *gradeCmd) Run(s *session) error {
	course, err := s.course()
	if err != nil {
		return err
	}
	lesson, err := course.lesson(c.Lesson)
	if err != nil {
		return err
	}
	if lesson.Task == nil {
		return fmt.Errorf("lesson %s has no program to grade: read it and answer its questions", lesson.ID)
	}
	if lesson, err = c.own(s, lesson); err != nil {
		return err
	}
	file, text, err := c.read(s)
	if err != nil {
		if c.JSON {
			l := diag.List{{Pos: diag.Pos{Filename: c.Program}, Text: err.Error()}}
			if err := report.JSON(s.out, report.New(report.Subject{Lesson: lesson.ID, Program: c.Program}, nil, l)); err != nil {
				return err
			}
		}
		return err
	}
	log, wrong, err := c.log(lesson, file)
	if err != nil {
		return err
	}
	var exam *grader.Exam
	o := &seat.Outcome{Lesson: lesson, File: file, Text: text, Errors: wrong}
	if len(wrong) == 0 {
		if o, exam, err = seat.Grade(lesson, file, text, log); err != nil {
			return err
		}
	}
	if c.Keep {
		if err := c.keep(s, course, o); err != nil {
			return err
		}
	}
	if c.HTML != "" {
		if err := c.page(s, o, exam); err != nil {
			return err
		}
	}
	if c.HTML != "-" { // the page has taken the output
		if err := c.write(s, o); err != nil {
			return err
		}
	}
	switch {
	case o.Mark == nil:
		return status(statusFailed)
	case !o.Mark.Passed:
		return status(statusNotPassed)
	}
	return nil
}

// own returns the lesson with the cell that the program is graded in.
func (c *gradeCmd) own(s *session, lesson *lessons.Lesson) (*lessons.Lesson, error) {
	switch {
	case (c.AsWritten || c.Seed != 0) && c.Keep:
		return nil, errors.New("an attempt that is kept is graded in the learner's own cell; leave out --keep")
	case c.AsWritten || len(lesson.Task.Vary) == 0:
		return lesson, nil
	case c.Seed != 0:
		return lesson.Variant(c.Seed), nil
	}
	person, err := s.person()
	if err != nil {
		return nil, err
	}
	return lesson.For(person), nil
}

// log returns the practice log that was named, or the one beside the program.
func (c *gradeCmd) log(lesson *lessons.Lesson, file string) (*practice.Log, diag.List, error) {
	switch {
	case c.Log != "":
		return seat.ReadLog(c.Log)
	case c.Program == "-":
		return nil, nil, nil
	}
	log, wrong := seat.LogBeside(lesson, file)
	return log, wrong, nil
}

func (c *gradeCmd) read(s *session) (file string, text []byte, err error) {
	if c.Program == "-" {
		text, err = seat.Limited(s.in)
		return "stdin", text, err
	}
	text, err = seat.Read(c.Program)
	return c.Program, text, err
}

func (c *gradeCmd) keep(s *session, course *course, o *seat.Outcome) error {
	st, trouble, err := s.seatIn(course)
	if err != nil {
		return err
	}
	if st.Store == nil {
		return fmt.Errorf("%s", trouble)
	}
	defer st.Store.Close()
	return st.Keep(s.ctx, o)
}

// page writes the page about the attempt.
func (c *gradeCmd) page(s *session, o *seat.Outcome, exam *grader.Exam) error {
	a := page.Attempt{
		Number: 1, Learner: s.options.Name, File: filepath.Base(o.File),
		Lesson: page.Lesson{ID: o.Lesson.ID, Title: o.Lesson.Title, Goal: o.Lesson.Task.Goal},
		Own:    o.Subject().Own, Exam: exam, Mark: o.Mark, Errors: o.Errors,
	}
	return save(c.HTML, s.out, func(w io.Writer) error { return page.Single(w, &a) })
}

func (c *gradeCmd) write(s *session, o *seat.Outcome) error {
	switch {
	case c.JSON:
		return report.JSON(s.out, report.New(o.Subject(), o.Mark, o.Errors))
	case o.Mark == nil:
		return report.Diagnostics(s.err, o.Errors)
	}
	return report.Text(s.out, o.Subject(), o.Mark)
}
