package host

import (
	"fmt"
	"sync/atomic"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/host/room"
	"posework/cmd/posework/internal/tui"
)

// visit is the course as a learner has it on a host: the App, told of what the
// instructor rules and says, and the room told of where the learner is.
type visit struct {
	app     *tui.App
	visitor *room.Visitor
	room    *room.Room
	now     func() time.Time
	done    <-chan struct{}
	closing *atomic.Bool // set when the session ends because the host does

	note   string // of the instructor
	noteAt time.Time
	exam   bool // one was going on when it was last announced
	turn   int  // counts announcements: an older one's end is of no interest
}

// What comes to a visit from outside.
type (
	told   struct{ event room.Event }
	minute struct{ turn int } // the time that is left has to be told anew
)

// noteTime is how long a note stays.
const noteTime = 3 * time.Minute

// Init begins to listen.
func (v *visit) Init() tea.Cmd { return tea.Batch(v.app.Init(), v.listen(), v.announce()) }

func (v *visit) listen() tea.Cmd {
	return func() tea.Msg {
		select {
		case e := <-v.visitor.Events:
			return told{e}
		case <-v.done:
			return nil
		}
	}
}

// Update hands messages to the App, and tells the room what came of them.
func (v *visit) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case told:
		cmd = tea.Batch(v.listen(), v.hear(msg.event))
	case minute:
		if msg.turn == v.turn {
			cmd = v.announce()
		}
	default:
		_, cmd = v.app.Update(msg)
	}
	w := v.app.Where()
	v.visitor.At(w.Lesson, w.Doing, w.Change)
	return v, cmd
}

// hear takes in what the session is told.
func (v *visit) hear(e room.Event) tea.Cmd {
	switch e.Kind {
	case room.Noted:
		v.note, v.noteAt = fmt.Sprintf("%s %s: %s", e.At.Local().Format("15:04"), e.From, e.Text), v.now()
	case room.Ruled:
		_, cmd := v.app.Update(tui.RulesChanged{})
		return tea.Batch(cmd, v.announce())
	case room.Closing:
		v.closing.Store(true)
		return tea.Quit
	}
	return v.announce()
}

// announce puts the note and the time that is left on the screen, and comes back
// when either changes.
func (v *visit) announce() tea.Cmd {
	v.turn++
	text := ""
	again := time.Duration(0)
	if left := noteTime - v.now().Sub(v.noteAt); v.note != "" && left > 0 {
		text, again = v.note, left
	} else {
		v.note = ""
	}
	e := v.room.Exam(v.visitor.Site)
	var over tea.Cmd
	if v.exam && e == nil {
		// Its time is over; nobody has ruled anything.
		_, over = v.app.Update(tui.RulesChanged{})
	}
	v.exam = e != nil
	if e != nil {
		left := e.Until.Sub(v.now())
		exam := fmt.Sprintf("examination %s: %s left", e.Title, minutes(left))
		if text != "" {
			exam += ". " + text
		}
		text = exam
		next := left % time.Minute
		if next < time.Second {
			next = min(left, time.Minute)
		}
		if again == 0 || next < again {
			again = next
		}
	}
	_, cmd := v.app.Update(tui.Notice{Text: text})
	cmd = tea.Batch(over, cmd)
	if again == 0 {
		return cmd
	}
	turn := v.turn
	return tea.Batch(cmd, tea.Tick(again+10*time.Millisecond, func(time.Time) tea.Msg { return minute{turn} }))
}

func minutes(d time.Duration) string {
	n := int((d + time.Minute - 1) / time.Minute)
	if n == 1 {
		return "1 minute"
	}
	return fmt.Sprintf("%d minutes", n)
}

// View is the App's, as of now; whoever watches the learner sees it too.
func (v *visit) View() string {
	v.app.CatchUp()
	frame := v.app.View()
	v.visitor.Show(frame)
	return frame
}
