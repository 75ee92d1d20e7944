package tui

import (
	"context"
	"fmt"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/seat"
	"posework/engine/diag"
	"posework/grader/quiz"
	"posework/grader/records"
	"posework/grader/refresher"
	"posework/grader/report"
)

// stage is what the refresher screen is at.
type stage uint8

const (
	opening   stage = iota // what to remember, before the first question
	waiting                // something is being read, drawn or kept
	posed                  // a question is waiting for its answer
	explained              // the answer was marked
	signing                // passed: the name is being typed
	ended
)

// refresherScreen leads through a refresher and has it signed.
type refresherScreen struct {
	ctx  context.Context
	seat *seat.Seat
	deck seat.DeckStanding

	stage    stage
	ref      *seat.Refresher // used by one command at a time
	trouble  diag.List       // why a question can't be asked
	failure  string          // why it can't go on
	question answering       // the one being asked, or just answered
	place    string
	since    time.Time
	verdict  quiz.Verdict
	result   refresher.Result
	name     field
	wrong    string
	head     records.Head // of the signed entry
	signed   bool
}

func newRefresherScreen(ctx context.Context, s *seat.Seat, d seat.DeckStanding) *refresherScreen {
	return &refresherScreen{ctx: ctx, seat: s, deck: d, name: field{most: 200}}
}

func (s *refresherScreen) Title() string { return "Refresher  " + s.deck.Title() }

// What the commands of this screen bring back. Each carries the screen, since
// every screen gets every message.
type (
	refresherReady struct {
		of  *refresherScreen
		ref *seat.Refresher
		err error
	}
	refresherAsks struct {
		of     *refresherScreen
		sheet  *quiz.Sheet // nil at the end
		place  string
		list   diag.List
		at     time.Time
		result refresher.Result
	}
	refresherMarked struct {
		of      *refresherScreen
		verdict quiz.Verdict
		err     error
	}
	refresherSigned struct {
		of   *refresherScreen
		head records.Head
		err  error
	}
)

// choose picks the questions.
func (s *refresherScreen) choose() tea.Cmd {
	s.stage = waiting
	return func() tea.Msg {
		r, err := s.seat.NewRefresher(s.ctx, s.deck.ID(), seat.FullMarks)
		return refresherReady{s, r, err}
	}
}

// next draws the next question.
func (s *refresherScreen) next() tea.Cmd {
	s.stage = waiting
	r := s.ref
	return func() tea.Msg {
		sheet, place, list := r.Current(s.ctx)
		return refresherAsks{s, sheet, place, list, s.seat.Now(), r.Result()}
	}
}

// answer marks an answer and keeps it.
func (s *refresherScreen) answer(a quiz.Answer) tea.Cmd {
	s.stage = waiting
	r, since := s.ref, s.since
	return func() tea.Msg {
		v, err := r.Answer(s.ctx, a, s.seat.Now().Sub(since))
		return refresherMarked{s, v, err}
	}
}

func (s *refresherScreen) sign(typed string) tea.Cmd {
	s.stage = waiting
	r := s.ref
	return func() tea.Msg {
		head, err := r.Sign(s.ctx, typed)
		return refresherSigned{s, head, err}
	}
}

func (s *refresherScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	switch msg := msg.(type) {
	case refresherReady:
		if msg.of == s {
			return s, s.ready(msg)
		}
	case refresherAsks:
		if msg.of == s {
			s.asks(msg)
		}
	case refresherMarked:
		if msg.of == s {
			s.verdict, s.stage = msg.verdict, explained
			s.fail(msg.err)
		}
	case refresherSigned:
		if msg.of == s {
			s.head, s.signed, s.stage = msg.head, msg.err == nil, ended
			s.fail(msg.err)
		}
	case tea.KeyMsg:
		return s.key(msg)
	}
	return s, nil
}

func (s *refresherScreen) ready(msg refresherReady) tea.Cmd {
	s.ref = msg.ref
	if s.fail(msg.err) {
		return nil
	}
	return s.next()
}

func (s *refresherScreen) asks(msg refresherAsks) {
	switch {
	case len(msg.list) > 0:
		s.trouble = msg.list
	case msg.sheet != nil:
		s.question, s.place, s.since, s.stage = newAnswering(msg.sheet), msg.place, msg.at, posed
	default:
		s.result, s.stage = msg.result, ended
		if s.result.Passed() {
			s.stage = signing
		}
	}
}

// fail ends the refresher with an error: a sign-off would prove less than it
// says without everything before it on record.
func (s *refresherScreen) fail(err error) bool {
	if err != nil {
		s.failure, s.stage = err.Error(), ended
	}
	return err != nil
}

func (s *refresherScreen) key(msg tea.KeyMsg) (screen, tea.Cmd) {
	do := s.Keys().match(msg.String())
	if do == leave {
		return s, send(goBack{})
	}
	switch s.stage {
	case opening:
		if do == open {
			return s, s.choose()
		}
	case posed:
		if a, given := s.question.key(msg); given {
			return s, s.answer(a)
		}
	case explained:
		if do == open {
			return s, s.next()
		}
	case signing:
		if do != open {
			s.wrong = ""
			s.name.Key(msg)
			return s, nil
		}
		if !records.SameName(s.name.Value(), s.seat.Person) {
			s.wrong = fmt.Sprintf("that is not %s; someone else starts posework with --name", s.seat.Person)
			return s, nil
		}
		return s, s.sign(s.name.Value())
	case ended:
		if do == open {
			return s, send(goBack{})
		}
	}
	return s, nil
}

// Keys are those of the moment.
func (s *refresherScreen) Keys() keyTable {
	back := key{leave, []string{"esc"}, "esc", "back", "back to the course; what you answered is kept"}
	switch s.stage {
	case opening:
		return keyTable{{open, []string{"enter"}, "enter", "begin", "to the first question"}, back}
	case posed:
		return append(s.question.keys(), back)
	case explained:
		return keyTable{{open, []string{"enter", " "}, "enter", "go on", "to the next question"}, back}
	case signing:
		return keyTable{{open, []string{"enter"}, "enter", "sign", "sign with the name that is typed"},
			{nothing, nil, "letters", "", "type your name"}, {leave, []string{"esc"}, "esc", "leave unsigned", "back to the course without a signature"}}
	case ended:
		return keyTable{{open, []string{"enter"}, "enter", "back to the course", "back to the course"}, back}
	}
	return keyTable{back}
}

func (s *refresherScreen) View(t *Theme, width, height int) string {
	column := min(width, widest)
	switch {
	case len(s.trouble) > 0:
		return untold(t, s.trouble, column)
	case s.failure != "":
		return "\n" + t.Bad.Render(report.Wrap(s.failure, " ", column))
	}
	switch s.stage {
	case opening:
		return s.openingView(t, column)
	case posed:
		return s.question.view(t, " "+s.place, column, height)
	case explained:
		return answered(t, s.question.sheet, &s.verdict, " "+s.place, column)
	case signing, ended:
		return s.endView(t, column)
	}
	return "\n One moment."
}

func (s *refresherScreen) openingView(t *Theme, width int) string {
	lines := []string{"", report.Wrap("Four questions, five minutes at most. What you miss is explained and asked once more; all right in the end, you sign with your name.", " ", width)}
	if s.deck.Deck != nil && len(s.deck.Deck.Points) > 0 {
		lines = append(lines, "", " "+t.heading("Remember"))
		for _, p := range s.deck.Deck.Points {
			lines = append(lines, bullet(" "+t.Dot, p, width))
		}
	}
	return strings.Join(append(lines, "", t.Warn.Render(report.Wrap(seat.RefresherCaution, " ", width))), "\n")
}

func (s *refresherScreen) endView(t *Theme, width int) string {
	r := &s.result
	lines := []string{"", fmt.Sprintf(" %d of %d right at once, %s of 100 points, %s needed.", len(r.Asked)-len(r.Missed), len(r.Asked), report.Points(r.Points), report.Points(r.Needed)), ""}
	switch {
	case s.signed:
		lines = append(lines, " "+t.Good.Render("Signed")+fmt.Sprintf(" as entry %d of site %s.", s.head.Place, s.head.Site))
	case s.stage == signing:
		lines = append(lines, " "+t.Good.Render("Passed."), "", fmt.Sprintf(" Type your name, %s, to sign:", s.seat.Person), "", "   "+s.name.View(t, max(10, width-6)))
		if s.wrong != "" {
			lines = append(lines, "", t.Warn.Render(report.Wrap(s.wrong, " ", width)))
		}
	default:
		lines = append(lines, " "+t.Bad.Render("Not passed")+", so there is nothing to sign.", " What was missed comes again.")
	}
	return strings.Join(lines, "\n")
}
