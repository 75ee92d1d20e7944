package seat

import (
	"fmt"
	"regexp"
	"strings"

	"posework/cmd/posework/internal/marking"
	"posework/grader"
	"posework/grader/report"
	"posework/lessons"
)

// Page is a whole lesson as Markdown: cautions first, then objectives, text,
// task and sources. Questions are not part of it.
func Page(l *lessons.Lesson) string {
	var parts []string
	for _, part := range []string{Opening(l), Body(l), Task(l), Sources(l)} {
		if part != "" {
			parts = append(parts, part)
		}
	}
	return strings.Join(parts, "\n\n") + "\n"
}

var comment = regexp.MustCompile(`(?s)<!--.*?-->`)

// Body is a lesson's text without the notes to its next editor.
func Body(l *lessons.Lesson) string {
	return strings.TrimSpace(comment.ReplaceAllString(l.Body, ""))
}

// Opening is what stands before a lesson's text: title, cautions, objectives.
func Opening(l *lessons.Lesson) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# %s\n\n", l.Title)
	fmt.Fprintf(&b, "%s, %d minutes\n", l.Module, l.Minutes)
	list(&b, "Caution", l.Cautions)
	list(&b, "You can afterwards", l.Objectives)
	return strings.TrimSpace(b.String())
}

// Task is the task with everything that is measured, "" for a lesson without
// one.
func Task(l *lessons.Lesson) string {
	t := l.Task
	if t == nil {
		return ""
	}
	var b strings.Builder
	fmt.Fprintf(&b, "## The task\n\n%s\n\n%s\n", lines(t.Goal), lines(Mode(t)))
	if own := OwnCell(l); own != "" {
		fmt.Fprintf(&b, "\n%s\n", lines(own))
	}
	b.WriteString("\n## What is measured\n\n")
	for i := range t.Checks {
		item(&b, Asked(&t.Checks[i]))
	}
	fmt.Fprintf(&b, "\n%s\n", lines(PassRule(t)))
	return strings.TrimSpace(b.String())
}

// Asked is what a check of a task asks for, with what it is worth.
func Asked(it *grader.Item) string {
	weight := report.Points(it.Points) + " points"
	switch {
	case it.Must && it.Points == 0:
		weight = "must hold"
	case it.Must:
		weight += ", must hold"
	}
	return it.Check.Title() + " (" + weight + ")"
}

// PassRule says what passes a task.
func PassRule(t *grader.Task) string {
	return report.Points(t.Pass) + " of 100 points pass. A check that must hold fails the attempt when it is missed, whatever the points."
}

// Mode says in which operating mode a task is.
func Mode(t *grader.Task) string {
	if t.Mode == grader.Automatic {
		return "Operating mode: automatic, with the speeds that the checks allow."
	}
	return "Operating mode: manual at reduced speed, at most 250 mm/s."
}

// OwnCell tells what is the learner's own in the cell, or for a lesson as written
// what differs from learner to learner; "" when nothing does.
func OwnCell(l *lessons.Lesson) string {
	if len(l.Own) > 0 {
		return "Your own cell: " + report.Owns(marking.Own(l)) + ". Other learners have other numbers. A pose that is written in the frame fits them all."
	}
	if l.Task == nil || len(l.Task.Vary) == 0 {
		return ""
	}
	ranges := make([]string, len(l.Task.Vary))
	for i := range l.Task.Vary {
		v := &l.Task.Vary[i]
		ranges[i] = fmt.Sprintf("%s from %g to %g %s", v.Key, v.Min, v.Max, v.Unit())
	}
	return "Each learner has a cell of their own: " + strings.Join(ranges, ", ") + "."
}

// Sources are the sources of a lesson, "" when it names none.
func Sources(l *lessons.Lesson) string {
	var b strings.Builder
	list(&b, "Sources", l.Sources)
	return strings.TrimSpace(b.String())
}

func list(b *strings.Builder, title string, items []string) {
	if len(items) == 0 {
		return
	}
	fmt.Fprintf(b, "\n## %s\n\n", title)
	for _, text := range items {
		item(b, text)
	}
}

func item(b *strings.Builder, text string) {
	fmt.Fprintf(b, "- %s\n", strings.TrimLeft(report.Wrap(text, "  ", report.Width), " "))
}

func lines(text string) string { return report.Wrap(text, "", report.Width) }
