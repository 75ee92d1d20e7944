package tui

import (
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"posework/cmd/posework/internal/host/room"
)

// watchScreen shows an instructor what a learner sees. It is a copy of their last
// frame; no key reaches them.
type watchScreen struct {
	clock clock
	in    *room.Instructor
	name  string

	frame string
	here  bool
	turn  int // tells its own ticks from those of a watch before
}

func newWatchScreen(c clock, in *room.Instructor, name string) *watchScreen {
	return &watchScreen{clock: c, in: in, name: name}
}

func (s *watchScreen) Title() string { return "Watching " + s.name }

var watchKeys = keyTable{
	{lastLearner, []string{"left"}, "left", "", "the learner before"},
	{nextLearner, []string{"right"}, "right", "other learner", "the next learner"},
	leaving,
}

func (s *watchScreen) Keys() keyTable { return watchKeys }

// watchTime is how long a frame stays: five pictures a second are enough to follow.
const watchTime = time.Second / 5

// frameSeen brings what a learner sees.
type frameSeen struct {
	watch *watchScreen
	turn  int
	frame string
	here  bool
}

// Begin looks, again and again.
func (s *watchScreen) Begin() tea.Cmd { return s.look(0) }

func (s *watchScreen) look(after time.Duration) tea.Cmd {
	turn, name := s.turn, s.name
	see := func() tea.Msg {
		for _, v := range s.in.Room.Visitors(s.in.Site) {
			if v.Name == name {
				return frameSeen{s, turn, v.Frame(), true}
			}
		}
		return frameSeen{s, turn, "", false}
	}
	if after == 0 {
		return see
	}
	return s.clock.tick(after, func(time.Time) tea.Msg { return see() })
}

func (s *watchScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	switch msg := msg.(type) {
	case frameSeen:
		if msg.watch != s || msg.turn != s.turn {
			return s, nil
		}
		s.frame, s.here = msg.frame, msg.here
		return s, s.look(watchTime)
	case tea.KeyMsg:
		switch watchKeys.match(msg.String()) {
		case leave:
			s.turn++ // nothing looks any more
			return s, send(goBack{})
		case nextLearner:
			return s, s.another(1)
		case lastLearner:
			return s, s.another(-1)
		}
	}
	return s, nil
}

// another watches another learner.
func (s *watchScreen) another(by int) tea.Cmd {
	all := s.in.Room.Visitors(s.in.Site)
	if len(all) == 0 {
		return nil
	}
	at := 0
	for i, v := range all {
		if v.Name == s.name {
			at = i
		}
	}
	s.name = all[(at+by+len(all))%len(all)].Name
	s.turn++
	return s.look(0)
}

func (s *watchScreen) View(t *Theme, width, height int) string {
	switch {
	case !s.here:
		return "\n " + t.Faint.Render(s.name+" is not in")
	case s.frame == "":
		return "\n " + t.Faint.Render("nothing to see yet")
	}
	lines := strings.Split(tame(s.frame), "\n")
	if len(lines) > leastHeight {
		// Head and keys are the watcher's own; room for the rest.
		lines = lines[2 : len(lines)-1]
	}
	for i := range lines {
		lines[i] += "\x1b[0m" // whatever it leaves on ends with the line
		if t.colourless() {
			lines[i] = ansi.Strip(lines[i])
		}
	}
	return clip(strings.Join(lines, "\n"), width, height)
}

// tame leaves out of somebody else's frame whatever does more than show text in
// colours: it goes to another person's terminal.
func tame(frame string) string {
	frame = strings.ToValidUTF8(frame, "")
	var b strings.Builder
	var state byte
	for len(frame) > 0 {
		seq, width, n, next := ansi.DecodeSequence(frame, state, nil)
		state = next
		switch {
		case width > 0 || seq == "\n":
			b.WriteString(seq)
		case strings.HasPrefix(seq, "\x1b[") && strings.HasSuffix(seq, "m") && strings.Trim(seq[2:len(seq)-1], "0123456789;:") == "":
			b.WriteString(seq)
		}
		frame = frame[n:]
	}
	return b.String()
}
