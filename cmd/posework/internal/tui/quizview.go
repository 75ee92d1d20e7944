package tui

import (
	"fmt"
	"strings"

	"posework/grader/report"
)

func (s *quizScreen) View(t *Theme, width, height int) string {
	column := min(width, widest)
	switch {
	case len(s.trouble) > 0:
		return untold(t, s.trouble, column)
	case s.phase == preparing:
		return "\n Drawing the questions."
	case s.phase == over:
		return s.overView(t, column)
	case s.phase == told:
		return answered(t, s.question.sheet, &s.verdict, s.place(column), column)
	}
	return s.question.view(t, s.place(column), column, height)
}

// place says where in the round the question stands.
func (s *quizScreen) place(width int) string {
	n := len(s.round.Verdicts)
	if s.phase == asking {
		n++
	}
	place := fmt.Sprintf(" Question %d of %d", n, len(s.round.Sheets))
	if s.number > 0 {
		place += ", what was missed"
	}
	return ends(place, fmt.Sprintf("%d right", s.round.Right()), width-1)
}

func (s *quizScreen) overView(t *Theme, width int) string {
	right, of := s.round.Right(), len(s.round.Sheets)
	lines := []string{"", fmt.Sprintf(" %d of %d right, %d needed.", right, of, s.round.Needed())}
	if s.round.Passed() {
		lines[1] += "  " + t.Good.Render("Passed.")
	} else {
		lines[1] += "  " + t.Bad.Render("Not passed yet.")
	}
	missed := s.round.Missed()
	if len(missed) > 0 {
		lines = append(lines, "", " Missed:")
		for _, q := range missed {
			lines = append(lines, bullet(" "+t.Dot, q.Skill, width))
		}
		lines = append(lines, "", report.Wrap("m asks these again, with other numbers and in another order. What counts is the newest answer to each question.", " ", width))
	}
	return strings.Join(lines, "\n")
}
