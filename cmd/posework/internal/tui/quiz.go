package tui

import (
	"context"
	"slices"
	"strings"
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

	chosen  int   // option, left side or step that the pointer is on
	taken   []int // what was chosen so far, in the order of choosing (Match: by left side, -1 for none)
	text    field
	wrong   string // why the answer can't be read
	verdict quiz.Verdict
}

func newQuizScreen(ctx context.Context, s *seat.Seat, l *lessons.Lesson, draws int) *quizScreen {
	return &quizScreen{ctx: ctx, seat: s, lesson: l, draws: draws, text: field{most: 40}}
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

// Begin draws the first round.
func (s *quizScreen) Begin() tea.Cmd { return s.draw(seat.Questions(s.lesson)) }

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
	s.phase, s.chosen, s.taken, s.wrong = asking, 0, nil, ""
	s.text.Set("")
	sheet := s.round.Current()
	if sheet == nil {
		s.phase = over
		return nil
	}
	if sheet.Question.Kind == quiz.Match {
		s.taken = slices.Repeat([]int{-1}, len(sheet.Options))
	}
	return func() tea.Msg { return questionShown{s.seat.Now()} }
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
		return s, s.answerKey(do, msg)
	}
	return s, nil
}

// answerKey takes a key while a question is asked.
func (s *quizScreen) answerKey(do action, msg tea.KeyMsg) tea.Cmd {
	sheet := s.round.Current()
	s.wrong = ""
	if do == open {
		return s.answer(sheet)
	}
	if sheet.Question.Kind == quiz.Number {
		s.text.Key(msg)
		return nil
	}
	switch do {
	case goUp:
		s.chosen = max(0, s.chosen-1)
	case goDown:
		s.chosen = min(len(sheet.Options)-1, s.chosen+1)
	case toggle:
		s.toggle(sheet, s.chosen)
	case erase:
		if n := len(s.taken); n > 0 && sheet.Question.Kind != quiz.Match {
			s.taken = s.taken[:n-1]
		} else if n > 0 {
			s.taken[s.chosen] = -1
		}
	default:
		// A letter is the option, wherever the pointer is.
		if name := msg.String(); len(name) == 1 && sheet.Question.Kind != quiz.Spot {
			if i := int(name[0] - 'a'); name[0] >= 'a' && i < len(sheet.Options) {
				s.letter(sheet, i)
			}
		}
	}
	return nil
}

// letter takes the letter of an option.
func (s *quizScreen) letter(sheet *quiz.Sheet, i int) {
	if sheet.Question.Kind == quiz.Match {
		// One partner has one left side: it changes over from another.
		if before := slices.Index(s.taken, i); before >= 0 {
			s.taken[before] = -1
		}
		s.taken[s.chosen] = i
		s.chosen = min(len(sheet.Options)-1, s.chosen+1)
		return
	}
	s.chosen = i
	s.toggle(sheet, i)
}

// toggle takes an option, or lays it back.
func (s *quizScreen) toggle(sheet *quiz.Sheet, i int) {
	switch sheet.Question.Kind {
	case quiz.One:
		s.taken = []int{i}
	case quiz.Match:
		// Pairs are made by letters.
	default:
		if at := slices.Index(s.taken, i); at >= 0 {
			s.taken = slices.Delete(s.taken, at, at+1)
		} else {
			s.taken = append(s.taken, i)
		}
	}
}

// answer marks what was chosen or typed, if it is an answer.
func (s *quizScreen) answer(sheet *quiz.Sheet) tea.Cmd {
	var a quiz.Answer
	switch kind := sheet.Question.Kind; kind {
	case quiz.Number:
		var err error
		if a, err = sheet.Parse(s.text.Value()); err != nil {
			s.wrong = err.Error()
			return nil
		}
	case quiz.One:
		// Enter alone takes the option that the pointer is on.
		a.Choice = []int{s.chosen}
	default:
		a.Choice = slices.Clone(s.taken)
		switch {
		case kind == quiz.Match && slices.Contains(a.Choice, -1):
			s.wrong = "give every line its letter first"
		case kind == quiz.Order && len(a.Choice) < len(sheet.Options):
			s.wrong = "put every item in its place first"
		case len(a.Choice) == 0:
			s.wrong = "mark what applies with the space bar first"
		}
		if s.wrong != "" {
			return nil
		}
	}
	s.verdict = s.round.Answer(a)
	s.phase = told
	return s.keep(sheet.Question, s.verdict)
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
	back := key{leave, []string{"esc"}, "esc", "back", "back; what you answered is kept"}
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
	enter := key{open, []string{"enter"}, "enter", "answer", "give the answer"}
	if s.round == nil || s.round.Current() == nil {
		return keyTable{back}
	}
	t := slices.Concat(keyTable{enter}, upDown)
	letters := func(short, long string) key { return key{nothing, nil, "letters", short, long} }
	switch s.round.Current().Question.Kind {
	case quiz.Number:
		return keyTable{enter, {nothing, nil, "digits", "", "type the number; the unit may follow"}, back}
	case quiz.One:
		t = append(t, letters("choose", "choose the option with that letter"))
	case quiz.Many:
		t = append(t, key{toggle, []string{" "}, "space", "mark", "mark the option that applies, or take the mark away"}, letters("mark", "mark the option with that letter"))
	case quiz.Order:
		t = append(t, letters("put next", "put the item with that letter next, or take it back"),
			key{toggle, []string{" "}, "space", "", "put the item at the pointer next, or take it back"},
			key{erase, []string{"backspace"}, "backspace", "take back", "take the last item back"})
	case quiz.Match:
		t = append(t, letters("match", "give the line at the pointer its letter"),
			key{erase, []string{"backspace"}, "backspace", "", "take the letter of the line back"})
	case quiz.Spot:
		t = append(t, key{toggle, []string{" "}, "space", "mark", "mark the step as unsafe, or take the mark away"})
		t[2].short = "choose"
	}
	return append(t, back)
}

// sheetNow is the sheet being asked or just told, nil between rounds.
func (s *quizScreen) sheetNow() *quiz.Sheet {
	if s.round == nil {
		return nil
	}
	if s.phase == told {
		return s.round.Sheets[len(s.round.Verdicts)-1]
	}
	return s.round.Current()
}

// sourceLine names where an answer comes from.
func sourceLine(q *quiz.Question) string { return "Source: " + strings.TrimSuffix(q.Source, ".") + "." }
