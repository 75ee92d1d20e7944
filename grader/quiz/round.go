package quiz

import (
	"context"
	"math"

	"posework/engine/diag"
)

// Round is a pass through a list of questions by one person.
type Round struct {
	Sheets   []*Sheet
	Verdicts []Verdict // of Sheets[:len(Verdicts)]
}

// NewRound draws a sheet for every question. The list says why one can't be put
// to anyone.
func NewRound(ctx context.Context, questions []*Question, seed uint64, spot Spotter) (*Round, diag.List) {
	r := &Round{}
	var l diag.List
	for _, q := range questions {
		s, bad := q.Draw(ctx, seed, spot)
		l = append(l, bad...)
		r.Sheets = append(r.Sheets, s)
	}
	l.Sort()
	return r, l
}

// Current returns the sheet to be answered next, nil after the last one.
func (r *Round) Current() *Sheet {
	if len(r.Verdicts) == len(r.Sheets) {
		return nil
	}
	return r.Sheets[len(r.Verdicts)]
}

// Answer marks the current sheet and goes on to the next one. It panics after
// the last.
func (r *Round) Answer(a Answer) Verdict {
	s := r.Current()
	if s == nil {
		panic("quiz: answer after the last question of a round")
	}
	v := s.Mark(a)
	r.Verdicts = append(r.Verdicts, v)
	return v
}

// Right returns how many answers were right.
func (r *Round) Right() int {
	right := 0
	for _, v := range r.Verdicts {
		if v.Right {
			right++
		}
	}
	return right
}

// Needed returns how many right answers pass the round.
func (r *Round) Needed() int { return Needed(len(r.Sheets)) }

// Needed returns how many of n answers must be right to pass: [PassShare] of
// them, rounded up.
func Needed(n int) int {
	const hair = 1e-9 // 0.8 is not four fifths in binary
	return int(math.Ceil(PassShare*float64(n) - hair))
}

// Passed reports whether the round is over and enough answers were right.
func (r *Round) Passed() bool { return r.Current() == nil && r.Right() >= r.Needed() }

// Missed returns the questions that were answered wrongly, in the order of the
// round.
func (r *Round) Missed() []*Question {
	var missed []*Question
	for i, v := range r.Verdicts {
		if !v.Right {
			missed = append(missed, r.Sheets[i].Question)
		}
	}
	return missed
}
