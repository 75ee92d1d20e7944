package refresher

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// deck makes questions of one minute from "a b* c": a star marks a spot question.
func deck(ids ...string) []Question {
	var list []Question
	for _, id := range ids {
		spot := id[len(id)-1] == '*'
		list = append(list, Question{ID: id, Time: time.Minute, Spot: spot})
	}
	return list
}

func TestPick(t *testing.T) {
	now := day(100)
	ago := func(days float64, interval int, missed bool) Memory {
		return Memory{Repetitions: 1, Interval: interval, Ease: 2.5, Last: day(100 - days), Missed: missed}
	}
	tests := []struct {
		name    string
		deck    []Question
		memory  map[string]Memory
		longest time.Duration
		want    string
	}{
		{"all new, in order", deck("a", "b", "s*", "c", "d", "e"), nil, 0, "[s*:new a:new b:new c:new d:new]"},
		{"one new, then missed, due, new and early ones", deck("early", "new", "due", "missed", "s*", "more"),
			map[string]Memory{"early": ago(1, 6, false), "due": ago(8, 6, false), "missed": ago(1, 1, true), "s*": ago(3, 6, false)}, 0,
			"[s*:not due yet new:new missed:missed last time due:due more:new]"},
		{"the longer due first", deck("a", "b", "s*"),
			map[string]Memory{"a": ago(3, 1, false), "b": ago(41, 38, false)}, 0, "[s*:new b:due a:due]"},
		{"missed has a head start of 14 days", deck("a", "b", "m", "s*"),
			map[string]Memory{"a": ago(21, 6, false), "b": ago(19, 6, false), "m": ago(1, 1, true)}, 0,
			"[s*:new a:due m:missed last time b:due]"},
		{"nearest to due first, for its interval", deck("a", "b", "s*"),
			map[string]Memory{"a": ago(1, 15, false), "b": ago(1, 6, false), "s*": ago(6, 6, false)}, 0, "[s*:due b:not due yet a:not due yet]"},
		{"missed today is not asked before tomorrow", deck("a", "b", "s*"),
			map[string]Memory{"a": ago(0.2, 1, true)}, 2 * time.Minute, "[s*:new b:new]"},
		{"the most urgent of the spot questions", deck("s*", "t*", "a"),
			map[string]Memory{"s*": ago(1, 6, false), "t*": ago(1, 1, true)}, time.Minute, "[t*:missed last time]"},
		{"replies ahead of now make it due", deck("s*", "b", "a"),
			map[string]Memory{"a": ago(-400, 6, false), "s*": ago(1, 6, false), "b": ago(5, 6, false)}, 2 * time.Minute, "[s*:not due yet a:due]"},
		{"what is too long is passed over", []Question{{"long", 5 * time.Minute, false}, {"s*", time.Minute, true}, {"x*", 6 * time.Minute, true}, {"a", 4 * time.Minute, false}}, nil, 0,
			"[s*:new a:new]"},
		{"exactly five minutes fit", []Question{{"s*", 2 * time.Minute, true}, {"a", 3 * time.Minute, false}}, nil, 0, "[s*:new a:new]"},
	}
	for _, tt := range tests {
		got, err := Pick(tt.deck, tt.memory, now, tt.longest)
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
		}
		var words []string
		for _, c := range got {
			words = append(words, c.ID+":"+c.Why.String())
			if tt.deck[c.At] != c.Question {
				t.Errorf("%s: %s is not at %d", tt.name, c.ID, c.At)
			}
		}
		if s := fmt.Sprint(words); s != tt.want {
			t.Errorf("%s: %s, want %s", tt.name, s, tt.want)
		}
	}
	for _, d := range [][]Question{nil, deck("a"), {{"s*", 6 * time.Minute, true}}} {
		if got, err := Pick(d, nil, now, 0); err == nil {
			t.Errorf("Pick(%v) = %v, want an error: no spot question fits", d, got)
		}
	}
}

func TestPickAlwaysKeepsItsPromises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "n")
		memory := map[string]Memory{}
		var d []Question
		for i := range n {
			q := Question{ID: fmt.Sprint(i), Time: time.Duration(rapid.IntRange(5, 200).Draw(t, "s")) * time.Second, Spot: i == 0 || rapid.Bool().Draw(t, "spot")}
			d = append(d, q)
			if rapid.Bool().Draw(t, "asked") {
				memory[q.ID] = Memory{Repetitions: rapid.IntRange(0, 3).Draw(t, "reps"), Interval: rapid.IntRange(1, 99).Draw(t, "interval"), Ease: 2.5,
					Last: day(float64(rapid.IntRange(-5, 120).Draw(t, "last"))), Missed: rapid.Bool().Draw(t, "missed")}
			}
		}
		got, err := Pick(d, memory, day(100), 0)
		if err != nil {
			t.Fatal(err)
		}
		var sum time.Duration
		spot := false
		seen := map[int]bool{}
		for _, c := range got {
			sum += c.Time
			spot = spot || c.Spot
			if seen[c.At] {
				t.Fatalf("%s is asked twice", c.ID)
			}
			seen[c.At] = true
		}
		if sum > Longest || !spot {
			t.Fatalf("%v long, spot question: %v", sum, spot)
		}
		for i, q := range d { // nothing more would fit
			if !seen[i] && sum+q.Time <= Longest {
				t.Fatalf("%s (%v) would still fit into %v", q.ID, q.Time, sum)
			}
		}
		again, err := Pick(d, memory, day(100), 0)
		if err != nil || !slices.Equal(got, again) {
			t.Fatalf("the same arguments gave another deck: %v, %v", again, err)
		}
	})
}

func TestFourQuestionsFillFiveMinutes(t *testing.T) {
	if got := TimeFor(true) + 3*TimeFor(false); got != Longest {
		t.Errorf("four questions take %v, want %v", got, Longest)
	}
}
