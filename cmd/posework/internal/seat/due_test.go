package seat

import (
	"fmt"
	"testing"
	"time"
)

// What is due after a refresher: nothing that was right, on the next day what
// was missed; what was never asked stays new.
func TestRefreshers(t *testing.T) {
	s, now := builtIn(t)
	standing := func(i int) DeckStanding {
		t.Helper()
		all, err := s.Standings(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		list, err := s.Refreshers(t.Context(), all)
		if err != nil {
			t.Fatal(err)
		}
		if len(list) != 1+len(s.Course.Decks) {
			t.Fatalf("%d refreshers for %d decks", len(list), len(s.Course.Decks))
		}
		return list[i]
	}
	deck := s.Course.Decks[0]
	if d := standing(1); d.Deck != deck || d.Due != 0 || d.New != len(deck.Quiz) {
		t.Fatalf("before the first refresher: %d due, %d new of %d", d.Due, d.New, len(deck.Quiz))
	}
	r, err := s.NewRefresher(t.Context(), deck.ID, FullMarks)
	if err != nil {
		t.Fatal(err)
	}
	fromDeck, missed := 0, ""
	for _, c := range r.Choices {
		if p := r.pool[c.At]; p.deck == deck.ID {
			fromDeck++
			missed = p.ask.ID
		}
	}
	take(t, r, missed)
	if d := standing(1); d.Due != 0 || d.New != len(deck.Quiz)-fromDeck {
		t.Errorf("after it: %d due, %d new of %d, %d asked", d.Due, d.New, len(deck.Quiz), fromDeck)
	}
	*now = now.Add(24 * time.Hour)
	if d := standing(1); d.Due < 1 || d.State() != fmt.Sprintf("%d due", d.Due) {
		t.Errorf("a day later: %d due, in words %q", d.Due, d.State())
	}
	if mix, d := standing(0), standing(1); mix.Due < d.Due {
		t.Errorf("%d due in the mix, %d in one deck", mix.Due, d.Due)
	}
	s.Store = nil
	if list, err := s.Refreshers(t.Context(), nil); len(list) != 0 || err != nil {
		t.Errorf("without records there are %d refreshers, %v", len(list), err)
	}
}
