package seat

import (
	"context"
	"fmt"

	"posework/lessons"
)

// RefresherModule is what refreshers are listed under.
const RefresherModule = "Refreshers"

// FullMarks is the pass mark of a refresher taken from the course: before a
// shift, everything that is asked must be right in the end.
const FullMarks = 100

// DeckStanding is where a learner stands with a refresher.
type DeckStanding struct {
	Deck *lessons.Deck // nil for the one that takes questions from everywhere
	Due  int           // questions to ask again by now
	New  int           // questions never asked
}

// Title is the refresher's title.
func (d *DeckStanding) Title() string {
	if d.Deck == nil {
		return "A mix of what you are about to forget"
	}
	return d.Deck.Title
}

// ID is the deck's id, "" for the mix.
func (d *DeckStanding) ID() string {
	if d.Deck == nil {
		return ""
	}
	return d.Deck.ID
}

// Refreshers returns where the learner stands with every refresher, the mix
// first. Without records there are none: a refresher is chosen by what was
// answered before, and signed into them.
func (s *Seat) Refreshers(ctx context.Context, standings map[string]Standing) ([]DeckStanding, error) {
	if s.Store == nil || len(s.Course.Decks) == 0 {
		return nil, nil
	}
	r := &Refresher{seat: s}
	if err := r.gather("", standings); err != nil {
		return nil, err
	}
	memory, err := s.memory(ctx, r.pool)
	if err != nil {
		return nil, err
	}
	all := make([]DeckStanding, 1+len(s.Course.Decks))
	at := map[string]int{}
	for i, d := range s.Course.Decks {
		all[i+1].Deck = d
		at[d.ID] = i + 1
	}
	now := s.Now()
	for _, p := range r.pool {
		m, asked := memory[p.id()]
		count := func(d *DeckStanding) {
			switch {
			case !asked:
				d.New++
			case m.Due(now):
				d.Due++
			}
		}
		count(&all[0])
		if p.lesson == nil { // a deck's own
			count(&all[at[p.deck]])
		}
	}
	return all, nil
}

// State says in a word or two what is to do.
func (d *DeckStanding) State() string {
	switch {
	case d.Due > 0:
		return fmt.Sprintf("%d due", d.Due)
	case d.New > 0:
		return fmt.Sprintf("%d new", d.New)
	}
	return "nothing due"
}
