package marking

import (
	"context"
	"fmt"
	"path"

	"posework/engine/diag"
	"posework/grader"
	"posework/grader/records"
	"posework/lessons"
)

// Local grades in the calling goroutine.
type Local struct {
	Course  *lessons.Course
	Version string         // of the course
	Store   *records.Store // keeps attempts; needed for jobs with Keep
}

var _ Grader = (*Local)(nil)

// Grade grades a job and records it where that is asked for.
func (l *Local) Grade(ctx context.Context, j Job) (Result, error) {
	if err := ctx.Err(); err != nil {
		return Result{Job: j}, err
	}
	r := l.Examine(j)
	return r, l.Keep(ctx, &r)
}

// Keep records a result whose job asks for it.
func (l *Local) Keep(ctx context.Context, r *Result) error {
	if !r.Job.Keep || r.Trouble != "" {
		return nil
	}
	if l.Store == nil {
		return fmt.Errorf("keep the attempt of %s: %w", r.Job.Learner, records.ErrClosed)
	}
	a, err := r.Record()
	if err == nil {
		r.Attempt, err = l.Store.AddAttempt(ctx, a)
	}
	if err != nil {
		return fmt.Errorf("keep the attempt of %s: %w", r.Job.Learner, err)
	}
	return nil
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
		return Examine(j, cellOf(&j, lesson))
	}
	return r, nil
}

// Examine grades a job in the cell of a lesson, records nothing, and also returns
// the motion that was judged, nil where there is none.
func Examine(j Job, lesson *lessons.Lesson) (r Result, x *grader.Exam) {
	r = Result{Job: j, Seed: lesson.Seed, Own: Own(lesson)}
	// A fault of the grader's own costs one result, not all.
	defer func() {
		if fault := recover(); fault != nil {
			r.Mark, r.Errors, x = nil, nil, nil
			r.Trouble = fmt.Sprintf("the grader failed on this program: %v; report it together with the program", fault)
		}
	}()
	x, r.Errors = prepare(&j, lesson)
	if len(r.Errors) > 0 {
		r.Errors.Sort()
		return r, nil
	}
	r.Mark = grader.Examine(x)
	return r, x
}

// cellOf returns the lesson with the cell that a job is graded in.
func cellOf(j *Job, lesson *lessons.Lesson) *lessons.Lesson {
	if j.Seeded {
		return lesson.Variant(j.Seed)
	}
	return lesson.For(j.Learner)
}

func prepare(j *Job, lesson *lessons.Lesson) (*grader.Exam, diag.List) {
	return grader.Prepare(lesson.Cell, lesson.Task, path.Base(j.File), j.Text, grader.Options{Log: j.Log})
}

// Prepare returns the motion of a job that others have graded, for showing it;
// nil where there is none.
func (l *Local) Prepare(j Job) (x *grader.Exam) {
	lesson := l.Course.Find(j.Lesson)
	if j.Unread != "" || lesson == nil || lesson.Task == nil {
		return nil
	}
	defer func() {
		if recover() != nil { // whoever graded it has said so
			x = nil
		}
	}()
	x, _ = prepare(&j, cellOf(&j, lesson))
	return x
}

// OtherCourse says that a job is for another version of the course.
func OtherCourse(wanted, have string) string {
	return fmt.Sprintf("the program is to be graded with course %s, but course %s is here; start a worker with that course", wanted, have)
}
