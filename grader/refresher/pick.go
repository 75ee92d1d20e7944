package refresher

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// Longest is how long a refresher takes at most, unless told otherwise.
const Longest = 5 * time.Minute

// TimeFor returns how long a question takes a person: four questions, one of them
// to spot a hazard in a program, make five minutes. Our own choice.
func TimeFor(spot bool) time.Duration {
	if spot {
		return 90 * time.Second
	}
	return 70 * time.Second
}

// Question is what a refresher needs to know of a question.
type Question struct {
	ID   string        // of the deck or lesson and of the question in it: "D1/D1-Q2"
	Time time.Duration // it takes to answer
	Spot bool          // it is of the kind that has the unsafe steps found
}

// headStart is by how many days a question that was missed counts as due longer.
// The simulation of the tests retains more questions with it than without.
const headStart = 14

// Reason is why a question was picked.
type Reason uint8

// The reasons.
const (
	Due    Reason = iota // due by the schedule
	Missed               // answered wrongly the last time, and due
	New                  // never asked
	Early                // not due yet; there was time left
)

// String returns the reason in words.
func (r Reason) String() string {
	switch r {
	case Missed:
		return "missed last time"
	case Due:
		return "due"
	case New:
		return "new"
	}
	return "not due yet"
}

// Choice is a question picked for a refresher.
type Choice struct {
	Question
	Why Reason
	At  int // index of the question in what Pick was given
}

// Pick takes the questions of one refresher for a person whose memory is given,
// as many as fit into longest (0 means [Longest]): the most urgent spot question;
// one that was never asked, if there is any; then those that are due, longest
// first, where a missed one has a head start of two weeks; then more that were
// never asked; then those that miss the smallest part of their interval. Of two
// equally urgent ones the first in questions is taken. It fails when no spot
// question fits.
func Pick(questions []Question, memory map[string]Memory, now time.Time, longest time.Duration) ([]Choice, error) {
	if longest <= 0 {
		longest = Longest
	}
	list := rate(questions, memory, now)
	var picked []Choice
	left := longest
	take := func(is func(rated) bool) bool {
		i := slices.IndexFunc(list, func(r rated) bool { return r.Time <= left && is(r) })
		if i < 0 {
			return false
		}
		picked = append(picked, list[i].Choice)
		left -= list[i].Time
		list = slices.Delete(list, i, i+1)
		return true
	}
	if !take(func(r rated) bool { return r.Spot }) {
		return nil, fmt.Errorf("a refresher needs a spot-the-hazard question of at most %v; add one to a deck", longest)
	}
	// Else what is new would wait for ever behind a long queue.
	take(func(r rated) bool { return r.Why == New })
	for take(func(rated) bool { return true }) {
	}
	return picked, nil
}

// rated is a question with its place in the queue.
type rated struct {
	Choice
	rank int // due ones first, then new ones, then early ones
	late float64
}

// rate puts questions into the order of urgency.
func rate(questions []Question, memory map[string]Memory, now time.Time) []rated {
	var list []rated
	for i, q := range questions {
		r := rated{Choice: Choice{Question: q, Why: New, At: i}, rank: 1}
		if m, asked := memory[q.ID]; asked {
			r.late = m.late(now)
			switch {
			case r.late < 0:
				r.Why, r.rank = Early, 2
			case m.Missed:
				r.Why, r.rank = Missed, 0
				r.late += headStart
			default:
				r.Why, r.rank = Due, 0
			}
		}
		list = append(list, r)
	}
	slices.SortStableFunc(list, func(a, b rated) int {
		return cmp.Or(cmp.Compare(a.rank, b.rank), cmp.Compare(b.late, a.late))
	})
	return list
}
