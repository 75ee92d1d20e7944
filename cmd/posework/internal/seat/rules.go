package seat

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"posework/grader/records"
	"posework/lessons"
)

// Rules is what an instructor has ruled about one lesson, as it stands now. The
// zero value is a lesson like any other.
type Rules struct {
	Closed string       // why it is not open now; "": it is
	Exam   *Examination // nil: none
}

// Examination is one under way: the lesson without hints and questions, in a cell of
// the learner's own that was not practised in, one program handed in, until a
// time.
type Examination struct {
	ID    int64 // of the ruling that began it
	Since time.Time
	Until time.Time
}

// ErrHandedIn says that an examination's one program was handed in.
var ErrHandedIn = errors.New("you have handed in your one program of this examination")

func (s *Seat) rules(lesson *lessons.Lesson) Rules {
	if s.Rules == nil {
		return Rules{}
	}
	return s.Rules(lesson.ID)
}

// Enter returns a lesson as the learner may work in it now: in a cell of their
// own, and in an examination without hints and questions. The error says why it
// is not open.
func (s *Seat) Enter(lesson *lessons.Lesson) (*lessons.Lesson, error) {
	r := s.rules(lesson)
	switch {
	case r.Closed != "":
		return nil, errors.New(r.Closed)
	case r.Exam != nil:
		return s.examined(lesson, r.Exam), nil
	}
	return lesson.For(s.Person), nil
}

// examined is a lesson as it is in an examination.
func (s *Seat) examined(lesson *lessons.Lesson, exam *Examination) *lessons.Lesson {
	l := *lesson.Variant(lessons.Seed(lesson.ID, fmt.Sprintf("%s in examination %d", s.Person, exam.ID)))
	l.Hints, l.Quiz = nil, nil
	return &l
}

// admit says how a program may be handed in now: the lesson that it is graded
// by, and the name of the attempt in an examination, under which the records
// take one alone.
func (s *Seat) admit(ctx context.Context, lesson *lessons.Lesson) (*lessons.Lesson, string, error) {
	if lesson.Task == nil {
		return nil, "", ErrNoTask
	}
	r := s.rules(lesson)
	if r.Closed != "" {
		return nil, "", errors.New(r.Closed)
	}
	if r.Exam == nil {
		return lesson, "", nil
	}
	if !s.Now().Before(r.Exam.Until) {
		return nil, "", errors.New("the time of this examination is over")
	}
	if s.Store == nil {
		return nil, "", errors.New("an examination needs the records")
	}
	// The clocks of two machines may differ by a little; the name tells the
	// examination for sure.
	since := r.Exam.Since.Add(-time.Hour)
	prefix := fmt.Sprintf("exam %d %s ", r.Exam.ID, records.Fold(s.Person))
	before := 0
	attempts, err := s.Store.Attempts(ctx, records.AttemptFilter{Person: s.Person, Lesson: lesson.ID, Since: since}, records.Page{Limit: 1000})
	if err != nil && !errors.Is(err, records.ErrNotFound) {
		return nil, "", fmt.Errorf("read the records: %w", err)
	}
	withdrawn := map[int64]bool{}
	for i := range attempts {
		if attempts[i].Verdict == records.Withdrawn {
			withdrawn[attempts[i].Corrects] = true
		}
	}
	for i := range attempts {
		a := &attempts[i]
		if !strings.HasPrefix(a.Job, prefix) {
			continue
		}
		if before++; !withdrawn[a.ID] {
			return nil, "", ErrHandedIn
		}
	}
	return s.examined(lesson, r.Exam), fmt.Sprintf("%s%d", prefix, before+1), nil
}
