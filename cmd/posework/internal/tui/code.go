package tui

import (
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/reference"
)

// codeScreen explains a finding or an error about a file.
type codeScreen struct {
	code string
	at   int
	size tea.WindowSizeMsg
}

func newCodeScreen(code string) *codeScreen { return &codeScreen{code: code} }

func (s *codeScreen) Title() string { return s.code }

var codeKeys = keyTable{
	{goPageDown, []string{"pgdown", " "}, "space", "read on", "one page down"},
	{goPageUp, []string{"pgup"}, "page up", "", "one page up"},
	{goUp, []string{"up"}, "up", "", "one line up"},
	{goDown, []string{"down"}, "down", "", "one line down"},
	leaving,
}

func (s *codeScreen) Keys() keyTable { return codeKeys }

func (s *codeScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		s.size = msg
	case tea.KeyMsg:
		switch codeKeys.match(msg.String()) {
		case goUp:
			s.at--
		case goDown:
			s.at++
		case goPageUp:
			s.at -= s.size.Height - 2
		case goPageDown:
			s.at += s.size.Height - 2
		case leave:
			return s, send(goBack{})
		}
	}
	s.at = max(0, min(s.at, len(s.lines(s.size.Width))-s.size.Height))
	return s, nil
}

func (s *codeScreen) lines(width int) []string {
	e, _, ok := reference.Lookup(s.code)
	if !ok {
		return []string{"", " " + s.code + " is not explained yet."}
	}
	var b strings.Builder
	if err := e.Text(&b, min(width-2, widest)); err != nil {
		return []string{err.Error()} // a strings.Builder never fails
	}
	lines := strings.Split(strings.TrimSpace(b.String()), "\n")
	for i := range lines {
		lines[i] = " " + lines[i]
	}
	return append([]string{""}, lines...)
}

func (s *codeScreen) View(t *Theme, width, height int) string {
	lines := s.lines(width)
	return strings.Join(lines[min(s.at, len(lines)):], "\n")
}
