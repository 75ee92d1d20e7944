// Package seat is a learner's place in the course: the course itself, who is
// learning, what is on record about them, and the two things that a learner
// hands in, programs and answers.
//
// It draws nothing; the screens of package tui and the prompts of package plain
// do, and both can do the same through it. It reads program files and writes
// records, nothing else. A Seat is not safe for concurrent use by several
// learners; each has one of their own.
package seat

import (
	"cmp"
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"posework/cmd/posework/internal/marking"
	"posework/engine/diag"
	"posework/engine/practice"
	"posework/engine/source"
	"posework/grader"
	"posework/grader/quiz"
	"posework/grader/records"
	"posework/grader/report"
	"posework/lessons"
)

// Seat is one learner's place. Course and Person are needed.
type Seat struct {
	Course  *lessons.Course // as written: a lesson gets the learner's own cell when it is entered
	Version string          // of the course; kept with every mark
	Person  string          // the learner's name in the records
	Store   *records.Store  // nil: nothing is kept
	Now     func() time.Time
	Seed    uint64 // shuffles options and draws numbers; another one, another order

	// What follows is for learners who share a machine; see package host.

	Folder  string                    // where their programs lie, under names of our own; "": wherever they say
	Rules   func(lesson string) Rules // what an instructor has ruled; nil: nothing
	Graders chan struct{}             // as many are graded at a time as it has room for; nil: no limit
	Grader  marking.Grader            // grades and keeps what is handed in; nil: this process does
}

// Outcome is what became of a program that was handed in: a mark, or what is
// wrong with its file.
type Outcome struct {
	Lesson *lessons.Lesson
	File   string // as the learner named it
	Text   []byte
	Log    *practice.Log // nil: none was handed in
	Mark   *grader.Mark  // nil: Errors say why
	Errors diag.List
}

// Subject says what an outcome's report is about.
func (o *Outcome) Subject() report.Subject {
	return report.Subject{Lesson: o.Lesson.ID, Program: o.File, Seed: o.Lesson.Seed, Own: marking.Own(o.Lesson)}
}

// Read returns a program file, or what a learner needs to know about why not.
// It never reads more than what can be a program.
func Read(file string) ([]byte, error) { return ReadUpTo(file, source.MaxBytes) }

// ReadUpTo returns a file, and of one with more than most bytes the first most+1,
// by which a reader sees that it is too large.
func ReadUpTo(file string, most int64) ([]byte, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, fmt.Errorf("open %s: %w", file, diag.Reason(err))
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, fmt.Errorf("%s is a folder; name the program file in it", file)
	}
	data, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", file, diag.Reason(err))
	}
	return data, nil
}

// ReadOrNew reads a program file that is to be worked on. The text is nil, without
// an error, where there is no such file yet but a folder to put it in.
func ReadOrNew(file string) ([]byte, error) {
	text, err := Read(file)
	if errors.Is(err, fs.ErrNotExist) {
		if _, e := os.Stat(filepath.Dir(file)); e == nil {
			return nil, nil
		}
	}
	if text == nil && err == nil {
		text = []byte{}
	}
	return text, err
}

// Limited reads a program that comes from elsewhere than a file, at most one byte
// more than the greatest size.
func Limited(r io.Reader) ([]byte, error) {
	return io.ReadAll(io.LimitReader(r, source.MaxBytes+1))
}

// Grade grades a program in the cell of a lesson, with the log of its practice
// where there is one, and also returns the motion that was judged, nil where there
// is none. The file is named in what is found by its last element. An error is a
// fault of the grader's own.
func Grade(lesson *lessons.Lesson, file string, text []byte, log *practice.Log) (*Outcome, *grader.Exam, error) {
	r, x := marking.Examine(marking.Job{File: filepath.Base(file), Text: text, Log: log}, lesson)
	if r.Trouble != "" {
		return nil, nil, errors.New(r.Trouble)
	}
	return &Outcome{Lesson: lesson, File: file, Text: text, Log: log, Mark: r.Mark, Errors: r.Errors}, x, nil
}

// ReadLog reads a practice log file. A list that is not empty says what is wrong
// with it.
func ReadLog(file string) (*practice.Log, diag.List, error) {
	text, err := Read(file)
	if err != nil {
		return nil, nil, err
	}
	log, l := practice.ReadLog(filepath.Base(file), text)
	return log, l, nil
}

// LogBeside returns the log that the bench has left beside a program, where the
// task of the lesson asks for one and it is there. A list that is not empty says
// what is wrong with it.
func LogBeside(lesson *lessons.Lesson, file string) (*practice.Log, diag.List) {
	if !lesson.Task.UsesLog() {
		return nil, nil
	}
	log, l, err := ReadLog(practice.LogFile(file))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		l = diag.List{{Pos: diag.Pos{Filename: practice.LogFile(filepath.Base(file))}, Text: err.Error()}}
	}
	return log, l
}

// ErrNoTask says that a lesson has nothing to hand in.
var ErrNoTask = errors.New("this lesson has no program to hand in: read it and answer its questions")

// HandIn reads and grades a program, with the practice log beside it, and keeps
// the attempt, also one that could not be graded. An error together with an
// outcome says that the attempt could not be kept.
func (s *Seat) HandIn(ctx context.Context, lesson *lessons.Lesson, file string) (*Outcome, error) {
	lesson, name, err := s.admit(ctx, lesson)
	if err != nil {
		return nil, err
	}
	text, err := Read(file)
	if err != nil {
		return nil, err
	}
	log, wrong := LogBeside(lesson, file)
	if len(wrong) > 0 {
		o := &Outcome{Lesson: lesson, File: file, Text: text, Errors: wrong}
		return o, s.keep(ctx, o, name)
	}
	return s.handIn(ctx, lesson, name, file, text, log)
}

// handIn grades a program that may be handed in, and keeps the attempt.
func (s *Seat) handIn(ctx context.Context, lesson *lessons.Lesson, name, file string, text []byte, log *practice.Log) (*Outcome, error) {
	if s.Grader != nil {
		return s.handOver(ctx, lesson, name, file, text, log)
	}
	if s.Graders != nil {
		select {
		case s.Graders <- struct{}{}:
			defer func() { <-s.Graders }()
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
	o, _, err := Grade(lesson, file, text, log)
	if err != nil {
		return nil, err
	}
	return o, s.keep(ctx, o, name)
}

// handOver has a program graded elsewhere, where the attempt is kept too.
func (s *Seat) handOver(ctx context.Context, lesson *lessons.Lesson, name, file string, text []byte, log *practice.Log) (*Outcome, error) {
	r, err := s.Grader.Grade(ctx, marking.Job{
		// Each hand-in is one of its own, but for those of an examination.
		Key: cmp.Or(name, marking.Key("hand-in", rand.Text())), Learner: s.Person, Lesson: lesson.ID, File: filepath.Base(file),
		Text: text, Log: log, Course: s.Version, At: s.Now(), Keep: true, Seeded: true, Seed: lesson.Seed,
	})
	if err != nil {
		return nil, fmt.Errorf("hand in: %w", err)
	}
	o := &Outcome{Lesson: lesson, File: file, Text: text, Log: log, Mark: r.Mark, Errors: r.Errors}
	if r.Trouble != "" {
		return nil, errors.New(r.Trouble)
	}
	return o, nil
}

// Keep records an attempt.
func (s *Seat) Keep(ctx context.Context, o *Outcome) error { return s.keep(ctx, o, "") }

func (s *Seat) keep(ctx context.Context, o *Outcome, name string) error {
	if s.Store == nil {
		return nil
	}
	r := marking.Result{
		Job: marking.Job{
			Key: name, Learner: s.Person, Lesson: o.Lesson.ID, File: filepath.Base(o.File), Text: o.Text, Log: o.Log, Course: s.Version, At: s.Now(),
		},
		Seed: o.Lesson.Seed, Mark: o.Mark, Errors: o.Errors,
	}
	a, err := r.Record()
	if err != nil {
		return err
	}
	if _, err := s.Store.AddAttempt(ctx, a); err != nil {
		return fmt.Errorf("keep the attempt: %w", err)
	}
	return nil
}

// Round draws a round of questions of a lesson. round tells rounds of one
// sitting apart.
func (s *Seat) Round(ctx context.Context, lesson *lessons.Lesson, questions []*quiz.Question, round int) (*quiz.Round, diag.List) {
	if r := s.rules(lesson); r.Closed != "" || r.Exam != nil {
		var l diag.List
		l.Add(lesson.Pos, "", "", "the questions of this lesson are not open now")
		return nil, l
	}
	var spot quiz.Spotter
	if lesson.Task != nil {
		spot = lesson.Spotter()
	}
	return quiz.NewRound(ctx, questions, s.Seed+uint64(round), spot)
}

// Questions returns the questions of a lesson.
func Questions(lesson *lessons.Lesson) []*quiz.Question {
	qs := make([]*quiz.Question, len(lesson.Quiz))
	for i := range lesson.Quiz {
		qs[i] = &lesson.Quiz[i]
	}
	return qs
}

// Answered keeps an answer. took is how long the question was before the
// person.
func (s *Seat) Answered(ctx context.Context, lesson *lessons.Lesson, q *quiz.Question, v quiz.Verdict, took time.Duration) error {
	if s.Store == nil {
		return nil
	}
	_, err := s.Store.AddAnswer(ctx, records.Answer{
		Person: s.Person, Deck: lesson.ID, Question: q.ID, Given: v.Given, Right: v.Right,
		Duration: max(0, took), Course: s.Version, At: s.Now(),
	})
	if err != nil {
		return fmt.Errorf("keep the answer: %w", err)
	}
	return nil
}

// HandInFrom grades a program as it stands on the bench, with the log of its
// practice, and keeps the attempt. file is where it is saved.
func (s *Seat) HandInFrom(ctx context.Context, lesson *lessons.Lesson, file string, text []byte, log *practice.Log) (*Outcome, error) {
	lesson, name, err := s.admit(ctx, lesson)
	if err != nil {
		return nil, err
	}
	return s.handIn(ctx, lesson, name, file, text, log)
}

// KeepPractice records what was done at the bench of a lesson in one sitting, if
// anything was.
func (s *Seat) KeepPractice(ctx context.Context, lesson *lessons.Lesson, log practice.Log) error {
	if s.Store == nil || len(log.Entries) == 0 {
		return nil
	}
	data, err := json.Marshal(log)
	if err != nil {
		return fmt.Errorf("keep the practice log: %w", err)
	}
	if _, err := s.Store.AddPractice(ctx, records.Practice{Person: s.Person, Lesson: lesson.ID, Seed: lesson.Seed, Kind: "session", Data: data, At: s.Now()}); err != nil {
		return fmt.Errorf("keep the practice log: %w", err)
	}
	return nil
}
