package tui

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"posework/cmd/posework/internal/seat"
	"posework/grader/quiz"
	"posework/grader/records"
	"posework/lessons"
)

// recorded is a seat in the built-in course with records and a clock that stands.
func recorded(t *testing.T) *seat.Seat {
	t.Helper()
	course, l := lessons.Load(lessons.Embedded(), ".")
	if len(l) > 0 {
		t.Fatal(l)
	}
	store, err := records.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	now := time.Date(2026, 3, 2, 5, 50, 0, 0, time.UTC)
	return &seat.Seat{Course: course, Version: "v", Person: "Jo Fenwick", Store: store, Now: func() time.Time { return now }, Seed: 7}
}

// solve gives a right answer to what is asked, by keys alone.
func solve(d *driver, q *answering) {
	d.t.Helper()
	sheet := q.sheet
	right := func(choice ...int) bool { return sheet.Mark(quiz.Answer{Choice: choice}).Right }
	var letters []string
	switch n := len(sheet.Options); sheet.Question.Kind {
	case quiz.Number:
		d.keys(sheet.Mark(quiz.Answer{Number: sheet.Value}).Want)
	case quiz.One:
		for i := range n {
			if right(i) {
				letters = append(letters, letter(i))
			}
		}
	case quiz.Many, quiz.Spot:
		for set := range 1 << n {
			var choice []int
			for i := range n {
				if set>>i&1 == 1 {
					choice = append(choice, i)
				}
			}
			if !right(choice...) {
				continue
			}
			at := 0
			for _, i := range choice {
				for ; at < i; at++ {
					letters = append(letters, "down")
				}
				letters = append(letters, "space")
			}
			break
		}
	case quiz.Order, quiz.Match:
		var try func(choice []int) []int
		try = func(choice []int) []int {
			if len(choice) == n && right(choice...) {
				return choice
			}
			for i := range n {
				if !slices.Contains(choice, i) {
					if found := try(append(slices.Clone(choice), i)); found != nil {
						return found
					}
				}
			}
			return nil
		}
		for _, i := range try(nil) {
			letters = append(letters, letter(i))
		}
	}
	d.keys(append(letters, "enter")...)
}

// A shift lead's five minutes: the course lists what is due, one question is
// missed and comes again, and the name signs.
func TestRefresherScreen(t *testing.T) {
	s := recorded(t)
	d := start(t, s)
	d.keys("going in")
	d.shows("REFRESHERS", "Five minutes: going in", "new")
	d.keys("down")
	d.keys("end")
	d.shows("▸     Five minutes: going in", "Four questions before a shift")
	d.keys("enter")
	d.shows("REMEMBER", "Never between the arm and the post.", "A simulation proves no cell safe.")
	d.golden("refresher-opening")
	d.keys("enter")
	at := func() *refresherScreen { return d.app.top().(*refresherScreen) }
	missed, asked := false, 0
	for at().stage == posed {
		if asked++; asked > 20 {
			t.Fatal("it never ends")
		}
		if !missed && at().question.sheet.Question.Kind == quiz.One {
			missed = true
			q := &at().question
			for i := range q.sheet.Options {
				if !q.sheet.Mark(quiz.Answer{Choice: []int{i}}).Right {
					d.keys(letter(i), "enter")
					break
				}
			}
			d.shows("Not right.", "Source:")
		} else {
			solve(d, &at().question)
			d.shows("Right.")
		}
		d.keys("enter")
	}
	if !missed {
		t.Fatal("no question of one choice was asked")
	}
	d.shows("right at once, 100 of 100 points, 100 needed.", "Passed.", "Type your name, Jo Fenwick, to sign:")
	d.keys("Jo Fen", "enter")
	d.shows("that is not Jo Fenwick")
	d.keys("wick", "enter")
	d.shows("Signed as entry 1 of site")
	list, err := s.Store.SignOffs(t.Context(), "Jo Fenwick", records.Page{})
	if err != nil || len(list) != 1 || !list[0].Passed {
		t.Fatalf("the records hold %+v, %v", list, err)
	}
	d.keys("enter")
	if !strings.Contains(d.screen(), "Course") {
		t.Error("enter does not lead back to the course")
	}
}

// What can't be put on record ends a refresher, and nothing is signed.
func TestRefresherWithoutRecords(t *testing.T) {
	s := recorded(t)
	d := start(t, s)
	d.keys("going in", "end", "enter")
	s.Store.Close()
	d.keys("enter")
	if at := d.app.top().(*refresherScreen); at.stage != ended || at.failure == "" {
		t.Errorf("the refresher goes on without records:\n%s", d.screen())
	}
}
