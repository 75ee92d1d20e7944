package refresher

import (
	"fmt"
	"testing"
)

func TestSitting(t *testing.T) {
	tests := []struct {
		name    string
		ids     []string
		needed  float64
		replies string // of each question in the order asked: + or -
		order   string
		missed  string
		points  float64
		passed  bool
	}{
		{"all right", []string{"a", "b", "c"}, 100, "+++", "abc", "[]", 100, true},
		{"a miss is asked again", []string{"a", "b", "c"}, 100, "-+++", "abca", "[a]", 100, true},
		{"missed twice", []string{"a", "b", "c", "d"}, 100, "+-++-", "abcdb", "[b]", 75, false},
		{"exactly the pass mark", []string{"a", "b", "c", "d"}, 75, "+-++-", "abcdb", "[b]", 75, true},
		{"all wrong", []string{"a", "b"}, 100, "----", "abab", "[a b]", 0, false},
		{"given up half-way", []string{"a", "b"}, 50, "+", "a", "[]", 50, true},
		{"nothing asked", nil, 0, "", "", "[]", 0, false},
	}
	for _, tt := range tests {
		s := NewSitting(tt.ids, tt.needed)
		order := ""
		for i := range tt.replies {
			at, again := s.Next()
			if at < 0 {
				t.Fatalf("%s: ended after %s", tt.name, order)
			}
			if want := len(order) >= len(tt.ids); again != want {
				t.Errorf("%s: question %d again is %v", tt.name, i, again)
			}
			order += tt.ids[at]
			s.Reply(tt.replies[i] == '+')
		}
		r := s.Result()
		if order != tt.order || fmt.Sprint(r.Missed) != tt.missed || r.Points != tt.points || r.Passed() != tt.passed || fmt.Sprint(r.Asked) != fmt.Sprint(tt.ids) {
			t.Errorf("%s: order %s, result %+v passed %v, want %s, missed %s, %v points, passed %v", tt.name, order, r, r.Passed(), tt.order, tt.missed, tt.points, tt.passed)
		}
		if at, _ := s.Next(); tt.name != "given up half-way" && at != -1 {
			t.Errorf("%s: goes on with %d", tt.name, at)
		}
	}
	s := NewSitting([]string{"a"}, 100)
	s.Reply(true)
	s.Reply(false) // after the end: does nothing
	if !s.Result().Passed() {
		t.Error("a reply after the end changed the result")
	}
}
