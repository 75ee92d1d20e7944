package refresher

import (
	"math"
	"time"
)

// The schedule is SM-2: P. A. Wozniak, Optimization of Learning, Master's
// thesis, University of Technology in Poznan, 1990, section 3.2. Its parameters:
const (
	firstInterval  = 1   // I(1), days
	secondInterval = 6   // I(2), days; then I(n) = I(n-1) * EF
	firstEase      = 2.5 // EF of a new question
	leastEase      = 1.3 // EF is never less
	leastRight     = 3   // a quality below this starts the question anew
)

// Qualities of a reply, from the six that SM-2 knows. Which one a reply gets is
// ours: the method leaves it to the learner.
const (
	wrong   = 1 // "incorrect; the correct one remembered": it is shown afterwards
	slow    = 3 // right, in more than the question's time
	right   = 4 // right
	perfect = 5 // right, in at most half of the question's time
)

// oneSitting is the time within which replies to a question belong together:
// only the first counts, since later ones follow the shown solution. A clock that
// was set back in between makes no difference.
const oneSitting = 12 * time.Hour

// intervalMax bounds intervals, so that no question is never asked again.
const intervalMax = 365 // days

// Reply is one answer that a person gave.
type Reply struct {
	Question string // Question.ID
	Right    bool
	Took     time.Duration // 0 when unknown
	At       time.Time
}

// Memory is where a question stands with a person.
type Memory struct {
	Repetitions int     // right replies in a row, each in its time
	Interval    int     // days from the last counted reply until it is due
	Ease        float64 // EF
	Last        time.Time
	Missed      bool // the last counted reply was wrong
}

// quality grades a reply to a question that takes some time.
func quality(r Reply, takes time.Duration) int {
	switch {
	case !r.Right:
		return wrong
	case r.Took <= 0 || takes <= 0:
		return right
	case r.Took <= takes/2:
		return perfect
	case r.Took <= takes:
		return right
	}
	return slow
}

// Recall works through a person's replies in the order in which they were
// recorded and returns the memory of each question asked. takes says how long a
// question takes; 0 for unknown ones.
func Recall(replies []Reply, takes func(question string) time.Duration) map[string]Memory {
	memory := map[string]Memory{}
	for _, r := range replies {
		m, asked := memory[r.Question]
		if !asked {
			m.Ease = firstEase
		} else if since := r.At.Sub(m.Last); since.Abs() < oneSitting {
			continue
		}
		memory[r.Question] = m.next(quality(r, takes(r.Question)), r.At)
	}
	return memory
}

// next returns the memory after a reply of quality q.
func (m Memory) next(q int, at time.Time) Memory {
	elapsed := days(at.Sub(m.Last))
	early := m.Repetitions > 0 && elapsed < m.Interval
	switch {
	case q < leastRight: // EF stays
		m.Repetitions, m.Interval = 0, firstInterval
	case early:
		// SM-2 is silent on replies before a question is due. They prove what time
		// has passed, no more, and don't count as a repetition.
		m.Interval = max(m.Interval, m.grown(elapsed))
	case m.Repetitions == 0:
		m.Repetitions, m.Interval = 1, firstInterval
	case m.Repetitions == 1:
		m.Repetitions, m.Interval = 2, secondInterval
	default:
		m.Repetitions++
		m.Interval = m.grown(m.Interval)
	}
	if q >= leastRight {
		m.Ease = max(leastEase, m.Ease+0.1-float64(perfect-q)*(0.08+float64(perfect-q)*0.02))
	}
	m.Last, m.Missed = at, q < leastRight
	return m
}

// grown returns an interval times EF, rounded up to whole days as the method has
// it.
func (m Memory) grown(interval int) int {
	// The small part keeps 6 days at EF 2.5 from becoming 16 by rounding.
	return min(intervalMax, int(math.Ceil(float64(interval)*m.Ease-1e-9)))
}

// days returns whole days, since shifts don't begin to the minute. A clock that
// was set back makes no negative time.
func days(d time.Duration) int { return max(0, int(math.Round(d.Hours()/24))) }

// Due reports whether the question should be asked again by now.
func (m Memory) Due(now time.Time) bool { return m.late(now) >= 0 }

// late returns for how many days a question has been due. Before, it returns
// the part of the interval that is missing, as a negative number above -1. A
// reply that lies ahead of now was recorded by a wrong clock and makes it due.
func (m Memory) late(now time.Time) float64 {
	if m.Last.Sub(now) > oneSitting {
		return 0
	}
	late := days(now.Sub(m.Last)) - m.Interval
	if late < 0 {
		return float64(late) / float64(m.Interval)
	}
	return float64(late)
}
