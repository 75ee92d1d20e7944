package tui

import (
	"context"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/seat"
	"posework/engine/diag"
	"posework/grader/quiz"
	"posework/lessons"
)

// phase is what the quiz screen is at.
type phase uint8

const (
	preparing phase = iota // the questions are being drawn
	asking                 // a question is waiting for its answer
	told                   // the answer was marked
	over                   // the round is over
)

// quizScreen asks the questions of a lesson, one at a time, explains each
// answer, and asks again what was missed.
type quizScreen struct {
	ctx    context.Context
	seat   *seat.Seat
	lesson *lessons.Lesson

	phase   phase
	draws   int // which draw the first round is
	number  int // of the round, from 0
	round   *quiz.Round
	trouble diag.List // why the questions can't be asked
	since   time.Time // when the question was shown

	question answering // the one being asked, or just answered
	verdict  quiz.Verdict
}

func newQuizScreen(ctx context.Context, s *seat.Seat, l *lessons.Lesson, draws int) *quizScreen {
	return &quizScreen{ctx: ctx, seat: s, lesson: l, draws: draws}
}

func (s *quizScreen) Title() string { return s.lesson.Title + ": questions" }

// What the commands of this screen bring back.
type (
	roundReady struct {
		number int
		round  *quiz.Round
		list   diag.List
	}
	questionShown struct{ at time.Time }
)

// underWay reports whether a round was begun and is not over.
func (s *quizScreen) underWay() bool {
	return s.round != nil && len(s.round.Verdicts) > 0 && s.phase != over
}

// Begin draws the first round, or goes on with the one that was left.
func (s *quizScreen) Begin() tea.Cmd {
	if s.underWay() {
		return s.look()
	}
	return s.draw(seat.Questions(s.lesson))
}

// look asks for the time from which the question is before the learner.
func (s *quizScreen) look() tea.Cmd {
	return func() tea.Msg { return questionShown{s.seat.Now()} }
}

// draw draws a round. The grader marks some questions, so this may take a
// moment.
func (s *quizScreen) draw(questions []*quiz.Question) tea.Cmd {
	number, draws := s.number, s.draws
	return func() tea.Msg {
		r, l := s.seat.Round(s.ctx, s.lesson, questions, draws+number)
		return roundReady{number, r, l}
	}
}

// show begins the current question, and asks for the time.
func (s *quizScreen) show() tea.Cmd {
	sheet := s.round.Current()
	if sheet == nil {
		s.phase = over
		return nil
	}
	s.phase, s.question = asking, newAnswering(sheet)
	return s.look()
}

func (s *quizScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	switch msg := msg.(type) {
	case roundReady:
		if s.phase != preparing || msg.number != s.number {
			return s, nil
		}
		s.round, s.trouble = msg.round, msg.list
		if len(s.trouble) > 0 {
			return s, nil
		}
		return s, s.show()
	case questionShown:
		s.since = msg.at
	case tea.KeyMsg:
		return s.key(msg)
	}
	return s, nil
}

func (s *quizScreen) key(msg tea.KeyMsg) (screen, tea.Cmd) {
	do := s.Keys().match(msg.String())
	if do == leave {
		return s, send(goBack{})
	}
	switch s.phase {
	case told:
		if do == open {
			return s, s.show()
		}
	case over:
		if missed := s.round.Missed(); do == again && len(missed) > 0 {
			s.phase = preparing
			s.number++
			return s, s.draw(missed)
		}
		if do == open {
			return s, send(goBack{})
		}
	case asking:
		if a, given := s.question.key(msg); given {
			s.verdict = s.round.Answer(a)
			s.phase = told
			return s, s.keep(s.question.sheet.Question, s.verdict)
		}
	}
	return s, nil
}

// keep records the answer.
func (s *quizScreen) keep(q *quiz.Question, v quiz.Verdict) tea.Cmd {
	since := s.since
	return func() tea.Msg {
		var took time.Duration
		if !since.IsZero() {
			took = s.seat.Now().Sub(since)
		}
		if err := s.seat.Answered(s.ctx, s.lesson, q, v, took); err != nil {
			return say{err.Error()}
		}
		return nil
	}
}

// Keys are those of the moment.
func (s *quizScreen) Keys() keyTable {
	back := key{leave, []string{"esc"}, "esc", "back", "back; what you answered is kept, and the questions go on from here"}
	switch s.phase {
	case told:
		return keyTable{{open, []string{"enter", " "}, "enter", "go on", "to the next question"}, back}
	case over:
		t := keyTable{{open, []string{"enter"}, "enter", "back to the lesson", "back to the lesson"}}
		if s.round != nil && len(s.round.Missed()) > 0 {
			t = append(t, key{again, []string{"m"}, "m", "ask what was missed", "another round of the questions that were missed"})
		}
		return append(t, back)
	case preparing:
		return keyTable{back}
	}
	return append(s.question.keys(), back)
}
