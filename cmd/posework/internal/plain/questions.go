package plain

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"posework/cmd/posework/internal/seat"
	"posework/engine/diag"
	"posework/grader/quiz"
	"posework/grader/report"
	"posework/lessons"
)

// questions asks a round of questions, and again what was missed. Who stops goes on
// from there the next time.
func (t *talk) questions(l *lessons.Lesson) error {
	ask, round := seat.Questions(l), t.left[l.ID]
	for {
		if round == nil {
			var list diag.List
			t.round++
			if round, list = t.seat.Round(t.ctx, l, ask, t.round); len(list) > 0 {
				t.say("These questions can't be asked.")
				return report.Diagnostics(t.out, list)
			}
		}
		t.left[l.ID] = round
		for round.Current() != nil {
			stop, err := t.question(l, round)
			if err != nil || stop {
				return err
			}
		}
		delete(t.left, l.ID)
		verdict := "Not passed yet."
		if round.Passed() {
			verdict = "Passed."
		}
		t.say("\n%d of %d right, %d needed. %s", round.Right(), len(round.Sheets), round.Needed(), verdict)
		ask, round = round.Missed(), nil
		if len(ask) == 0 {
			return nil
		}
		for _, q := range ask {
			t.say("Missed: %s", q.Skill)
		}
		again, err := t.ask("m asks again what was missed, enter alone goes back")
		if err != nil || again != "m" {
			return err
		}
	}
}

// question asks the current question of a round. stop says that the learner wants
// no more.
func (t *talk) question(l *lessons.Lesson, round *quiz.Round) (stop bool, err error) {
	sheet := round.Current()
	answer, took, stop, err := t.answer(sheet, fmt.Sprintf("Question %d of %d", len(round.Verdicts)+1, len(round.Sheets)))
	if stop || err != nil {
		return stop, err
	}
	v := round.Answer(answer)
	t.tell(sheet, v)
	if err := t.seat.Answered(t.ctx, l, sheet.Question, v, took); err != nil {
		t.say("%v", err)
	}
	return false, t.fault
}

// answer shows a question below its place among others, and asks until what is
// typed is an answer, or the learner stops. took is how long that was.
func (t *talk) answer(sheet *quiz.Sheet, place string) (a quiz.Answer, took time.Duration, stop bool, err error) {
	t.say("\n%s", place)
	t.para("%s", sheet.Ask)
	t.show(sheet)
	since := t.seat.Now()
	for {
		typed, err := t.ask("Type " + sheet.Hint() + ", or q to stop")
		if err != nil || typed == "q" {
			return a, 0, err == nil, err
		}
		if a, err = sheet.Parse(typed); err == nil {
			return a, t.seat.Now().Sub(since), false, nil
		}
		t.say("%v", err)
	}
}

// show writes what a question offers.
func (t *talk) show(sheet *quiz.Sheet) {
	letter := func(i int) string { return string(rune('a' + i)) }
	switch sheet.Question.Kind {
	case quiz.Match:
		for i, left := range sheet.Options {
			t.say("  %d. %s", i+1, left)
		}
		for i, right := range sheet.Partners {
			t.say("  %s) %s", letter(i), right)
		}
	case quiz.Spot:
		for n, line := range strings.Split(strings.TrimRight(sheet.Question.Program, "\n"), "\n") {
			label := ""
			if i := slices.Index(sheet.Lines, n+1); i >= 0 {
				label = "step " + sheet.Options[i]
			}
			t.say("%s", strings.TrimRight(fmt.Sprintf("  %-12s %s", label, line), " "))
		}
	default:
		for i, option := range sheet.Options {
			t.say("  %s) %s", letter(i), option)
		}
	}
}

// tell writes the verdict with its explanation.
func (t *talk) tell(sheet *quiz.Sheet, v quiz.Verdict) {
	if v.Right {
		t.say("Right: %s", v.Want)
	} else {
		t.say("Not right. You answered: %s\nRight is: %s", v.Given, v.Want)
	}
	for _, note := range v.Notes {
		t.para("%s", "- "+note)
	}
	t.para("%s", sheet.Because)
	t.para("%s", "Source: "+strings.TrimSuffix(sheet.Question.Source, ".")+".")
}
