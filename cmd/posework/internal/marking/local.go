package marking

import (
	"context"
	"fmt"
	"path"

	"posework/grader"
	"posework/grader/records"
	"posework/lessons"
)

// Local grades in the calling goroutine.
type Local struct {
	Course  *lessons.Course
	Version string         // of the course
	Store   *records.Store // keeps attempts; needed for jobs with Keep
	Work    int            // bound on the sweep's work; 0: its default
}

var _ Grader = (*Local)(nil)

// Grade grades a job and records it where that is asked for.
func (l *Local) Grade(ctx context.Context, j Job) (Result, error) {
	if err := ctx.Err(); err != nil {
		return Result{Job: j}, err
	}
	r := l.Examine(j)
	if !j.Keep || r.Trouble != "" {
		return r, nil
	}
	if l.Store == nil {
		return r, fmt.Errorf("keep the attempt of %s: %w", j.Learner, records.ErrClosed)
	}
	a, err := r.Record()
	if err == nil {
		r.Attempt, err = l.Store.AddAttempt(ctx, a)
	}
	if err != nil {
		return r, fmt.Errorf("keep the attempt of %s: %w", j.Learner, err)
	}
	return r, nil
}

// Examine grades a job and records nothing.
func (l *Local) Examine(j Job) Result {
	r, _ := l.Exam(j)
	return r
}

// Exam grades a job, records nothing, and also returns the motion that was
// judged, nil where there is none.
func (l *Local) Exam(j Job) (r Result, x *grader.Exam) {
	if j.Course == "" {
		j.Course = l.Version
	}
	r.Job = j
	lesson := l.Course.Find(j.Lesson)
	switch {
	case j.Unread != "":
		r.Trouble = j.Unread
	case j.Course != l.Version:
		r.Trouble = OtherCourse(j.Course, l.Version)
	case lesson == nil:
		r.Trouble = fmt.Sprintf("this course has no lesson %q", j.Lesson)
	case lesson.Task == nil:
		r.Trouble = fmt.Sprintf("lesson %s has no program to grade", j.Lesson)
	default:
		return l.examine(r, lesson)
	}
	return r, nil
}

func (l *Local) examine(begun Result, lesson *lessons.Lesson) (r Result, x *grader.Exam) {
	r = begun
	// A fault of the grader's own costs one result, not all.
	defer func() {
		if fault := recover(); fault != nil {
			r.Mark, r.Errors, x = nil, nil, nil
			r.Trouble = fmt.Sprintf("the grader failed on this program: %v; report it together with the program", fault)
		}
	}()
	if r.Job.Regrades != 0 {
		lesson = lesson.Variant(r.Job.Seed)
	} else {
		lesson = lesson.For(r.Job.Learner)
	}
	r.Seed, r.Own = lesson.Seed, Own(lesson)
	x, r.Errors = grader.Prepare(lesson.Cell, lesson.Task, path.Base(r.Job.File), r.Job.Text, grader.Options{Log: r.Job.Log, Work: l.Work})
	if len(r.Errors) > 0 {
		r.Errors.Sort()
		return r, nil
	}
	r.Mark = grader.Examine(x)
	return r, x
}

// OtherCourse says that a job is for another version of the course.
func OtherCourse(wanted, have string) string {
	return fmt.Sprintf("the program is to be graded with course %s, but course %s is here; start a worker with that course", wanted, have)
}
