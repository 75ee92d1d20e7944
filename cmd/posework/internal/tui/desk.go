package tui

import (
	"context"
	"fmt"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/host/room"
	"posework/cmd/posework/internal/seat"
)

// NewDesk returns the course for an instructor: it begins at the screen that shows
// the class. The seat is the instructor's own.
func NewDesk(ctx context.Context, s *seat.Seat, theme *Theme, in *room.Instructor) *App {
	a := New(ctx, s, theme, "")
	a.stack = []screen{newDeskScreen(ctx, s, in)}
	return a
}

// deskScreen shows an instructor who is where, who is stuck and what was found.
type deskScreen struct {
	ctx  context.Context
	seat *seat.Seat
	in   *room.Instructor

	state  room.State
	chosen int
	ask    *question
	watch  <-chan struct{} // the room has changed
}

func newDeskScreen(ctx context.Context, s *seat.Seat, in *room.Instructor) *deskScreen {
	return &deskScreen{ctx: ctx, seat: s, in: in}
}

func (s *deskScreen) Title() string { return "Class" }

// The actions of an instructor's screens.
const (
	watchLearner action = iota + 220
	sendNote
	showLessons
	endExam
	openCourse
	openOrClose
	beginExam
	resetAttempt
	nextLearner
	lastLearner
)

var endExamKey = key{endExam, []string{"e"}, "e", "end exam", "end the examination that is going on"}

var deskKeys = keyTable{
	{goUp, []string{"up"}, "up", "", "one learner up"},
	{goDown, []string{"down"}, "down", "choose", "one learner down"},
	{open, []string{"enter"}, "enter", "attempts", "the chosen learner's attempts, to look at and reset"},
	{watchLearner, []string{"w"}, "w", "watch", "watch the chosen learner's screen; nothing that you press reaches it"},
	{showLessons, []string{"l"}, "l", "lessons", "open and close lessons, begin an examination"},
	endExamKey,
	{sendNote, []string{"n"}, "n", "note", "send everybody a note"},
	{openCourse, []string{"c"}, "c", "course", "the course as a learner has it"},
	{nothing, []string{"ctrl+c"}, "ctrl+c", "leave", "leave posework; the class goes on"},
}

func (s *deskScreen) Keys() keyTable {
	if s.ask != nil {
		return s.ask.keys
	}
	var t keyTable
	for _, k := range deskKeys {
		if k.do == endExam && s.state.Exam == nil || (k.do == watchLearner || k.do == open) && len(s.state.Rows) == 0 {
			continue
		}
		t = append(t, k)
	}
	return t
}

// What the commands of an instructor's screens bring back.
type (
	roomChanged struct{ state room.State }
	ruled       struct{ err error } // what was asked for was done, or not
)

// quiet is the least time between two looks at the room, and longest the most:
// times pass though nothing happens.
const (
	roomQuiet   = 500 * time.Millisecond
	roomLongest = 15 * time.Second
)

// Begin looks at the room, and again when it changes.
func (s *deskScreen) Begin() tea.Cmd {
	var stop func()
	s.watch, stop = s.in.Room.Watch()
	context.AfterFunc(s.ctx, stop)
	return s.look()
}

func (s *deskScreen) look() tea.Cmd {
	return func() tea.Msg { return roomChanged{s.in.Room.State(s.in.Site)} }
}

// lookAgain looks when something has changed, but not at once again.
func (s *deskScreen) lookAgain() tea.Cmd {
	ctx, watch, in := s.ctx, s.watch, s.in
	return func() tea.Msg {
		t := time.NewTimer(roomQuiet)
		defer t.Stop()
		select {
		case <-ctx.Done():
			return nil
		case <-t.C:
		}
		t.Reset(roomLongest)
		select {
		case <-ctx.Done():
			return nil
		case <-watch:
		case <-t.C:
		}
		return roomChanged{in.Room.State(in.Site)}
	}
}

func (s *deskScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	switch msg := msg.(type) {
	case roomChanged:
		s.take(msg.state)
		return s, s.lookAgain()
	case ruled:
		return s, tellRuled(msg)
	case tea.KeyMsg:
		return s, s.key(msg)
	}
	return s, nil
}

// take keeps the pointer at the learner that it is at.
func (s *deskScreen) take(state room.State) {
	name := ""
	if s.chosen < len(s.state.Rows) {
		name = s.state.Rows[s.chosen].Name
	}
	s.state = state
	for i := range state.Rows {
		if state.Rows[i].Name == name {
			s.chosen = i
			return
		}
	}
	s.chosen = max(0, min(s.chosen, len(state.Rows)-1))
}

func tellRuled(r ruled) tea.Cmd {
	if r.err != nil {
		return send(say{r.err.Error()})
	}
	return nil
}

// rule does something in a command and tells what went wrong.
func rule(do func() error) tea.Cmd { return func() tea.Msg { return ruled{do()} } }

func (s *deskScreen) key(msg tea.KeyMsg) tea.Cmd {
	if s.ask != nil {
		return answerTo(&s.ask, msg)
	}
	rows := s.state.Rows
	switch s.Keys().match(msg.String()) {
	case goUp:
		s.chosen = max(0, s.chosen-1)
	case goDown:
		s.chosen = max(0, min(len(rows)-1, s.chosen+1))
	case open:
		return send(openLearner{s.in, rows[s.chosen].Name})
	case watchLearner:
		return send(openWatch{s.in, rows[s.chosen].Name})
	case showLessons:
		return send(openDeskLessons{s.in})
	case openCourse:
		return send(openOwnCourse{})
	case endExam:
		s.ask = endExamQuestion(s.ctx, s.in)
	case sendNote:
		s.ask = typing("Note to everybody", "", func(text string) tea.Cmd {
			return rule(func() error { return s.in.Note(s.ctx, text) })
		})
		s.ask.typed.most = room.MostNote
	}
	return nil
}

func endExamQuestion(ctx context.Context, in *room.Instructor) *question {
	return &question{text: "End the examination for everybody?", keys: yesNo("end it"), yes: func(string) tea.Cmd {
		return rule(func() error { return in.EndExam(ctx) })
	}}
}

// What an instructor's screens send to App.
type (
	openLearner struct {
		in   *room.Instructor
		name string
	}
	openWatch struct {
		in   *room.Instructor
		name string
	}
	openDeskLessons struct{ in *room.Instructor }
	openOwnCourse   struct{}
)

// openDesk opens an instructor's screens; nil where a message is none of theirs.
func (a *App) openDesk(msg tea.Msg) screen {
	switch msg := msg.(type) {
	case openLearner:
		return newLearnerScreen(a.ctx, msg.in, a.seat.Course, msg.name)
	case openWatch:
		return newWatchScreen(a.clock, msg.in, msg.name)
	case openDeskLessons:
		return newDeskLessonsScreen(a.ctx, a.seat, msg.in)
	case openOwnCourse:
		s := newCourseScreen(a.seat)
		s.guest = true
		return s
	}
	return nil
}

// ago is how long something has been so, in minutes.
func ago(since, now time.Time) string {
	n := int(now.Sub(since) / time.Minute)
	return fmt.Sprintf("%d min", max(0, n))
}
