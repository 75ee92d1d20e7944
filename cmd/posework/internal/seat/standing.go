package seat

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"posework/grader/quiz"
	"posework/grader/records"
	"posework/lessons"
)

// State is where a learner stands with a lesson.
type State uint8

// The states.
const (
	Open    State = iota // not begun, and nothing stands before it
	Waits                // another lesson comes first
	Started              // a program or an answer was handed in
	Passed               // its task and its questions are passed
)

// Standing is where a learner stands with one lesson.
type Standing struct {
	State State
	First []*lessons.Lesson // lessons to pass before this one

	Attempts   int
	Best       float64 // points
	TaskPassed bool

	Questions int // in the lesson
	Right     int // of them, answered rightly the last time
	Answered  int // of them, answered at all
}

// QuizPassed reports whether enough questions were answered rightly the last
// time that each was asked. A lesson without questions is passed.
func (s *Standing) QuizPassed() bool { return s.Right >= quiz.Needed(s.Questions) }

// Standings returns where the learner stands with every lesson, by id. Without
// records every lesson is open.
func (s *Seat) Standings(ctx context.Context) (map[string]Standing, error) {
	all := make(map[string]Standing, len(s.Course.Lessons))
	for _, l := range s.Course.Lessons {
		all[l.ID] = Standing{Questions: len(l.Quiz)}
	}
	if s.Store != nil {
		if err := s.addAttempts(ctx, all); err != nil {
			return nil, fmt.Errorf("read the records: %w", err)
		}
		if err := s.addAnswers(ctx, all); err != nil {
			return nil, fmt.Errorf("read the records: %w", err)
		}
	}
	for _, l := range s.Course.Lessons {
		st := all[l.ID]
		taskDone := l.Task == nil || st.TaskPassed
		switch {
		case taskDone && st.QuizPassed() && st.Attempts+st.Answered > 0:
			st.State = Passed
		case st.Attempts+st.Answered > 0:
			st.State = Started
		}
		all[l.ID] = st
	}
	// A lesson that was begun is never called waiting again.
	for _, l := range s.Course.Lessons {
		st := all[l.ID]
		for _, before := range s.Course.Lessons { // in the order of the course
			if slices.Contains(l.Needs, before.ID) && all[before.ID].State != Passed {
				st.First = append(st.First, before)
			}
		}
		if st.State == Open && len(st.First) > 0 {
			st.State = Waits
		}
		all[l.ID] = st
	}
	return all, nil
}

func (s *Seat) addAttempts(ctx context.Context, all map[string]Standing) error {
	progress, err := s.Store.Progress(ctx, s.Person)
	if err != nil {
		return err
	}
	for _, p := range progress {
		if st, ok := all[p.Lesson]; ok {
			st.Attempts, st.Best, st.TaskPassed = p.Attempts, p.Best, p.Passed
			all[p.Lesson] = st
		}
	}
	return nil
}

// addAnswers counts the newest answer to each question that a lesson still has.
func (s *Seat) addAnswers(ctx context.Context, all map[string]Standing) error {
	type key struct{ lesson, question string }
	open := map[key]bool{}
	for _, l := range s.Course.Lessons {
		for i := range l.Quiz {
			open[key{l.ID, l.Quiz[i].ID}] = true
		}
	}
	page := records.Page{Limit: 1000, Newest: true}
	for len(open) > 0 {
		answers, err := s.Store.Answers(ctx, s.Person, page)
		if errors.Is(err, records.ErrNotFound) {
			return nil // nothing was ever kept about this person
		}
		if err != nil {
			return err
		}
		for _, a := range answers {
			k := key{a.Deck, a.Question}
			if !open[k] {
				continue
			}
			delete(open, k)
			st := all[a.Deck]
			st.Answered++
			if a.Right {
				st.Right++
			}
			all[a.Deck] = st
		}
		if len(answers) < page.Limit {
			return nil
		}
		page.After = answers[len(answers)-1].ID
	}
	return nil
}
