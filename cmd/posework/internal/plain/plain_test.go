package plain

import (
	"context"
	"errors"
	"io"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"posework/cmd/posework/internal/seat"
	"posework/grader"
	"posework/grader/quiz"
	"posework/grader/records"
	"posework/lessons"
)

func testSeat() *seat.Seat {
	walk := &lessons.Lesson{
		ID: "walk", Title: "Walk round the cell", Module: "First", Minutes: 35,
		Objectives: []string{"Find hazards."}, Cautions: []string{"A simulation proves nothing."}, Body: "Look behind the arm.",
		Quiz: []quiz.Question{
			{ID: "one", Kind: quiz.One, Ask: "Where is the reset?", Right: []string{"outside"}, Wrong: []string{"inside", "on the gripper"}, Because: "Nobody may be reset in.", Source: "common practice", Skill: "place the reset"},
			{ID: "speed", Kind: quiz.Number, Ask: "Highest reduced speed?", Value: 250, Unit: "mm/s", Because: "A ceiling.", Source: "ISO 10218-1:2011, 5.6.2", Skill: "reduced speed"},
			{ID: "pairs", Kind: quiz.Match, Ask: "Match.", Pairs: []quiz.Pair{{Left: "l1", Right: "r1"}, {Left: "l2", Right: "r2"}}, Because: "So it is.", Source: "common practice", Skill: "match"},
		},
	}
	drive := &lessons.Lesson{
		ID: "drive", Title: "Drive home", Module: "Second", Minutes: 30, Needs: []string{"walk"},
		Hints: []string{"Look up.", "Go up."}, Task: &grader.Task{Goal: "Go home.", Pass: 80},
	}
	return &seat.Seat{
		Course: &lessons.Course{Lessons: []*lessons.Lesson{walk, drive}}, Person: "Jo",
		Now: func() time.Time { return time.Unix(0, 0) }, Seed: 1,
	}
}

// talkOver types lines and returns everything that was said.
func talkOver(t *testing.T, lines ...string) string {
	t.Helper()
	var out strings.Builder
	if err := Run(t.Context(), testSeat(), strings.NewReader(strings.Join(lines, "\n")+"\n"), &out, "a note"); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// says checks that texts are said in this order, wherever lines end.
func says(t *testing.T, got string, texts ...string) {
	t.Helper()
	flat := func(text string) string { return strings.Join(strings.Fields(text), " ") }
	rest := flat(got)
	for _, text := range texts {
		_, after, found := strings.Cut(rest, flat(text))
		if !found {
			t.Fatalf("%q is not said, or not in its turn:\n%s", text, got)
		}
		rest = after
	}
}

func TestCourse(t *testing.T) {
	got := talkOver(t, "drive", "nowhere", "", "9", "q")
	says(t, got, "a note", "Learner: Jo", "First\n  1  Walk round the cell, 35 minutes, open", "Second\n  2  Drive home, 30 minutes, after 1",
		"Second\n  2  Drive home", // found
		"No lesson or refresher has these words", "First", "There is no lesson 9")
}

func TestLesson(t *testing.T) {
	got := talkOver(t, "2", "r", "t", "n", "n", "n", "x fast-aproach", "x F012", "what", "b", "q")
	says(t, got, "This lesson builds on: Walk round the cell", "r read, t task, h hand in, n next hint,",
		"# Drive home", "## The task", "Go home.", "80 of 100 points pass", "Hint 1 of 2. Look up.", "Hint 2 of 2. Go up.",
		"r read, t task, h hand in, x CODE", // no hint is left
		"none of the letters", "perhaps FAST_APPROACH is meant", "F012: ", "none of the letters")
}

func TestHandInWithoutFile(t *testing.T) {
	got := talkOver(t, "2", "h", "", "h", "no-such.yaml", "b", "q")
	says(t, got, "Path of your program file: ", "Path of your program file: ", "Not handed in: open no-such.yaml: no such file")
}

// A round with a miss, then the miss again.
func TestQuestions(t *testing.T) {
	s := testSeat()
	round, _ := s.Round(t.Context(), s.Course.Lessons[0], seat.Questions(s.Course.Lessons[0]), 1)
	letters := map[string]string{}
	for i, o := range round.Sheets[0].Options {
		letters[o] = string(rune('a' + i))
	}
	match := "1a 2b"
	if round.Sheets[2].Partners[0] == "r2" {
		match = "1b 2a"
	}
	got := talkOver(t, "1", "a", letters["inside"], "", "fast", "250 mm/s", match, "m", "outside", "b", "q")
	says(t, got, "Question 1 of 3", "Where is the reset?", "  a) ",
		"Not right. You answered: inside", "Right is: outside", "Nobody may be reset in.", "Source: common practice.",
		"Question 2 of 3", "type a number, in mm/s", "not a number", "Right: 250 mm/s",
		"Question 3 of 3", "  1. l1", "  a) r", "Right: l1 = r1; l2 = r2",
		"2 of 3 right, 3 needed. Not passed yet.", "Missed: place the reset",
		"Question 1 of 1", "Right: outside", "1 of 1 right, 1 needed. Passed.")
}

// Who stops to look at the text goes on with the question that was asked.
func TestQuestionsGoOnWhereTheyWereLeft(t *testing.T) {
	got := talkOver(t, "1", "a", "a", "q", "r", "a", "250", "q", "b", "q")
	says(t, got, "Question 1 of 3", "Question 2 of 3", "Look behind the arm.", "Question 2 of 3", "Right: 250 mm/s", "Question 3 of 3")
	if n := strings.Count(got, "Question 1 of 3"); n != 1 {
		t.Errorf("the first question is asked %d times:\n%s", n, got)
	}
}

// The input may end anywhere.
func TestInputEnds(t *testing.T) {
	for n := range 6 {
		talkOver(t, []string{"1", "a", "", "q", "b"}[:min(n, 5)]...)
	}
}

// Whatever is asked and told in words fits into 80 columns, whatever the lesson.
func TestLinesFit(t *testing.T) {
	course, l := lessons.Load(lessons.Embedded(), ".")
	if len(l) > 0 {
		t.Fatal(l)
	}
	s := testSeat()
	s.Course = course
	s.Folder = t.TempDir() // nobody is asked for a path
	var out strings.Builder
	typed := "6\nt\np\n?\nwhere\ndevices\nadd move\nrecord here\nhold axis 1 5\nhold to there\nleave\nb\nq\n"
	if err := Run(t.Context(), s, strings.NewReader(typed), &out, ""); err != nil {
		t.Fatal(err)
	}
	told := regexp.MustCompile(`(for the list|b back): `).ReplaceAllString(out.String(), "$1:\n") // what is typed ends a line
	for line := range strings.Lines(told) {
		if n := len([]rune(strings.TrimRight(line, "\n"))); n > 80 {
			t.Errorf("a line of %d: %s", n, line)
		}
	}
}

// An interruption is heard while nothing is typed.
func TestInterrupted(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	in, typing := io.Pipe()
	defer typing.Close()
	done := make(chan error)
	go func() { done <- Run(ctx, testSeat(), in, io.Discard, "") }()
	stop()
	if err := <-done; !errors.Is(err, context.Canceled) {
		t.Errorf("Run = %v, want context.Canceled", err)
	}
}

// Where nothing can be written any more, the talk ends with that error.
func TestOutputFails(t *testing.T) {
	full := errors.New("disk full")
	err := Run(t.Context(), testSeat(), strings.NewReader("1\nr\nb\nq\n"), failing{full}, "")
	if !errors.Is(err, full) {
		t.Errorf("Run = %v, want %v", err, full)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

// A refresher can be taken from the course's list, by its own number.
func TestRefresherFromTheList(t *testing.T) {
	course, l := lessons.Load(lessons.Embedded(), ".")
	if len(l) > 0 {
		t.Fatal(l)
	}
	store, err := records.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	now := time.Date(2026, 3, 2, 5, 50, 0, 0, time.UTC)
	s := &seat.Seat{Course: course, Version: "v", Person: "Jo", Store: store, Now: func() time.Time { return now }, Seed: 1}
	var out strings.Builder
	if err := Run(t.Context(), s, strings.NewReader("r99\nr2\nq\nq\n"), &out, ""); err != nil {
		t.Fatal(err)
	}
	says(t, out.String(), "Refreshers\n", "r1  A mix", "r2  ", "No lesson or refresher has these words", course.Decks[0].Title, "- "+course.Decks[0].Points[0], "A simulation proves no cell safe.", "Stopped, so there is nothing to sign.", "r2  ")
}
