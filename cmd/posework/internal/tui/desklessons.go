package tui

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/host/room"
	"posework/cmd/posework/internal/seat"
)

// deskLessonsScreen opens and closes lessons, and begins an examination.
type deskLessonsScreen struct {
	ctx  context.Context
	seat *seat.Seat
	in   *room.Instructor

	state  room.State
	chosen int
	ask    *question
}

func newDeskLessonsScreen(ctx context.Context, s *seat.Seat, in *room.Instructor) *deskLessonsScreen {
	return &deskLessonsScreen{ctx: ctx, seat: s, in: in}
}

func (s *deskLessonsScreen) Title() string { return "Class: lessons" }

var deskLessonsKeys = keyTable{
	{goUp, []string{"up"}, "up", "", "one lesson up"},
	{goDown, []string{"down"}, "down", "choose", "one lesson down"},
	{openOrClose, []string{"o"}, "o", "open/close", "close the chosen lesson for everybody, or open it again"},
	{beginExam, []string{"x"}, "x", "examine", "begin an examination in the chosen lesson: no hints, own cells, one program, until a time"},
	endExamKey,
	leaving,
}

func (s *deskLessonsScreen) Keys() keyTable {
	if s.ask != nil {
		return s.ask.keys
	}
	if s.state.Exam == nil {
		return slices.DeleteFunc(slices.Clone(deskLessonsKeys), func(k key) bool { return k.do == endExam })
	}
	return deskLessonsKeys
}

// Begin looks at the room; the screen below tells of changes.
func (s *deskLessonsScreen) Begin() tea.Cmd {
	return func() tea.Msg { return lessonsSeen{s.in.Room.State(s.in.Site)} }
}

// lessonsSeen brings the room to this screen alone.
type lessonsSeen struct{ state room.State }

func (s *deskLessonsScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	switch msg := msg.(type) {
	case lessonsSeen:
		s.state = msg.state
	case roomChanged:
		s.state = msg.state
	case ruled:
		return s, s.Begin()
	case tea.KeyMsg:
		return s, s.key(msg)
	}
	return s, nil
}

// usualMinutes is how long an examination lasts unless another time is typed.
const usualMinutes = 45

func (s *deskLessonsScreen) key(msg tea.KeyMsg) tea.Cmd {
	if s.ask != nil {
		return answerTo(&s.ask, msg)
	}
	list := s.seat.Course.Lessons
	chosen := list[s.chosen]
	switch s.Keys().match(msg.String()) {
	case goUp:
		s.chosen = max(0, s.chosen-1)
	case goDown:
		s.chosen = min(len(list)-1, s.chosen+1)
	case leave:
		return send(goBack{})
	case openOrClose:
		return rule(func() error {
			if s.in.Room.Closed(s.in.Site, chosen.ID) {
				return s.in.Open(s.ctx, chosen.ID)
			}
			return s.in.Close(s.ctx, chosen.ID)
		})
	case beginExam:
		s.ask = typing("Minutes of the examination in "+chosen.Title, strconv.Itoa(usualMinutes), func(typed string) tea.Cmd {
			return rule(func() error {
				n, err := strconv.Atoi(typed)
				if err != nil {
					return fmt.Errorf("%q is no number of minutes", typed)
				}
				return s.in.Examine(s.ctx, chosen.ID, n)
			})
		})
	case endExam:
		s.ask = endExamQuestion(s.ctx, s.in)
	}
	return nil
}

func (s *deskLessonsScreen) View(t *Theme, width, height int) string {
	rows := max(1, height-2)
	list := s.seat.Course.Lessons
	exam := s.state.Exam
	lines := []string{"", ""}
	if exam != nil {
		lines[0] = " " + t.Warn.Render("An examination is going on; until it ends only its lesson is open.")
	}
	first := window(0, s.chosen, len(list), rows-1)
	for i := first; i < min(len(list), first+rows-1); i++ {
		l := list[i]
		left := fmt.Sprintf(" %s%2d  %s", t.point(i == s.chosen), s.seat.Number(l), l.Title)
		if i == s.chosen {
			left = t.Chosen.Render(left)
		}
		state := pad("open", 12)
		switch {
		case exam != nil && exam.Lesson == l.ID:
			state = t.Warn.Render(pad("examination", 12))
		case exam != nil:
			state = t.Faint.Render(pad("not now", 12))
		case slices.Contains(s.state.Closed, l.ID):
			state = t.Bad.Render(pad("closed", 12))
		}
		lines = append(lines, ends(left, state, min(width, widest+20)))
	}
	return askedBelow(t, s.ask, strings.Join(lines, "\n"), width, height)
}
