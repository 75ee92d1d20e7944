package rehearsal

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"posework/grader"
	"posework/lessons"
)

var (
	into     = flag.String("into", "", "folder into which TestWrite writes a class")
	programs = flag.Int("programs", 10_000, "how many programs TestWrite writes")
)

func course(t testing.TB) *lessons.Course {
	t.Helper()
	c, l := lessons.Load(lessons.Embedded(), ".")
	if len(l) > 0 {
		t.Fatal(l)
	}
	return c
}

// The programs are like those of a class: of twenty steps each, nearly all
// readable, some passed, most with one or two of many mistakes.
func TestClassIsLikely(t *testing.T) {
	c := course(t)
	const n = 160
	passed, ungraded := 0, 0
	codes := map[string]bool{}
	seen := map[string]bool{}
	for h := range Class(c, lessons.Embedded(), Lessons(), n, 7) {
		if got := bytes.Count(h.Text, []byte("\n  - {")); got != Steps {
			t.Fatalf("%s's program has %d steps:\n%s", h.Learner, got, h.Text)
		}
		seen[string(h.Text)] = true
		l := c.Find(h.Lesson).For(h.Learner)
		m, errs := grader.Grade(l.Cell, l.Task, "a.yaml", h.Text, grader.Options{})
		if len(errs) > 0 {
			ungraded++
			continue
		}
		if m.Passed {
			passed++
		}
		for i := range m.Findings {
			codes[m.Findings[i].Code] = true
		}
	}
	t.Logf("of %d programs %d passed, %d could not be graded; %d kinds of findings", n, passed, ungraded, len(codes))
	if passed < n/8 || passed > n*7/8 || ungraded > n/8 || len(codes) < 12 || len(seen) != n {
		t.Errorf("of %d programs, %d different, %d passed, %d could not be graded; findings %v", n, len(seen), passed, ungraded, codes)
	}
}

func TestClassIsTheSame(t *testing.T) {
	c := course(t)
	list := func(seed uint64) string {
		var b strings.Builder
		for h := range Class(c, lessons.Embedded(), Lessons(), 40, seed) {
			fmt.Fprintf(&b, "%s %s\n%s", h.Learner, h.Lesson, h.Text)
		}
		return b.String()
	}
	if first, again := list(1), list(1); first != again || first == list(2) {
		t.Error("a class does not follow from its seed")
	}
}

// TestWrite writes a class for measuring posework class:
//
//	go test ./cmd/posework/internal/rehearsal -run Write -into DIR -programs 10000
func TestWrite(t *testing.T) {
	if *into == "" {
		t.Skip("no folder to write into")
	}
	for h := range Class(course(t), lessons.Embedded(), []string{"approach-the-crate"}, *programs, 1) {
		if err := os.WriteFile(filepath.Join(*into, h.Learner+".yaml"), h.Text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
