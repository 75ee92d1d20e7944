package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"posework/cmd/posework/internal/seat"
	"posework/engine/diag"
	"posework/grader/report"
	"posework/lessons"
)

type lessonCmd struct {
	List  lessonListCmd  `cmd:"" help:"List the lessons."`
	Show  lessonShowCmd  `cmd:"" help:"Print a lesson."`
	Check lessonCheckCmd `cmd:"" help:"Tell an author everything wrong with a lesson or a course."`
	New   lessonNewCmd   `cmd:"" help:"Make a new lesson that is complete, to be changed into your own."`
}

type lessonListCmd struct{}

// Help is shown by --help.
func (lessonListCmd) Help() string {
	return `Lists the lessons by module: id, minutes, title, and the lessons to pass before.

Example:

  posework lesson list

Exit status: 0, or 2 when the course can't be read.`
}

// Run lists.
func (c *lessonListCmd) Run(s *session) error {
	course, err := s.course()
	if err != nil {
		return err
	}
	width := 0
	for _, l := range course.Lessons {
		width = max(width, len(l.ID))
	}
	for i, m := range course.Modules {
		if i > 0 {
			fmt.Fprintln(s.out)
		}
		fmt.Fprintln(s.out, m.Title)
		for _, l := range m.Lessons {
			needs := ""
			if len(l.Needs) > 0 {
				needs = " (after " + strings.Join(l.Needs, ", ") + ")"
			}
			if _, err := fmt.Fprintf(s.out, "  %-*s %3d min  %s%s\n", width, l.ID, l.Minutes, l.Title, needs); err != nil {
				return err
			}
		}
	}
	return nil
}

type lessonShowCmd struct {
	ID string `arg:"" help:"The lesson." predictor:"lesson"`
}

// Help is shown by --help.
func (lessonShowCmd) Help() string {
	return `Prints a lesson as Markdown: cautions, objectives, text, task and sources. Its
questions are asked in the course.

Example:

  posework lesson show home-pose

Exit status: 0, or 2 when there is no such lesson.`
}

// Run prints.
func (c *lessonShowCmd) Run(s *session) error {
	course, err := s.course()
	if err != nil {
		return err
	}
	l, err := course.lesson(c.ID)
	if err != nil {
		return err
	}
	_, err = io.WriteString(s.out, seat.Page(l))
	return err
}

type lessonCheckCmd struct {
	Dir string `arg:"" optional:"" help:"A folder of lessons, or of one lesson; the built-in course without it." predictor:"folder"`
}

// Help is shown by --help.
func (lessonCheckCmd) Help() string {
	return `Tells everything wrong with a lesson or a course: words it can't read, good
answers that don't score 100, flawed answers without their findings, questions
that can't be asked, and more. Where each learner has a cell of their own, good
answers are graded in many of them, and it is told how even their difficulty is.

Example:

  posework lesson check lessons

Exit status: 0 nothing is wrong, 1 something is, 2 the folder can't be read.`
}

// Run checks.
func (c *lessonCheckCmd) Run(s *session) error {
	fsys, dir, root := lessons.Embedded(), ".", ""
	if c.Dir != "" {
		var err error
		if fsys, dir, root, err = courseFolder(c.Dir); err != nil {
			return err
		}
	}
	problems, spreads := lessons.Check(fsys, dir)
	if err := c.evenness(s, spreads); err != nil {
		return err
	}
	l := below(root, diag.List(problems))
	if len(l) == 0 {
		_, err := fmt.Fprintln(s.out, "nothing is wrong")
		return err
	}
	// What is wrong is this command's result, and an author wants all of it.
	for _, d := range l {
		report.Diagnostic(s.out, &d)
	}
	fmt.Fprintf(s.err, "posework: %s\n", diag.Count(len(l), "thing is", "things are")+" wrong")
	return status(statusNotPassed)
}

// evenness tells how much the difficulty of varied lessons differs from learner
// to learner.
func (c *lessonCheckCmd) evenness(s *session, spreads []lessons.Spread) error {
	if len(spreads) == 0 {
		return nil
	}
	width := 0
	for _, sp := range spreads {
		width = max(width, len(sp.Answer))
	}
	fmt.Fprintln(s.out, "Good answers in the cells of many learners: least, median and most of the time,")
	fmt.Fprintln(s.out, "of the least clearance, and of the room of the wrist on lines and arcs.")
	id := ""
	for _, sp := range spreads {
		if sp.Lesson.ID != id {
			id = sp.Lesson.ID
			fmt.Fprintf(s.out, "\n%s, %d cells\n", id, sp.Cells)
		}
		fmt.Fprintf(s.out, "  %-*s %s s  %s mm  %s deg\n", width, sp.Answer, three(sp.Time), three(sp.Clearance), three(sp.Wrist))
	}
	_, err := fmt.Fprintln(s.out)
	return err
}

// three writes a range in a column: "  9.1   9.4   9.8".
func three(r lessons.Range) string {
	if math.IsNaN(r.Median) {
		return fmt.Sprintf("%5s %5s %5s", "-", "-", "-")
	}
	return fmt.Sprintf("%5.1f %5.1f %5.1f", r.Least, r.Median, r.Most)
}
