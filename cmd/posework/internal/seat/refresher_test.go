package seat

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"posework/grader/quiz"
	"posework/grader/records"
	"posework/grader/refresher"
	"posework/lessons"
)

// builtIn is a seat in the built-in course, with a clock that the test sets.
func builtIn(t *testing.T) (*Seat, *time.Time) {
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
	return &Seat{Course: course, Version: "v", Person: "Jo Fenwick", Store: store, Now: func() time.Time { return now }, Seed: 7}, &now
}

// right is a right answer to a sheet, found by trying: the key is the quiz's own.
func right(t *testing.T, sheet *quiz.Sheet) quiz.Answer {
	t.Helper()
	if sheet.Question.Kind == quiz.Number {
		return quiz.Answer{Number: sheet.Value}
	}
	n := len(sheet.Options)
	var try func(chosen []int) (quiz.Answer, bool)
	ordered := sheet.Question.Kind == quiz.Order || sheet.Question.Kind == quiz.Match
	try = func(chosen []int) (quiz.Answer, bool) {
		a := quiz.Answer{Choice: slices.Clone(chosen)}
		if len(chosen) > 0 && (!ordered || len(chosen) == n) && sheet.Mark(a).Right {
			return a, true
		}
		for i := range n {
			if slices.Contains(chosen, i) || !ordered && len(chosen) > 0 && i < chosen[len(chosen)-1] {
				continue
			}
			if a, ok := try(append(slices.Clone(chosen), i)); ok {
				return a, true
			}
		}
		return a, false
	}
	a, ok := try(nil)
	if !ok {
		t.Fatalf("question %s has no right answer", sheet.Question.ID)
	}
	return a
}

// take works through a refresher, with misses on the questions named.
func take(t *testing.T, r *Refresher, miss ...string) {
	t.Helper()
	for {
		sheet, place, l := r.Current(t.Context())
		if len(l) > 0 {
			t.Fatal(l)
		}
		if sheet == nil {
			return
		}
		same, _, _ := r.Current(t.Context())
		if same != sheet {
			t.Error("asked twice, the question is drawn twice")
		}
		a := right(t, sheet)
		if slices.Contains(miss, sheet.Question.ID) && !strings.Contains(place, "missed just now") {
			a = quiz.Answer{Number: -12345}
		}
		if _, err := r.Answer(t.Context(), a, time.Minute); err != nil {
			t.Fatal(err)
		}
	}
}

func newRefresher(t *testing.T, s *Seat, deck string) *Refresher {
	t.Helper()
	r, err := s.NewRefresher(t.Context(), deck, 100)
	if err != nil {
		t.Fatal(err)
	}
	spots := 0
	var sum time.Duration
	for _, c := range r.Choices {
		sum += c.Time
		if c.Spot {
			spots++
		}
	}
	if spots == 0 || sum > refresher.Longest {
		t.Fatalf("%d spot questions, %v long", spots, sum)
	}
	return r
}

func ids(r *Refresher) string {
	var list []string
	for _, c := range r.Choices {
		list = append(list, c.ID)
	}
	return strings.Join(list, " ")
}

func TestRefresherOverDays(t *testing.T) {
	s, now := builtIn(t)
	r := newRefresher(t, s, "")
	first := ids(r)
	_, missed, _ := strings.Cut(r.Choices[1].ID, "/")
	take(t, r, missed)
	res := r.Result()
	if !res.Passed() || !slices.Equal(res.Missed, []string{r.Choices[1].ID}) {
		t.Fatalf("result %+v, want passed with one miss", res)
	}
	if _, err := r.Sign(t.Context(), "Somebody Else"); err == nil {
		t.Error("another's name signed")
	}
	head, err := r.Sign(t.Context(), "jo fenwick")
	if err != nil || head.Place != 1 {
		t.Fatal(head, err)
	}
	signed, err := s.Store.SignOffs(t.Context(), s.Person, records.Page{})
	if err != nil || len(signed) != 1 || signed[0].Deck != MixedDeck || !signed[0].Passed || !strings.Contains(signed[0].Detail, r.Choices[1].ID) {
		t.Errorf("sign-offs %+v, %v", signed, err)
	}

	// The same day it asks others; the next day what was missed comes first among
	// what is due.
	if same := ids(newRefresher(t, s, "")); same == first {
		t.Errorf("the second refresher of a day asks the same: %s", same)
	}
	*now = now.AddDate(0, 0, 1)
	r2 := newRefresher(t, s, "")
	why := map[string]refresher.Reason{}
	for _, c := range r2.Choices {
		why[c.ID] = c.Why
	}
	if got, ok := why[r.Choices[1].ID]; !ok || got != refresher.Missed {
		t.Errorf("the next day: %v, want %s as missed", why, r.Choices[1].ID)
	}
}

func TestRefresherOfOneDeck(t *testing.T) {
	s, _ := builtIn(t)
	deck := s.Course.Decks[1].ID
	r := newRefresher(t, s, deck)
	for _, c := range r.Choices {
		if !c.Spot && !strings.HasPrefix(c.ID, deck+"/") {
			t.Errorf("%s is not of deck %s", c.ID, deck)
		}
	}
	if _, err := s.NewRefresher(t.Context(), "deck-gong-in", 100); err == nil || !strings.Contains(err.Error(), `did you mean "deck-going-in"?`) {
		t.Errorf("mistyped deck: %v", err)
	}
	if _, err := s.NewRefresher(t.Context(), "x", 100); err == nil || !strings.Contains(err.Error(), "there is no deck") {
		t.Errorf("unknown deck: %v", err)
	}
	if _, err := r.Sign(t.Context(), s.Person); err == nil || !strings.Contains(err.Error(), "nothing to sign") {
		t.Errorf("Sign before the end: %v", err)
	}
}

func TestRefresherTakesFromLessonsThatWereBegun(t *testing.T) {
	s, _ := builtIn(t)
	lesson := s.Course.Lessons[0]
	has := func() bool {
		r := newRefresher(t, s, "")
		return slices.ContainsFunc(r.pool, func(p pooled) bool { return p.deck == lesson.ID })
	}
	if has() {
		t.Errorf("%s is asked about before it was begun", lesson.ID)
	}
	if err := s.Answered(t.Context(), lesson, &lesson.Quiz[0], quiz.Verdict{Right: true}, time.Second); err != nil {
		t.Fatal(err)
	}
	if !has() {
		t.Errorf("%s was begun, but is not asked about", lesson.ID)
	}
}

func TestRefresherNeedsRecords(t *testing.T) {
	s, _ := builtIn(t)
	store := s.Store
	s.Store = nil
	if _, err := s.NewRefresher(t.Context(), "", 100); err == nil || !strings.Contains(err.Error(), "needs the records") {
		t.Errorf("without records: %v", err)
	}
	s.Store = store
	r := newRefresher(t, s, "")
	sheet, _, _ := r.Current(t.Context())
	store.Close()
	if _, err := r.Answer(t.Context(), right(t, sheet), 0); err == nil {
		t.Error("an answer that was not kept is no error")
	}
	if _, err := s.NewRefresher(t.Context(), "", 100); err == nil {
		t.Error("closed records are no error")
	}
}
