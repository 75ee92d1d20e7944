package seat

import (
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"posework/engine/diag"
	"posework/engine/practice"
	"posework/grader"
	"posework/grader/quiz"
	"posework/grader/records"
	"posework/lessons"
)

// question is one whose answers are marked elsewhere: standings count verdicts.
func question(id string) quiz.Question { return quiz.Question{ID: id, Kind: quiz.Number, Ask: id} }

func testSeat(t *testing.T) *Seat {
	t.Helper()
	store, err := records.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	read := &lessons.Lesson{ID: "read", Title: "Read", Quiz: []quiz.Question{question("a"), question("b"), question("c")}}
	drive := &lessons.Lesson{ID: "drive", Title: "Drive", Needs: []string{"read"}, Task: &grader.Task{}, Quiz: []quiz.Question{question("a")}}
	last := &lessons.Lesson{ID: "last", Title: "Last", Needs: []string{"drive", "read"}, Task: &grader.Task{}}
	at := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	return &Seat{
		Course: &lessons.Course{Lessons: []*lessons.Lesson{read, drive, last}}, Version: "v", Person: "Jo", Store: store,
		Now: func() time.Time { return at },
	}
}

func (s *Seat) standing(t *testing.T, id string) Standing {
	t.Helper()
	all, err := s.Standings(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return all[id]
}

func (s *Seat) answer(t *testing.T, id, question string, right bool) {
	t.Helper()
	lesson := s.Course.Find(id)
	if lesson == nil {
		lesson = &lessons.Lesson{ID: id} // of another course
	}
	err := s.Answered(t.Context(), lesson, &quiz.Question{ID: question}, quiz.Verdict{Right: right, Given: "1"}, time.Second)
	if err != nil {
		t.Fatal(err)
	}
}

func (s *Seat) attempt(t *testing.T, id string, points float64, passed bool) {
	t.Helper()
	err := s.Keep(t.Context(), &Outcome{Lesson: s.Course.Find(id), File: "a.yaml", Mark: &grader.Mark{Points: points, Passed: passed, Pass: 80}})
	if err != nil {
		t.Fatal(err)
	}
}

func TestStandings(t *testing.T) {
	s := testSeat(t)
	wait := s.standing(t, "last")
	if wait.State != Waits || s.State(s.Course.Find("last"), wait) != "after 1, 2" {
		t.Errorf("at first: %+v, %q", wait, s.State(s.Course.Find("last"), wait))
	}
	if st := s.standing(t, "read"); st.State != Open {
		t.Errorf("at first: %+v", st)
	}

	// The newest answer to each question counts: of three, three are needed.
	s.answer(t, "read", "a", true)
	s.answer(t, "read", "b", true)
	s.answer(t, "read", "c", false)
	if st := s.standing(t, "read"); st.State != Started || st.Right != 2 || st.Answered != 3 {
		t.Errorf("with a miss: %+v", st)
	}
	s.answer(t, "read", "c", true)
	if st := s.standing(t, "read"); st.State != Passed || st.Right != 3 {
		t.Errorf("with the miss made good: %+v", st)
	}
	if st := s.standing(t, "drive"); st.State != Open {
		t.Errorf("the lesson after it: %+v", st)
	}
	s.answer(t, "read", "a", false)
	if st := s.standing(t, "read"); st.State != Started {
		t.Errorf("with a newer miss: %+v", st)
	}
	s.answer(t, "read", "a", true)

	// A task and its questions make a pass together.
	s.attempt(t, "drive", 90, false)
	s.attempt(t, "drive", 85, true)
	if st := s.standing(t, "drive"); st.State != Started || st.Best != 90 || !st.TaskPassed || st.Attempts != 2 {
		t.Errorf("task alone: %+v", st)
	}
	s.answer(t, "drive", "a", true)
	if st := s.standing(t, "drive"); st.State != Passed {
		t.Errorf("task and questions: %+v", st)
	}
	if st := s.standing(t, "last"); st.State != Open {
		t.Errorf("after all needs: %+v", st)
	}
}

// Answers to questions that the course no longer has, and another person's, do
// not count.
func TestStandingsCountOwnAnswersOnly(t *testing.T) {
	s := testSeat(t)
	s.answer(t, "read", "gone", true)
	s.answer(t, "elsewhere", "a", true)
	s.Person = "Sam"
	s.answer(t, "read", "a", true)
	s.Person = "Jo"
	if st := s.standing(t, "read"); st.Answered != 0 || st.State != Open {
		t.Errorf("standing %+v, want none", st)
	}
}

// More answers than a page of the records holds.
func TestStandingsOverManyAnswers(t *testing.T) {
	s := testSeat(t)
	s.answer(t, "read", "b", true) // the oldest, on the last page
	var rows []records.Row
	for range 1100 {
		rows = append(rows, &records.Answer{Person: "Jo", Deck: "read", Question: "a", Given: "1", At: s.Now()})
	}
	if _, err := s.Store.Add(t.Context(), rows...); err != nil {
		t.Fatal(err)
	}
	if st := s.standing(t, "read"); st.Answered != 2 || st.Right != 1 {
		t.Errorf("standing %+v, want 2 answered, 1 right", st)
	}
}

func TestKeepUngraded(t *testing.T) {
	s := testSeat(t)
	o := &Outcome{Lesson: s.Course.Find("drive"), File: "a.yaml", Text: []byte("x"), Errors: diag.List{{Code: "F005", Text: "no"}}}
	if err := s.Keep(t.Context(), o); err != nil {
		t.Fatal(err)
	}
	if st := s.standing(t, "drive"); st.Attempts != 1 || st.TaskPassed || st.Best != 0 || st.State != Started {
		t.Errorf("standing %+v, want one attempt without points", st)
	}
	list, err := s.Store.Attempts(t.Context(), records.AttemptFilter{Person: "Jo"}, records.Page{})
	if err != nil || len(list) != 1 || list[0].Verdict != records.Ungraded || string(list[0].Program) != "x" || list[0].Course != "v" {
		t.Errorf("kept %+v, %v", list, err)
	}
}

// Without records the course works and nothing is kept.
func TestWithoutRecords(t *testing.T) {
	s := testSeat(t)
	s.Store = nil
	s.answer(t, "read", "a", true)
	s.attempt(t, "drive", 90, true)
	if st := s.standing(t, "read"); st.State != Open || st.Questions != 3 {
		t.Errorf("standing %+v", st)
	}
}

func TestMatches(t *testing.T) {
	l := &lessons.Lesson{ID: "home-pose", Title: "A home pose you can trust", Module: "Moving by hand", Objectives: []string{"Choose a Home."}}
	for find, want := range map[string]bool{"": true, "home trust": true, "CHOOSE": true, "hand": true, "home-pose": true, "crate": false, "home crate": false} {
		if got := Matches(l, find); got != want {
			t.Errorf("Matches(%q) = %v, want %v", find, got, want)
		}
	}
}

// A page opens with the cautions and leaves out what is meant for editors.
func TestPage(t *testing.T) {
	l := &lessons.Lesson{Title: "Home", Module: "First", Minutes: 5, Cautions: []string{"Stand clear."}, Objectives: []string{"Go home."}, Body: "<!-- from\nmemory -->\n## Why\n\nSo.\n", Sources: []string{"Practice."}}
	want := "# Home\n\nFirst, 5 minutes\n\n## Caution\n\n- Stand clear.\n\n## You can afterwards\n\n- Go home.\n\n## Why\n\nSo.\n\n## Sources\n\n- Practice.\n"
	if got := Page(l); got != want {
		t.Errorf("Page = %q, want %q", got, want)
	}
}

func TestReadRefuses(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{dir, filepath.Join(dir, "none.yaml")} {
		if data, err := Read(name); err == nil {
			t.Errorf("Read(%s) = %d bytes, want an error", name, len(data))
		}
	}
}

func TestQuestionsPointIntoTheLesson(t *testing.T) {
	l := testSeat(t).Course.Find("read")
	qs := Questions(l)
	if !slices.EqualFunc(qs, l.Quiz, func(a *quiz.Question, b quiz.Question) bool { return a.ID == b.ID }) || qs[0] != &l.Quiz[0] {
		t.Errorf("Questions = %v", qs)
	}
}

// TestOwnCell hands a program in that is right in the cell as written. In the
// learner's own cell it is not, and what is kept says which cell that was: graded
// anew from the record alone it gets the same mark.
func TestOwnCell(t *testing.T) {
	s := testSeat(t)
	course, l := lessons.Load(lessons.Embedded(), ".")
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	s.Course = course
	lesson, err := s.Enter(course.Find("jogging"))
	if err != nil {
		t.Fatal(err)
	}
	const program = `posework: program/1
tool: cups
poses:
  home: {axes: [0, -4, 29, 0, 65, 0]}
  one: {xyz: [600, 0, 340], rpy: [180, 0, 0]}
  two: {xyz: [420, 230, 220], rpy: [180, 0, 0]}
  three: {xyz: [0, 0, 60], rpy: [180, 15, 0], frame: blow}
steps:
  - {to: home, path: joint, speed: 5 %, end: stop}
  - {to: one, path: joint, speed: 5 %, end: stop}
  - {to: home, path: joint, speed: 5 %, end: stop}
  - {to: two, path: joint, speed: 5 %, end: stop}
  - {to: home, path: joint, speed: 5 %, end: stop}
  - {to: three, path: joint, speed: 5 %, end: stop}
  - {to: home, path: joint, speed: 5 %, end: stop}
`
	file := filepath.Join(t.TempDir(), "a.yaml")
	if err := os.WriteFile(file, []byte(program), 0o666); err != nil {
		t.Fatal(err)
	}
	if o, _, err := Grade(course.Find("jogging"), file, []byte(program), nil); err != nil || !o.Mark.Passed {
		t.Errorf("in the cell as written: %+v, %v", o, err)
	}
	o, err := s.HandIn(t.Context(), lesson, file)
	if err != nil || o.Mark == nil || o.Mark.Passed {
		t.Fatalf("in the own cell: %+v, %v", o, err)
	}
	kept, err := s.Store.Attempts(t.Context(), records.AttemptFilter{}, records.Page{})
	if err != nil || len(kept) != 1 || kept[0].Seed != lessons.Seed("jogging", "Jo") || kept[0].Seed != lesson.Seed {
		t.Fatalf("kept: %+v, %v", kept, err)
	}
	again, _, err := Grade(course.Find(kept[0].Lesson).Variant(kept[0].Seed), file, kept[0].Program, nil)
	if err != nil || !reflect.DeepEqual(again.Mark, o.Mark) || !reflect.DeepEqual(again.Subject(), o.Subject()) {
		t.Errorf("graded anew: %+v, want %+v", again.Mark, o.Mark)
	}
	if err := s.KeepPractice(t.Context(), lesson, practice.Log{Entries: make([]practice.Entry, 1)}); err != nil {
		t.Fatal(err)
	}
	sessions, err := s.Store.Practices(t.Context(), s.Person, "", records.Page{})
	if err != nil || len(sessions) != 1 || sessions[0].Seed != lesson.Seed {
		t.Errorf("practice: %+v, %v", sessions, err)
	}
}

func TestOwnCellInWords(t *testing.T) {
	vary := &grader.Task{Goal: "Go.", Vary: []grader.Variation{{Key: "chute.x", Coord: "x", Min: 505, Max: 535, Step: 1}, {Key: "crate.yaw", Coord: "yaw", Min: -8, Max: 8, Step: 1}}}
	for _, tt := range []struct {
		lesson lessons.Lesson
		want   string
	}{
		{lessons.Lesson{Task: &grader.Task{}}, ""},
		{lessons.Lesson{}, ""},
		{lessons.Lesson{Task: vary}, "Each learner has a cell of their own: chute.x from 505 to 535 mm, crate.yaw from -8 to 8 deg."},
		{
			lessons.Lesson{Task: vary, Own: []lessons.Own{{Key: "chute.x", Value: 512, Unit: "mm"}, {Key: "crate.yaw", Value: -3, Unit: "deg"}}},
			"Your own cell: chute.x = 512 mm, crate.yaw = -3 deg. Other learners have other numbers. A pose that is written in the frame fits them all.",
		},
	} {
		if got := OwnCell(&tt.lesson); got != tt.want {
			t.Errorf("OwnCell says %q, want %q", got, tt.want)
		}
		if tt.want != "" && !strings.Contains(Page(&tt.lesson), lines(tt.want)) {
			t.Errorf("the page does not say %q", tt.want)
		}
	}
}

// A fault of the grader is told to the learner, and nothing is kept as their
// attempt.
func TestGraderFails(t *testing.T) {
	s := testSeat(t)
	broken := &lessons.Lesson{ID: "broken", Task: &grader.Task{}} // without a cell
	o, err := s.HandInFrom(t.Context(), broken, "a.yaml", []byte("posework: program/1\nsteps: [{pause: 1 s}]\n"), nil)
	if o != nil || err == nil || !strings.Contains(err.Error(), "the grader failed on this program: ") {
		t.Errorf("HandInFrom = %v, %v", o, err)
	}
	if kept, err := s.Store.Attempts(t.Context(), records.AttemptFilter{}, records.Page{}); err != nil || len(kept) > 0 {
		t.Errorf("%d attempts are kept, %v", len(kept), err)
	}
}
