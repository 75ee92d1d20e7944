package tui

import (
	"context"
	"fmt"
	"os"
	"strings"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"

	"posework/cmd/posework/internal/paint"
	"posework/cmd/posework/internal/seat"
	"posework/engine/diag"
	"posework/lessons"
)

// The least size that screens are drawn at.
const (
	leastWidth  = 60
	leastHeight = 16
)

// roundsApart keeps the draws of one opening of a quiz apart from the next's.
const roundsApart = 1000

// App is the whole: a stack of screens of which the top one is shown. It knows
// what every message between screens means, and nothing of what screens do.
type App struct {
	ctx   context.Context
	seat  *seat.Seat
	theme *Theme
	clock clock

	stack   []screen
	width   int
	height  int
	help    int                    // page of the list of keys that is shown; 0: none
	note    string                 // one line at the foot, until the next key
	notice  string                 // one line below the head, until it is taken away
	files   map[string]string      // by lesson: the program that was practised or handed in last
	asked   int                    // how often questions were drawn: each time anew
	quizzes map[string]*quizScreen // by lesson: the questions that were opened last
}

// New returns the course at its first screen. note is shown at the foot until
// the first key.
func New(ctx context.Context, s *seat.Seat, theme *Theme, note string) *App {
	a := &App{ctx: ctx, seat: s, theme: theme, clock: wallClock, note: note, files: map[string]string{}, quizzes: map[string]*quizScreen{}}
	a.stack = []screen{newCourseScreen(s)}
	return a
}

// Run opens the course on a terminal and returns when the learner leaves it.
func Run(ctx context.Context, s *seat.Seat, in, out *os.File, utf8 bool, note string) error {
	theme := NewTheme(lipgloss.NewRenderer(out), utf8)
	if err := paint.Terminal(ctx, New(ctx, s, theme, note), in, out); err != nil {
		return fmt.Errorf("the terminal: %w", err)
	}
	return nil
}

// Init reads where the learner stands.
func (a *App) Init() tea.Cmd {
	if b, ok := a.stack[0].(interface{ Begin() tea.Cmd }); ok {
		return tea.Batch(b.Begin(), a.readStandings())
	}
	return a.readStandings()
}

func (a *App) readStandings() tea.Cmd {
	return func() tea.Msg {
		all, err := a.seat.Standings(a.ctx)
		if err != nil {
			return standingsRead{err: err}
		}
		refreshers, err := a.seat.Refreshers(a.ctx, all)
		return standingsRead{all, refreshers, err}
	}
}

// body is the size of a screen's own area: all but head, rule and foot.
func (a *App) body() tea.WindowSizeMsg {
	return tea.WindowSizeMsg{Width: a.width, Height: max(1, a.height-3)}
}

func (a *App) top() screen { return a.stack[len(a.stack)-1] }

// Update routes a message.
func (a *App) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		a.width, a.height = msg.Width, msg.Height
		return a, a.broadcast(a.body())
	case tea.KeyMsg:
		return a, tea.Batch(a.typed(msg)...)
	case openLesson:
		l, err := a.seat.Enter(msg.lesson)
		if err != nil {
			a.note = err.Error()
			return a, nil
		}
		return a, a.push(newLessonScreen(a.theme, l))
	case openHandIn:
		return a, a.openHandIn(msg.lesson)
	case openLearner, openWatch, openDeskLessons, openOwnCourse:
		return a, a.push(a.openDesk(msg))
	case Notice:
		a.notice = msg.Text
		return a, nil
	case RulesChanged:
		return a, a.rulesChanged()
	case openQuiz:
		return a, a.push(a.quiz(msg.lesson))
	case openDeck:
		return a, a.push(newRefresherScreen(a.ctx, a.seat, msg.deck))
	case openFindings:
		// The findings take the place of the screen that handed in: going back
		// leads to the lesson.
		a.stack = a.stack[:len(a.stack)-1]
		a.files[msg.outcome.Lesson.ID] = msg.outcome.File
		return a, tea.Batch(a.push(newFindingsScreen(msg.outcome)), a.readStandings())
	case handInAgain:
		again := newHandInScreen(a.ctx, a.seat, msg.outcome.Lesson, msg.outcome.File, true)
		a.stack = a.stack[:len(a.stack)-1]
		return a, a.push(again)
	case openPractice:
		return a, a.push(newPracticeScreen(a.ctx, a.seat, a.theme, a.clock, msg.lesson, a.files[msg.lesson.ID]))
	case fileChosen:
		a.files[msg.lesson.ID] = msg.file
		return a, nil
	case showFindings:
		a.files[msg.outcome.Lesson.ID] = msg.outcome.File
		return a, tea.Batch(a.push(newFindingsScreen(msg.outcome)), a.readStandings())
	case openMoment:
		return a, a.push(newMomentScreen(a.theme, a.clock, msg.outcome, msg.finding))
	case openCode:
		return a, a.push(newCodeScreen(msg.code))
	case goBack:
		if len(a.stack) > 1 {
			a.stack = a.stack[:len(a.stack)-1]
		}
		return a, a.readStandings()
	case say:
		a.note = msg.text
		return a, nil
	case standingsRead:
		if msg.err != nil {
			a.note = msg.err.Error()
		}
	}
	return a, a.broadcast(msg)
}

// typed takes keys that came in one piece, as they do from a fast hand or over a
// slow line, one by one: four letters are no key that has their name.
func (a *App) typed(msg tea.KeyMsg) []tea.Cmd {
	if msg.Type != tea.KeyRunes || len(msg.Runes) < 2 || msg.Paste {
		return []tea.Cmd{a.key(msg)}
	}
	cmds := make([]tea.Cmd, len(msg.Runes))
	for i := range msg.Runes {
		one := msg
		one.Runes = msg.Runes[i : i+1]
		cmds[i] = a.key(one)
	}
	return cmds
}

// quiz is the questions of a lesson: where they were left, for who goes back to
// look at the text, and else drawn anew.
func (a *App) quiz(l *lessons.Lesson) *quizScreen {
	if s := a.quizzes[l.ID]; s != nil && s.underWay() {
		return s
	}
	a.asked++
	a.quizzes[l.ID] = newQuizScreen(a.ctx, a.seat, l, a.asked*roundsApart)
	return a.quizzes[l.ID]
}

func (a *App) key(msg tea.KeyMsg) tea.Cmd {
	a.note = ""
	switch name := msg.String(); {
	case name == "ctrl+c":
		return tea.Quit
	case a.help > 0:
		if name == " " || name == "pgdown" {
			a.help++ // past the last page it closes
		} else {
			a.help = 0
		}
		if a.help > a.helpPages() {
			a.help = 0
		}
		return nil
	case name == "?" || name == "f1":
		a.help = 1
		return nil
	}
	s, cmd := a.top().Update(msg)
	a.stack[len(a.stack)-1] = s
	return cmd
}

// push shows a screen, and tells it its size and where the learner stands.
func (a *App) push(s screen) tea.Cmd {
	s, cmd := s.Update(a.body())
	a.stack = append(a.stack, s)
	var begin tea.Cmd
	if b, ok := s.(interface{ Begin() tea.Cmd }); ok {
		begin = b.Begin()
	}
	return tea.Batch(cmd, begin, a.readStandings())
}

// broadcast gives a message to every screen: what a command brings back finds
// its screen also when another one lies on top.
func (a *App) broadcast(msg tea.Msg) tea.Cmd {
	cmds := make([]tea.Cmd, len(a.stack))
	for i, s := range a.stack {
		a.stack[i], cmds[i] = s.Update(msg)
	}
	return tea.Batch(cmds...)
}

// helpRows is how many keys a page of their list holds, and helpPages how many
// pages it has.
func (a *App) helpRows() int { return max(1, a.body().Height-3) }

func (a *App) helpPages() int {
	n := len(a.top().Keys().list(a.theme, a.width))
	return (n + a.helpRows() - 1) / a.helpRows()
}

// View draws the top screen between head and foot.
func (a *App) View() string {
	if a.width == 0 {
		return "" // the size is not known yet
	}
	if a.width < leastWidth || a.height < leastHeight {
		way := "start\nposework --plain."
		if a.seat.Folder != "" { // a guest of a host
			way = "come in\nagain with ssh -T."
		}
		text := fmt.Sprintf("This window is %d by %d.\nposework needs %d by %d.\nMake it larger, or leave\nwith ctrl+c and %s", a.width, a.height, leastWidth, leastHeight, way)
		return clip(text, a.width, a.height)
	}
	s, size := a.top(), a.body()
	head := ends(" "+a.theme.Title.Render("posework")+"  "+s.Title(), a.theme.Faint.Render(a.seat.Person)+" ", a.width)
	rule := a.theme.Faint.Render(strings.Repeat(a.theme.Rule, a.width))
	if a.notice != "" {
		rule = clip(" "+a.theme.Warn.Render("! "+a.notice), a.width, 1)
	}
	body := s.View(a.theme, size.Width, size.Height)
	foot := s.Keys().foot(a.theme, a.width)
	if a.help > 0 {
		rows := a.helpRows()
		lines := s.Keys().list(a.theme, a.width)
		from := min((a.help-1)*rows, len(lines))
		title := a.theme.heading("Keys")
		foot = " any key closes this list"
		if n := a.helpPages(); n > 1 {
			title += fmt.Sprintf(" %d of %d", a.help, n)
			if a.help < n {
				foot = " space shows the next page, any other key closes this list"
			}
		}
		body = "\n " + title + "\n\n" + strings.Join(lines[from:min(from+rows, len(lines))], "\n")
	}
	if a.note != "" {
		foot = " " + a.theme.Warn.Render(diag.Visible(a.note))
	}
	return clip(head, a.width, 1) + "\n" + rule + "\n" + fill(clip(body, size.Width, size.Height), size.Height) + "\n" + clip(foot, a.width, 1)
}
