package refresher

import (
	"time"

	"posework/grader/records"
)

// Standing is how a person's last sign-off stands.
type Standing uint8

// The standings.
const (
	Valid   Standing = iota
	Overdue          // its period of validity is over
	Never            // there is none
	Ahead            // it is dated later than now: a clock was wrong, so it proves nothing
)

// String returns the standing in words.
func (s Standing) String() string {
	switch s {
	case Valid:
		return "valid"
	case Overdue:
		return "overdue"
	case Never:
		return "never signed"
	}
	return "dated ahead; check the clock"
}

// Judge returns how a sign-off stands at the moment now, and until when it is
// valid. It is valid at the very end of its period.
func Judge(g records.Signed, validity time.Duration, now time.Time) (Standing, time.Time) {
	if !g.Ever {
		return Never, time.Time{}
	}
	until := g.At.Add(validity)
	switch {
	case g.At.After(now):
		return Ahead, until
	case now.After(until):
		return Overdue, until
	}
	return Valid, until
}

// DueFilter returns what to ask the records for to list who is not [Valid]. Only
// sign-offs with so many points at least count.
func DueFilter(people records.PeopleFilter, deck string, least float64, validity time.Duration, now time.Time) records.SignedFilter {
	return records.SignedFilter{PeopleFilter: people, Deck: deck, Least: least, Due: now.Add(-validity), Now: now}
}
