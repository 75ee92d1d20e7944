package main

import (
	"fmt"

	"posework/cmd/posework/internal/seat"
	"posework/engine/diag"
	"posework/grader/report"
)

type gradeCmd struct {
	Program string `arg:"" help:"The program file; - reads the standard input." predictor:"program"`
	Lesson  string `required:"" short:"l" placeholder:"ID" help:"The lesson that the program is for; posework lesson list shows them." predictor:"lesson"`
	JSON    bool   `name:"json" help:"Write the mark as JSON for other programs."`
	Keep    bool   `help:"Keep the attempt in the records, as handing in from the course does."`
}

// Help is shown by --help.
func (gradeCmd) Help() string {
	return `Runs the program through the model of the lesson's cell and writes what was
found: every check with its points, every finding with its step, the measured
value, the limit, the place, why it matters and one thing to try.

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
	file, text, err := c.read(s)
	if err != nil {
		if c.JSON {
			l := diag.List{{Pos: diag.Pos{Filename: c.Program}, Text: err.Error()}}
			if err := report.JSON(s.out, report.New(lesson.ID, c.Program, nil, l)); err != nil {
				return err
			}
		}
		return err
	}
	o := seat.Grade(lesson, file, text)
	if c.Keep {
		if err := c.keep(s, course, o); err != nil {
			return err
		}
	}
	if err := c.write(s, o); err != nil {
		return err
	}
	switch {
	case o.Mark == nil:
		return status(statusFailed)
	case !o.Mark.Passed:
		return status(statusNotPassed)
	}
	return nil
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

func (c *gradeCmd) write(s *session, o *seat.Outcome) error {
	switch {
	case c.JSON:
		return report.JSON(s.out, report.New(o.Lesson.ID, o.File, o.Mark, o.Errors))
	case o.Mark == nil:
		return report.Diagnostics(s.err, o.Errors)
	}
	return report.Text(s.out, o.Lesson.ID, o.File, o.Mark)
}
