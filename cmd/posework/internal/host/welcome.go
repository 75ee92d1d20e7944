package host

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"posework/grader/report"
)

// welcome comes before the course for somebody who came in by a one-time code: it
// tells the code for the next time, until that was read.
type welcome struct {
	tea.Model        // the course
	code      string // "": nothing to tell any more
	days      int
	width     int
}

// Update lets everything but keys through.
func (w *welcome) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		w.width = msg.Width
	case tea.KeyMsg:
		switch name := msg.String(); {
		case w.code == "":
		case name == "ctrl+c":
			return w, tea.Quit
		case name == "enter":
			w.code = ""
			return w, nil
		default:
			return w, nil
		}
	}
	var cmd tea.Cmd
	w.Model, cmd = w.Model.Update(msg)
	return w, cmd
}

// View is the code, or the course.
func (w *welcome) View() string {
	if w.code == "" {
		return w.Model.View()
	}
	text := report.Wrap(nextCode(w.code, w.days), " ", max(20, w.width-2))
	return "\n" + text + "\n\n enter goes on\n" + strings.Repeat("\n", 3)
}

func nextCode(code string, days int) string {
	return fmt.Sprintf("Your code is used up. Next time come in with this one: %s. Write it down; it is yours alone and holds for %d days.", code, days)
}
