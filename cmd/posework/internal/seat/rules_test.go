package seat

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"posework/grader/records"
	"posework/lessons"
)

// ruledSeat is a seat in the built-in course under rules that the test sets, with a
// program that passes and one that does not.
func ruledSeat(t *testing.T) (s *Seat, now *time.Time, rules *Rules, lesson *lessons.Lesson) {
	t.Helper()
	s, now = builtIn(t)
	rules = &Rules{}
	s.Rules, s.Folder = func(string) Rules { return *rules }, t.TempDir()
	return s, now, rules, s.Course.Find("home-pose")
}

func write(t *testing.T, s *Seat, lesson *lessons.Lesson) {
	t.Helper()
	text, err := os.ReadFile("../../../../lessons/11-home-pose/answers/good-joint-moves.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(s.File(lesson), text, 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestClosedLesson(t *testing.T) {
	s, _, rules, lesson := ruledSeat(t)
	write(t, s, lesson)
	l, err := s.Enter(lesson)
	if err != nil || l.Seed == 0 || len(l.Hints) == 0 {
		t.Fatalf("Enter = %+v, %v", l, err)
	}
	rules.Closed = "closed for now"
	if _, err := s.Enter(lesson); err == nil || err.Error() != rules.Closed {
		t.Errorf("Enter a closed lesson: %v", err)
	}
	// Who is in the lesson already can do nothing in it either.
	if o, err := s.HandIn(t.Context(), l, s.File(l)); o != nil || err == nil || err.Error() != rules.Closed {
		t.Errorf("HandIn in a closed lesson: %v, %v", o, err)
	}
	if o, err := s.HandInFrom(t.Context(), l, s.File(l), nil, nil); o != nil || err == nil {
		t.Errorf("HandInFrom in a closed lesson: %v, %v", o, err)
	}
	if _, wrong := s.Round(t.Context(), l, Questions(l), 1); len(wrong) == 0 {
		t.Error("the questions of a closed lesson are asked")
	}
	if list, err := s.Store.Attempts(t.Context(), records.AttemptFilter{}, records.Page{}); err != nil || len(list) != 0 {
		t.Errorf("attempts %v, %v", list, err)
	}
}

func TestExamination(t *testing.T) {
	s, now, rules, lesson := ruledSeat(t)
	usual, err := s.Enter(lesson)
	if err != nil {
		t.Fatal(err)
	}
	file := s.File(lesson)
	exam := &Examination{ID: 7, Since: *now, Until: now.Add(time.Hour)}
	rules.Exam = exam
	l, err := s.Enter(lesson)
	if err != nil || len(l.Hints) != 0 || len(l.Quiz) != 0 || l.Seed == usual.Seed || l.Seed == 0 {
		t.Fatalf("an examination is entered with %d hints, %d questions, cell %d; %v", len(l.Hints), len(l.Quiz), l.Seed, err)
	}
	if len(lesson.Hints) == 0 || len(lesson.Quiz) == 0 {
		t.Error("the course has lost its hints")
	}
	if s.File(lesson) == file || s.HasFile(lesson) {
		t.Error("the program that was practised is there")
	}
	if _, wrong := s.Round(t.Context(), usual, Questions(usual), 1); len(wrong) == 0 {
		t.Error("questions are asked in an examination")
	}
	write(t, s, lesson)

	// However the lesson was entered, it is graded in the examination's cell, and of
	// those that come at the same moment one counts.
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			o, err := s.HandIn(t.Context(), usual, s.File(lesson))
			if err != nil && !errors.Is(err, ErrHandedIn) {
				t.Errorf("HandIn: %v", err)
			}
			if o != nil && o.Lesson.Seed != l.Seed {
				t.Errorf("graded in cell %d, want %d", o.Lesson.Seed, l.Seed)
			}
		})
	}
	wg.Wait()
	if _, err := s.HandIn(t.Context(), l, s.File(lesson)); !errors.Is(err, ErrHandedIn) {
		t.Errorf("a second program: %v", err)
	}
	list, err := s.Store.Attempts(t.Context(), records.AttemptFilter{}, records.Page{})
	if err != nil || len(list) != 1 || list[0].Seed != l.Seed {
		t.Fatalf("attempts %v, %v", list, err)
	}
	// Withdrawn, it may be handed in once more.
	withdraw := func(id int64) {
		t.Helper()
		if _, err := s.Store.AddAttempt(t.Context(), records.Attempt{Person: s.Person, Lesson: lesson.ID, Verdict: records.Withdrawn, Corrects: id, At: *now}); err != nil {
			t.Fatal(err)
		}
	}
	withdraw(list[0].ID)
	if o, err := s.HandIn(t.Context(), l, s.File(lesson)); o == nil || err != nil {
		t.Errorf("after a reset: %v", err)
	}
	if _, err := s.HandIn(t.Context(), l, s.File(lesson)); !errors.Is(err, ErrHandedIn) {
		t.Errorf("twice after a reset: %v", err)
	}
	// Another examination is another one.
	rules.Exam = &Examination{ID: 8, Since: *now, Until: exam.Until}
	if l2, err := s.Enter(lesson); err != nil || l2.Seed == l.Seed {
		t.Errorf("another examination is in the same cell; %v", err)
	}
	write(t, s, lesson)
	if o, err := s.HandIn(t.Context(), l, s.File(lesson)); o == nil || err != nil {
		t.Errorf("another examination: %v", err)
	}
	// Its end is its end, to the moment.
	rules.Exam = &Examination{ID: 9, Since: *now, Until: exam.Until}
	write(t, s, lesson)
	*now = exam.Until
	if o, err := s.HandIn(t.Context(), l, s.File(lesson)); o != nil || err == nil || !strings.Contains(err.Error(), "the time of this examination is over") {
		t.Errorf("after the end: %v", err)
	}
	*now = exam.Until.Add(-time.Nanosecond)
	if o, err := s.HandIn(t.Context(), l, s.File(lesson)); o == nil || err != nil {
		t.Errorf("a moment before the end: %v", err)
	}
}

func TestFilesLieInTheFolder(t *testing.T) {
	s, _, _, _ := ruledSeat(t)
	for _, l := range s.Course.Lessons {
		if dir := filepath.Dir(s.File(l)); dir != s.Folder {
			t.Errorf("the program of %s lies in %s", l.ID, dir)
		}
	}
	s.Folder = ""
	if f := s.File(s.Course.Lessons[0]); f != "" {
		t.Errorf("a learner who may say where has the file %s", f)
	}
}
