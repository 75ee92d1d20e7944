package tui

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"posework/grader/quiz"
	"posework/grader/report"
)

func (s *quizScreen) View(t *Theme, width, height int) string {
	column := min(width, widest)
	switch {
	case len(s.trouble) > 0:
		lines := []string{"", " " + t.Bad.Render("These questions can't be asked."), ""}
		for _, d := range s.trouble {
			lines = append(lines, report.Wrap(d.String(), " ", column))
		}
		return strings.Join(lines, "\n")
	case s.phase == preparing:
		return "\n Drawing the questions."
	case s.phase == over:
		return s.overView(t, column)
	case s.phase == told:
		return s.toldView(t, column)
	}
	return s.askView(t, column, height)
}

// askHead is the place in the round and the question.
func (s *quizScreen) askHead(t *Theme, width int) []string {
	sheet := s.sheetNow()
	n := len(s.round.Verdicts)
	if s.phase == asking {
		n++
	}
	place := fmt.Sprintf(" Question %d of %d", n, len(s.round.Sheets))
	if s.number > 0 {
		place += ", what was missed"
	}
	lines := []string{t.Faint.Render(ends(place, fmt.Sprintf("%d right", s.round.Right()), width-1)), ""}
	for _, line := range strings.Split(report.Wrap(sheet.Ask, "", width-2), "\n") {
		lines = append(lines, " "+t.Title.Render(line))
	}
	return append(lines, "")
}

func (s *quizScreen) askView(t *Theme, width, height int) string {
	sheet := s.round.Current()
	lines := s.askHead(t, width)
	var answer []string
	var at int // line of the chosen option
	switch sheet.Question.Kind {
	case quiz.Number:
		unit := ""
		if !strings.ContainsFunc(s.text.Value(), unicode.IsLetter) { // else it was typed
			unit = " " + sheet.Question.Unit
		}
		answer = []string{"   " + s.text.View(t, 42) + t.Faint.Render(unit)}
	case quiz.Spot:
		answer, at = s.program(t, sheet)
	case quiz.Match:
		answer, at = s.pairs(t, sheet, width)
	default:
		answer, at = s.options(t, sheet, width)
	}
	foot := []string{"", " " + t.Faint.Render("Answer: "+s.how(sheet))}
	if s.wrong != "" {
		foot[1] = " " + t.Warn.Render(s.wrong)
	}
	rows := max(1, height-len(lines)-len(foot))
	first := window(0, min(at+1, len(answer)-1), len(answer), rows) // the line after the chosen one stays in sight
	if below := len(answer) - first - rows; below > 0 && s.wrong == "" {
		foot[1] += t.Faint.Render(fmt.Sprintf(" (%s below)", report.Count(below, "more line", "more lines")))
	}
	lines = append(lines, answer[first:min(len(answer), first+rows)]...)
	return strings.Join(append(lines, foot...), "\n")
}

// how says how the question is answered on this screen.
func (s *quizScreen) how(sheet *quiz.Sheet) string {
	switch sheet.Question.Kind {
	case quiz.One:
		return "choose one, then enter"
	case quiz.Many:
		return "mark all that apply, then enter"
	case quiz.Order:
		return "press the letters in the right order, then enter"
	case quiz.Match:
		return "give each line the letter of its partner below, then enter"
	case quiz.Spot:
		return "mark every unsafe step, then enter"
	}
	return "type " + sheet.Hint() + ", then enter"
}

func letter(i int) string { return string(rune('a' + i)) }

// options draws the options of One, Many and Order, and tells the line of the
// chosen one.
func (s *quizScreen) options(t *Theme, sheet *quiz.Sheet, width int) (lines []string, at int) {
	for i, option := range sheet.Options {
		mark := ""
		switch sheet.Question.Kind {
		case quiz.Many:
			mark = t.Markers.Off + " "
			if slices.Contains(s.taken, i) {
				mark = t.Markers.On + " "
			}
		case quiz.Order:
			mark = "    "
			if place := slices.Index(s.taken, i); place >= 0 {
				mark = fmt.Sprintf("%2d. ", place+1)
			}
		}
		head := " " + t.point(i == s.chosen) + mark + letter(i) + " "
		text := strings.Split(bullet(head, option, width), "\n")
		if i == s.chosen {
			at = len(lines)
			for k := range text {
				text[k] = t.Chosen.Render(text[k])
			}
		}
		lines = append(lines, text...)
	}
	return lines, at
}

// pairs draws the left sides with the letters that they were given, and the
// right sides below.
func (s *quizScreen) pairs(t *Theme, sheet *quiz.Sheet, width int) (lines []string, at int) {
	for i, left := range sheet.Options {
		given := "_"
		if s.taken[i] >= 0 {
			given = letter(s.taken[i])
		}
		line := fmt.Sprintf(" %s%s  %s", t.point(i == s.chosen), given, left)
		if i == s.chosen {
			at = len(lines)
			line = t.Chosen.Render(line)
		}
		lines = append(lines, line)
	}
	lines = append(lines, "")
	for i, right := range sheet.Partners {
		lines = append(lines, strings.Split(bullet("     "+letter(i)+" ", right, width), "\n")...)
	}
	return lines, at
}

// program draws the program of a Spot question with its steps to mark, and tells
// the line of the chosen one.
func (s *quizScreen) program(t *Theme, sheet *quiz.Sheet) (lines []string, at int) {
	for n, text := range strings.Split(strings.TrimRight(sheet.Question.Program, "\n"), "\n") {
		i := slices.Index(sheet.Lines, n+1)
		if i < 0 {
			lines = append(lines, t.Faint.Render("       "+printable(text)))
			continue
		}
		mark := t.Markers.Off
		if slices.Contains(s.taken, i) {
			mark = t.Markers.On
		}
		line := " " + t.point(i == s.chosen) + mark + " " + printable(text)
		if i == s.chosen {
			at = n
			line = t.Chosen.Render(line)
		}
		lines = append(lines, line)
	}
	return lines, at
}

func (s *quizScreen) toldView(t *Theme, width int) string {
	sheet := s.sheetNow()
	lines := s.askHead(t, width)
	add := func(text string) { lines = append(lines, strings.Split(report.Wrap(text, " ", width), "\n")...) }
	if s.verdict.Right {
		lines = append(lines, " "+t.Good.Render("Right."))
	} else {
		lines = append(lines, " "+t.Bad.Render("Not right."))
		if len(s.verdict.Wants) > 1 {
			lines = append(lines, " Right is:")
		} else {
			add("You answered: " + s.verdict.Given)
			add("Right is: " + s.verdict.Want)
		}
	}
	if len(s.verdict.Wants) > 1 {
		for i, part := range s.verdict.Wants {
			mark := " " + t.Dot
			if sheet.Question.Kind == quiz.Order {
				mark = fmt.Sprintf(" %d.", i+1)
			}
			lines = append(lines, strings.Split(bullet(mark, part, width), "\n")...)
		}
	} else if s.verdict.Right {
		add(s.verdict.Want)
	}
	for _, note := range s.verdict.Notes {
		lines = append(lines, strings.Split(bullet(" "+t.Dot, note, width), "\n")...)
	}
	lines = append(lines, "")
	add(sheet.Because)
	lines = append(lines, "")
	for _, line := range strings.Split(report.Wrap(sourceLine(sheet.Question), " ", width), "\n") {
		lines = append(lines, t.Faint.Render(line))
	}
	return strings.Join(lines, "\n")
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
