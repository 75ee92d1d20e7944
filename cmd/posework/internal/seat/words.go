package seat

import (
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"

	"posework/grader/quiz"
	"posework/grader/report"
	"posework/lessons"
)

// Matches reports whether a lesson has every word of what is searched for in
// its title, module, id or objectives.
func Matches(l *lessons.Lesson, find string) bool {
	return HasWords(l.Title+" "+l.Module+" "+l.ID+" "+strings.Join(l.Objectives, " "), find)
}

// HasWords reports whether text has every word of what is searched for.
func HasWords(text, find string) bool {
	text = strings.ToLower(text)
	for _, word := range strings.Fields(strings.ToLower(find)) {
		if !strings.Contains(text, word) {
			return false
		}
	}
	return true
}

// Number is a lesson's place in the course, from 1.
func (s *Seat) Number(l *lessons.Lesson) int { return slices.Index(s.Course.Lessons, l) + 1 }

// State is where the learner stands with a lesson, in a word or two.
func (s *Seat) State(l *lessons.Lesson, st Standing) string {
	switch st.State {
	case Passed:
		if l.Task == nil {
			return "passed"
		}
		return "passed " + report.Points(st.Best)
	case Started:
		if st.Attempts == 0 {
			return "started"
		}
		return "started " + report.Points(st.Best)
	case Waits:
		var before []string
		for _, first := range st.First {
			before = append(before, strconv.Itoa(s.Number(first)))
		}
		return "after " + strings.Join(before, ", ")
	}
	return "open"
}

// Progress says in a sentence what was done of a lesson.
func Progress(l *lessons.Lesson, st Standing) string {
	var parts []string
	if l.Task != nil {
		switch {
		case st.Attempts == 0:
			parts = append(parts, "program not handed in yet")
		case st.TaskPassed:
			parts = append(parts, "program passed, best "+report.Points(st.Best))
		case st.Attempts == 1:
			parts = append(parts, "program not passed yet, "+report.Points(st.Best)+" in 1 attempt")
		default:
			parts = append(parts, fmt.Sprintf("program not passed yet, best %s in %d attempts", report.Points(st.Best), st.Attempts))
		}
	}
	if st.Questions > 0 {
		parts = append(parts, fmt.Sprintf("%d of %d questions right, %d needed", st.Right, st.Questions, quiz.Needed(st.Questions)))
	}
	if len(parts) == 0 {
		return ""
	}
	text := strings.Join(parts, "; ")
	return strings.ToUpper(text[:1]) + text[1:] + "."
}

// Expand turns "" into the current folder and a leading ~ into the user's own.
func Expand(path string) string {
	if path == "" {
		return "."
	}
	if rest, ok := strings.CutPrefix(path, "~"); ok && (rest == "" || rest[0] == '/') {
		if home, err := os.UserHomeDir(); err == nil {
			return home + rest
		}
	}
	return path
}
