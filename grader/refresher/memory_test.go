package refresher

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"
)

var start = time.Date(2026, 3, 2, 5, 50, 0, 0, time.UTC)

// day returns a moment some days after start.
func day(n float64) time.Time { return start.Add(time.Duration(n * 24 * float64(time.Hour))) }

func minute(string) time.Duration { return time.Minute }

// Wozniak 1990, section 3.2: I(1) = 1, I(2) = 6, I(n) = I(n-1) * EF, rounded up
// to whole days. With quality 4 the factor stays at 2.5, so that the intervals
// are 1, 6, 15, 37.5 and 95.
func TestIntervalsOfSM2(t *testing.T) {
	var replies []Reply
	at := 0.0
	for _, want := range []int{1, 6, 15, 38, 95, 238, 365} {
		replies = append(replies, Reply{Question: "D1/D1-Q1", Right: true, At: day(at)})
		m := Recall(replies, minute)["D1/D1-Q1"]
		if m.Interval != want || m.Ease != 2.5 || m.Missed {
			t.Errorf("after %d replies: %+v, want interval %d at 2.5", len(replies), m, want)
		}
		at += float64(m.Interval)
	}
}

// The changes of EF by the formula of the thesis, worked out by hand; below
// quality 3 EF stays.
func TestEaseOfSM2(t *testing.T) {
	for q, want := range map[int]float64{5: 2.6, 4: 2.5, 3: 2.36, 2: 2.5, 1: 2.5, 0: 2.5} {
		got := Memory{Ease: 2.5}.next(q, start).Ease
		if !(math.Abs(got-want) <= 1e-12) {
			t.Errorf("quality %d: ease %v, want %v", q, got, want)
		}
	}
	m := Memory{Ease: 2.5}
	for i := range 50 {
		m = m.next(3, day(float64(400*i)))
	}
	if m.Ease != 1.3 {
		t.Errorf("ease after many slow replies is %v, want the least, 1.3", m.Ease)
	}
}

func TestQuality(t *testing.T) {
	tests := []struct {
		reply Reply
		takes time.Duration
		want  int
	}{
		{Reply{Right: false, Took: time.Second}, time.Minute, wrong},
		{Reply{Right: true}, time.Minute, right},
		{Reply{Right: true, Took: time.Second}, 0, right},
		{Reply{Right: true, Took: 30 * time.Second}, time.Minute, perfect},
		{Reply{Right: true, Took: 31 * time.Second}, time.Minute, right},
		{Reply{Right: true, Took: 60 * time.Second}, time.Minute, right},
		{Reply{Right: true, Took: 61 * time.Second}, time.Minute, slow},
	}
	for _, tt := range tests {
		if got := quality(tt.reply, tt.takes); got != tt.want {
			t.Errorf("quality(%+v, %v) = %d, want %d", tt.reply, tt.takes, got, tt.want)
		}
	}
}

func TestRecall(t *testing.T) {
	tests := []struct {
		name    string
		replies []Reply
		want    Memory
	}{
		{"a miss starts anew", []Reply{{"q", true, 0, day(0)}, {"q", true, 0, day(1)}, {"q", false, 0, day(7)}},
			Memory{Repetitions: 0, Interval: 1, Ease: 2.5, Last: day(7), Missed: true}},
		{"asked again in one sitting counts once", []Reply{{"q", false, 0, day(0)}, {"q", true, 0, day(0.01)}},
			Memory{Interval: 1, Ease: 2.5, Last: day(0), Missed: true}},
		{"asked again in one sitting, and another question after it", []Reply{{"p", true, 0, day(0)}, {"p", true, 0, day(0)}, {"q", true, 0, day(0)}},
			Memory{Repetitions: 1, Interval: 1, Ease: 2.5, Last: day(0)}},
		{"asked again at the same moment", []Reply{{"q", false, 0, day(0)}, {"q", true, 0, day(0)}},
			Memory{Interval: 1, Ease: 2.5, Last: day(0), Missed: true}},
		{"asked again when the sitting is just over", []Reply{{"q", false, 0, day(0)}, {"q", true, 0, day(0.5)}},
			Memory{Repetitions: 1, Interval: 1, Ease: 2.5, Last: day(0.5)}},
		{"asked again in one sitting, the clock set back in between", []Reply{{"q", false, 0, day(0)}, {"q", true, 0, day(-0.01)}},
			Memory{Interval: 1, Ease: 2.5, Last: day(0), Missed: true}},
		{"some minutes early the next day", []Reply{{"q", true, 0, day(0)}, {"q", true, 0, day(0.99)}},
			Memory{Repetitions: 2, Interval: 6, Ease: 2.5, Last: day(0.99)}},
		{"early and right moves the day, no more", []Reply{{"q", true, 0, day(0)}, {"q", true, 0, day(1)}, {"q", true, 0, day(3)}},
			Memory{Repetitions: 2, Interval: 6, Ease: 2.5, Last: day(3)}},
		{"early but long ago proves that time", []Reply{{"q", true, 0, day(0)}, {"q", true, 0, day(1)}, {"q", true, 0, day(6)}},
			Memory{Repetitions: 2, Interval: 13, Ease: 2.5, Last: day(6)}},
		{"early and wrong starts anew", []Reply{{"q", true, 0, day(0)}, {"q", true, 0, day(1)}, {"q", false, 0, day(3)}},
			Memory{Interval: 1, Ease: 2.5, Last: day(3), Missed: true}},
		{"clock set back a year", []Reply{{"q", true, 0, day(0)}, {"q", true, 0, day(1)}, {"q", true, 0, day(-365)}},
			Memory{Repetitions: 2, Interval: 6, Ease: 2.5, Last: day(-365)}},
	}
	for _, tt := range tests {
		if got := Recall(tt.replies, minute)["q"]; got != tt.want {
			t.Errorf("%s: %+v, want %+v", tt.name, got, tt.want)
		}
	}
}

// A reply that was slow is right all the same, and a question is due on the day
// that its interval ends, neither before nor never; a reply of
// tomorrow was recorded by a wrong clock.
func TestDue(t *testing.T) {
	m := Recall([]Reply{{"q", true, 2 * time.Minute, day(0)}, {"q", true, 0, day(1)}}, minute)["q"]
	if m.Missed || m.Interval != 6 {
		t.Fatalf("%+v, want an interval of 6 days", m)
	}
	slow := Recall([]Reply{{"q", true, 2 * time.Minute, day(0)}}, minute)["q"]
	if slow.Missed {
		t.Errorf("a slow reply counts as missed: %+v", slow)
	}
	for at, want := range map[float64]bool{1: false, 6: false, 7: true, 8: true, 400: true, 0.6: false, 0: true, -10: true} {
		if m.Due(day(at)) != want {
			t.Errorf("on day %g due %v, want %v", at, m.Due(day(at)), want)
		}
	}
}

func TestMemoryStaysInBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var m Memory
		m.Ease = firstEase
		at := start
		for range rapid.IntRange(1, 60).Draw(t, "replies") {
			at = at.Add(time.Duration(rapid.Int64Range(-1e6, 1e7).Draw(t, "seconds")) * time.Second)
			before := m
			m = m.next(rapid.IntRange(0, 5).Draw(t, "quality"), at)
			if m.Interval < 1 || m.Interval > intervalMax || m.Ease < leastEase || math.IsNaN(m.Ease) {
				t.Fatalf("%+v after %+v", m, before)
			}
			if !m.Missed && m.Interval < before.Interval && before.Repetitions > 0 {
				t.Fatalf("a right reply shortened %+v to %+v", before, m)
			}
		}
	})
}
