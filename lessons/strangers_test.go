package lessons

import (
	"fmt"
	"strings"
	"testing"

	"posework/grader"
)

// Lessons from strangers that would exhaust the machine: each is refused with an
// error that names the limit.
func TestBombs(t *testing.T) {
	many := func(n int, text string) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, text, i)
		}
		return b.String()
	}
	cell := func(section string) string { return "cell:\n  arm: hazel\n  floor: none\n" + section }
	for _, tt := range []struct{ name, extra, want string }{
		{"solids", cell("  solids: [" + many(600, "{name: s%d, box: [1, 1, 1], xyz: [0, 0, 0]}, ") + "]\n"), "at most 500 are read (C005)"},
		{"zones and parts", cell("  zones: [" + many(300, "{name: z%d, box: [1, 1, 1], xyz: [0, 0, 0], rule: keep-out}, ") + "]\n  parts: [" + many(300, "{name: p%d, box: [1, 1, 1], xyz: [0, 0, 0], mass: 1 kg}, ") + "]\n"), "at most 500 are read (C005)"},
		{"events", cell("  signals: {a: output}\n  events: [" + many(600, "{when: {a: on}, then: {a: off}, after: 0.%d s}, ") + "]\n"), "at most 500 are read (C005)"},
		{"a million solids", cell("  solids: [" + many(1_000_000, "{name: s%d}, ") + "]\n"), "the greatest size of a lesson (T102)"},
		{"a hundred thousand values", cell("  solids: [" + strings.Repeat("1,", 100_000) + "1]\n"), "more than 50000 keys and values"},
		{"deep", "cell: " + strings.Repeat("[", 10_000) + strings.Repeat("]", 10_000) + "\n", "deeper than 60"},
		{"aliases", "cell: &a {x: 1}\ntask: *a\n", "(F008)"},
		{"checks", cell("") + "task:\n  goal: x\n  checks: [" + strings.Repeat("{check: reach}, ", 101) + "]\n", "at most 100 are read (T015)"},
		{"questions", "quiz:\n" + many(201, "- {id: q%d, kind: one, ask: x?, right: a, wrong: [b], because: c, source: d, skill: e}\n"), "at most 200 are read (Q015)"},
		{"a range", cell("  solids: [{name: s, box: [1, 1, 1], xyz: [0, 0, 0]}]\n") + "task:\n  goal: x\n  checks: [{check: reach}]\n  vary: {s.x: [0, 90000, 0.001]}\n", "(T004)"},
		{"uses itself", "cell: {use: ../cells/itself.yaml}\n", "(C002)"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, l := load(t, map[string]string{"a/lesson.md": lessonText("a", tt.extra), "cells/itself.yaml": "cell: {use: itself.yaml}\n"})
			if len(c.Lessons) > 0 {
				t.Fatal("it is taken")
			}
			said := ""
			for _, d := range l {
				said += fmt.Sprintf("%s: %s (%s)\n", d.Pos, d.Text, d.Code)
			}
			if !strings.Contains(said, tt.want) || len(l) > 700 {
				t.Errorf("%d diagnostics, none with %q:\n%.600s", len(l), tt.want, said)
			}
		})
	}
}

// Answers that would run for ever are refused too.
func TestRepeatBombs(t *testing.T) {
	lesson := tasks(t)[0]
	head := "posework: program/1\nposes:\n  a: {axes: [0, -4, 29, 0, 65, 0]}\n  b: {axes: [9, -4, 29, 0, 65, 0]}\nsteps:\n"
	move := "{to: a, path: joint, speed: 9 %, end: stop}"
	for _, tt := range []struct{ name, text, want string }{
		{"nested", "- " + strings.Repeat("{repeat: 1000, steps: [", 6) + move + strings.Repeat("]}", 6) + "\n", "10000 steps"},
		{"routines", "- {call: r0}\nroutines:\n" + func() (s string) {
			for i := range 30 {
				s += fmt.Sprintf("  r%d: [{call: r%d}, {call: r%d}]\n", i, i+1, i+1)
			}
			return s + "  r30: [" + move + "]\n"
		}(), "10000 steps"},
		{"each other", "- {call: x}\nroutines: {x: [{call: y}], y: [{call: x}]}\n", "call"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m, l := grader.Grade(lesson.Cell, lesson.Task, "p.yaml", []byte(head+tt.text), grader.Options{})
			if m != nil || len(l) == 0 || !strings.Contains(strings.ReplaceAll(l.Error(), ",", ""), tt.want) {
				t.Errorf("got %v, want %q", l, tt.want)
			}
		})
	}
}

// A lesson's text that gives orders to a terminal is refused; HTML is text like
// any other, and nothing runs it.
func TestTextThatGivesOrders(t *testing.T) {
	for text, want := range map[string]string{
		"\x1b]0;owned\x07":            "a/lesson.md:16:11: this is an invisible character (U+001B)",
		"\u009b2J":                    "(U+009B)",
		"\u202etxet":                  "(U+202E)",
		"\xff\xfe":                    "a/lesson.md:16:1: this line is no UTF-8 text",
		"<script>alert(1)</script>":   "",
		"Ärger 起動, one tab\tand CR\r": "",
	} {
		_, l := load(t, map[string]string{"a/lesson.md": lessonText("a", "") + "\nSome text " + text + "\n"})
		if want == "" && len(l) > 0 || want != "" && (len(l) != 1 || l[0].Code != "T109" || !strings.Contains(l[0].String(), want)) {
			t.Errorf("%q: got %v, want %q", text, l, want)
		}
	}
}
