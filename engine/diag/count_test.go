package diag

import "testing"

func TestCount(t *testing.T) {
	for n, want := range map[int]string{0: "0 lessons", 1: "1 lesson", 22: "22 lessons"} {
		if got := Count(n, "lesson", "lessons"); got != want {
			t.Errorf("Count(%d) = %q, want %q", n, got, want)
		}
	}
}
