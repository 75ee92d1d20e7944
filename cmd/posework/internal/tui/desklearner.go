package tui

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/host/room"
	"posework/engine/diag"
	"posework/grader/records"
	"posework/grader/report"
	"posework/lessons"
)

// learnerScreen shows an instructor one learner's newest attempts.
type learnerScreen struct {
	ctx    context.Context
	in     *room.Instructor
	course *lessons.Course
	name   string

	list   []records.Attempt
	read   bool
	wrong  string
	chosen int
	ask    *question
}

func newLearnerScreen(ctx context.Context, in *room.Instructor, c *lessons.Course, name string) *learnerScreen {
	return &learnerScreen{ctx: ctx, in: in, course: c, name: name}
}

func (s *learnerScreen) Title() string { return "Class: " + s.name }

var learnerKeys = keyTable{
	{goUp, []string{"up"}, "up", "", "one attempt up"},
	{goDown, []string{"down"}, "down", "choose", "one attempt down"},
	{resetAttempt, []string{"r"}, "r", "reset", "reset the chosen attempt: it does not count, and in an examination the learner may hand in again"},
	leaving,
}

func (s *learnerScreen) Keys() keyTable {
	if s.ask != nil {
		return s.ask.keys
	}
	if len(s.list) == 0 {
		return keyTable{leaving}
	}
	return learnerKeys
}

// attemptsRead brings a learner's attempts.
type attemptsRead struct {
	name string
	list []records.Attempt
	err  error
}

// Begin reads the attempts.
func (s *learnerScreen) Begin() tea.Cmd {
	return func() tea.Msg {
		list, err := s.in.Attempts(s.ctx, s.name)
		return attemptsRead{s.name, list, err}
	}
}

func (s *learnerScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	switch msg := msg.(type) {
	case attemptsRead:
		if msg.name != s.name {
			return s, nil
		}
		s.list, s.read, s.wrong = msg.list, true, ""
		if msg.err != nil {
			s.wrong = msg.err.Error()
		}
		s.chosen = max(0, min(s.chosen, len(s.list)-1))
	case ruled:
		return s, s.Begin()
	case tea.KeyMsg:
		return s, s.key(msg)
	}
	return s, nil
}

func (s *learnerScreen) key(msg tea.KeyMsg) tea.Cmd {
	if s.ask != nil {
		return answerTo(&s.ask, msg)
	}
	switch s.Keys().match(msg.String()) {
	case goUp:
		s.chosen = max(0, s.chosen-1)
	case goDown:
		s.chosen = max(0, min(len(s.list)-1, s.chosen+1))
	case leave:
		return send(goBack{})
	case resetAttempt:
		a := s.list[s.chosen]
		s.ask = &question{text: "Reset this attempt of " + s.title(a.Lesson) + "? It will not count.", keys: yesNo("reset it"), yes: func(string) tea.Cmd {
			return rule(func() error { return s.in.Reset(s.ctx, a.ID) })
		}}
	}
	return nil
}

func (s *learnerScreen) title(lesson string) string {
	if l := s.course.Find(lesson); l != nil {
		return l.Title
	}
	return lesson
}

func (s *learnerScreen) View(t *Theme, width, height int) string {
	lines := []string{"", " " + t.heading("Newest attempts that count"), ""}
	switch {
	case !s.read:
		lines = append(lines, " reading the records")
	case s.wrong != "":
		lines = append(lines, " "+t.Bad.Render("!")+" "+s.wrong)
	case len(s.list) == 0:
		lines = append(lines, t.Faint.Render(" none yet"))
	}
	rows := max(1, height-len(lines)-1)
	first := window(0, s.chosen, len(s.list), rows)
	for i := first; i < min(len(s.list), first+rows); i++ {
		a := &s.list[i]
		left := fmt.Sprintf(" %s%s  %s", t.point(i == s.chosen), a.At.Local().Format("02 Jan 15:04"), s.title(a.Lesson))
		if i == s.chosen {
			left = t.Chosen.Render(left)
		}
		verdict := t.Bad.Render(string(a.Verdict))
		if a.Verdict == records.Passed {
			verdict = t.Good.Render(string(a.Verdict))
		}
		lines = append(lines, ends(left, fmt.Sprintf("%s  %s points  %s ", verdict, report.Points(a.Points), findingCount(a.Findings)), width))
	}
	return askedBelow(t, s.ask, strings.Join(lines, "\n"), width, height)
}

// findingCount says how many findings an attempt has.
func findingCount(findings json.RawMessage) string {
	var list []json.RawMessage
	if json.Unmarshal(findings, &list) != nil {
		return ""
	}
	return diag.Count(len(list), "finding", "findings")
}
