// Package marking grades programs that are handed in: one at a time or a
// stream of them, in this process or, through package queue, in others.
//
// A [Job] is a program with who handed it in for which lesson; its [Result] is
// a mark, or why there is none. A [Grader] turns the one into the other;
// [Local] does so in the calling goroutine, [Stream] keeps any Grader busy with
// many jobs and hands the results out in the order of the jobs. The same job
// gives the same result, whatever grades it.
//
// Nothing that a program holds stops the others: what can't be read, can't be
// graded or makes the grader panic becomes a result that says so. The work on
// one program is bounded by the limits of engine/program (size, steps) and of
// engine/sweep.
package marking

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"posework/engine/diag"
	"posework/engine/practice"
	"posework/grader"
	"posework/grader/records"
	"posework/grader/report"
	"posework/lessons"
)

// Job is a program to be graded.
type Job struct {
	// Key tells a job that is kept from all others: graded twice, it is recorded
	// once. See [Key].
	Key     string
	Learner string
	Lesson  string        // its id
	File    string        // the program's name; findings give its last element
	Text    []byte        // the program
	Log     *practice.Log // practice log handed in with it; nil: none
	// Course is the version of the course to grade with; "" for the grader's
	// own. A grader that has another version refuses the job.
	Course string
	At     time.Time // when it was handed in
	Keep   bool      // record the attempt before the result is told
	// Seeded has the program graded in the cell that Seed gives, 0 for the one as
	// written, instead of the learner's own.
	Seeded bool
	Seed   uint64
	// Regrades and Corrects are set where a recorded attempt is graded again, as in
	// [records.Attempt].
	Regrades, Corrects int64
	// Unread says why there is no program text. The result repeats it.
	Unread string
}

// Result is what became of a job.
type Result struct {
	Job     Job
	Seed    uint64       // of the learner's own cell that it was graded in
	Own     []report.Own // what is the learner's own in it
	Mark    *grader.Mark // nil: Errors or Trouble say why
	Errors  diag.List    // what is wrong with the program file
	Trouble string       // why it could not be graded, whatever is in the file
	Attempt int64        // id of the recorded attempt; 0: none
}

// Grader grades jobs. It is safe for concurrent use.
type Grader interface {
	// Grade returns the result of a job. Where the job asks for it, the attempt
	// has been recorded then, once for its key. An error says that grading itself
	// can't go on: the context ended, the records or the queue are out of reach.
	Grade(ctx context.Context, j Job) (Result, error)
}

// Document is the result as other programs read it.
func (r *Result) Document() report.Document {
	l := r.Errors
	if r.Trouble != "" {
		l = append(diag.List{{Pos: diag.Pos{Filename: r.Job.File}, Text: r.Trouble}}, l...)
	}
	return report.New(report.Subject{Lesson: r.Job.Lesson, Program: r.Job.File, Seed: r.Seed, Own: r.Own}, r.Mark, l)
}

// Own is what is a learner's own in the cell of their lesson.
func Own(l *lessons.Lesson) []report.Own {
	var own []report.Own
	for _, o := range l.Own {
		own = append(own, report.Own(o))
	}
	return own
}

// Record is the attempt that a result is kept as, at the time of the hand-in. Of
// more findings than a record has room for, which a program of thousands of steps
// may have, it keeps the first.
func (r *Result) Record() (records.Attempt, error) {
	a := records.Attempt{
		Person: r.Job.Learner, Lesson: r.Job.Lesson, Program: r.Job.Text, Seed: r.Seed, Verdict: records.Ungraded,
		Course: r.Job.Course, Job: r.Job.Key, At: r.Job.At, Corrects: r.Job.Corrects, Regrades: r.Job.Regrades,
	}
	d := r.Document()
	var err error
	if r.Mark == nil {
		a.Findings, err = list(d.Errors)
	} else {
		a.Findings, err = list(d.Findings)
		a.Points, a.Verdict = d.Points, records.NotPassed
		if r.Mark.Passed {
			a.Verdict = records.Passed
		}
	}
	if err != nil {
		return a, fmt.Errorf("keep the attempt: %w", err)
	}
	if r.Job.Log != nil {
		if a.Log, err = json.Marshal(r.Job.Log); err != nil {
			return a, fmt.Errorf("keep the practice log: %w", err)
		}
	}
	return a, nil
}

// list writes items as a JSON array, as many of the first as a record holds.
func list[T any](items []T) (json.RawMessage, error) {
	out := json.RawMessage{'['}
	for i := range items {
		item, err := json.Marshal(items[i])
		if err != nil {
			return nil, err
		}
		if len(out)+len(item)+2 > records.MaxText {
			break
		}
		if i > 0 {
			out = append(out, ',')
		}
		out = append(out, item...)
	}
	return append(out, ']'), nil
}
