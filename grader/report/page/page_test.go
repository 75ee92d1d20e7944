package page

import (
	"bytes"
	"io"
	"iter"
	"os"
	"strings"
	"testing"

	"posework/engine/cell"
	"posework/engine/diag"
	"posework/engine/source"
	"posework/grader"
	"posework/grader/report"
)

// bench is a cell with a task: those of the grader's own tests.
type bench struct {
	cell *cell.Cell
	task *grader.Task
}

func read(t testing.TB, name string) string {
	t.Helper()
	b, err := os.ReadFile("../../testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func newBench(t testing.TB, edits ...string) *bench {
	t.Helper()
	var l diag.List
	c := cell.Decode(source.Parse("cell.yaml", []byte(swap(t, read(t, "cell.yaml"), edits...)), 1, &l), cell.Options{})
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	task := grader.DecodeTask(source.Parse("task.yaml", []byte(read(t, "pick_task.yaml")), 1, &l), c)
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	return &bench{c, task}
}

// attempt grades a program.
func (b *bench) attempt(t testing.TB, number int, learner, file, text string) *Attempt {
	t.Helper()
	a := &Attempt{Number: number, Learner: learner, File: file, Lesson: Lesson{ID: "move-the-bar", Title: "Move the bar", Goal: b.task.Goal}}
	a.Exam, a.Errors = grader.Prepare(b.cell, b.task, file, []byte(text), grader.Options{})
	if a.Exam != nil {
		a.Mark = grader.Examine(a.Exam)
	}
	return a
}

// swap replaces words of a text that stand in it.
func swap(t testing.TB, text string, pairs ...string) string {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			t.Fatalf("%q is not in the text", pairs[i])
		}
		text = strings.ReplaceAll(text, pairs[i], pairs[i+1])
	}
	return text
}

// class is a small class: a good program, one that is too fast and too near, a
// file that can't be read, and a program that comes to a halt.
func class(t testing.TB) []*Attempt {
	t.Helper()
	b := newBench(t)
	good := read(t, "pick.yaml")
	return []*Attempt{
		b.attempt(t, 1, "Ada Quill", "ada.yaml", good),
		b.attempt(t, 2, "Ben Marsh", "ben.yaml", swap(t, good,
			"speed: 9 %, end: stop}  # s8.", "speed: 70 %, end: stop}  # s8.",
			"speed: 80 mm/s, end: stop}  # s9.", "speed: 400 mm/s, end: stop}  # s9.")),
		b.attempt(t, 3, "Cem Orr", "cem.yaml", swap(t, good, "speed: 80 mm/s", "speed: 80")),
		b.attempt(t, 4, "", "no-name.yaml", swap(t, good, "bin-over, path: line", "far, path: line",
			"poses:\n", "poses:\n  far: {xyz: [900, 260, 300], rpy: [180, 0, 0]}\n")),
	}
}

// rowOf is the row of an attempt.
func rowOf(a *Attempt) Row {
	r := Row{Learner: a.Learner, File: a.File}
	if a.Mark == nil {
		return r
	}
	r.Graded, r.Passed, r.Points, r.Pass = true, a.Mark.Passed, a.Mark.Points, a.Mark.Pass
	for i := range a.Mark.Findings {
		r.Findings = report.AddFound(r.Findings, a.Mark.Findings[i].Code)
	}
	return r
}

func document(t testing.TB, attempts []*Attempt) string {
	t.Helper()
	c := &Class{Title: "Tuesday, early shift"}
	if len(attempts) > 0 {
		c.Lesson = attempts[0].Lesson
	}
	for _, a := range attempts {
		c.Rows = append(c.Rows, rowOf(a))
	}
	var b strings.Builder
	if err := c.Write(&b, sections(attempts)); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func sections(attempts []*Attempt) iter.Seq2[io.Reader, error] {
	return func(yield func(io.Reader, error) bool) {
		for _, a := range attempts {
			var b bytes.Buffer
			err := Section(&b, a)
			if !yield(&b, err) {
				return
			}
		}
	}
}
