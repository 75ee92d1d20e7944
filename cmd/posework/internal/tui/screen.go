package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/seat"
	"posework/lessons"
)

// screen is one screen. Update gets keys, the size of the screen's own area as
// tea.WindowSizeMsg, and the messages that its own commands send.
type screen interface {
	Update(msg tea.Msg) (screen, tea.Cmd)
	View(t *Theme, width, height int) string
	Title() string
	Keys() keyTable
}

// What screens send to App.
type (
	openLesson   struct{ lesson *lessons.Lesson }
	openHandIn   struct{ lesson *lessons.Lesson }
	openQuiz     struct{ lesson *lessons.Lesson }
	openDeck     struct{ deck seat.DeckStanding } // a refresher
	openFindings struct{ outcome *seat.Outcome }
	openPractice struct{ lesson *lessons.Lesson }
	openMoment   struct {
		outcome *seat.Outcome
		finding int // index into its mark's findings
	}
	showFindings struct{ outcome *seat.Outcome } // on top of the screen that sends it
	openCode     struct{ code string }
	fileChosen   struct { // the program that is being worked on
		lesson *lessons.Lesson
		file   string
	}
	handInAgain struct{ outcome *seat.Outcome }
	goBack      struct{}
	say         struct{ text string } // one line at the foot, until the next key
)

// What App's commands bring back to every screen.
type (
	standingsRead struct {
		all        map[string]seat.Standing
		refreshers []seat.DeckStanding
		err        error
	}
)

// send returns a command that sends a message.
func send(msg tea.Msg) tea.Cmd { return func() tea.Msg { return msg } }
