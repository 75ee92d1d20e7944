package host

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// paced shows a model no more often than its pace allows: drawing a picture of a
// cell costs more than all else that a session does. A frame that is not drawn
// takes no time at all; the last one always is.
type paced struct {
	model tea.Model
	pace  *pace
	catch func()             // lets time pass in the model until now
	shown func(frame string) // is told of each frame

	frame   string
	stale   bool // the frame is older than the model
	due     bool // it may be drawn now
	waiting bool // frameDue will come
	drawn   time.Time
	window  int // the pace's
}

// frameDue comes when a frame may be drawn again.
type frameDue struct{ at time.Time }

// Init begins the model.
func (p *paced) Init() tea.Cmd { return p.model.Init() }

// Update hands a message on.
func (p *paced) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if due, ok := msg.(frameDue); ok {
		p.due, p.waiting = true, false
		now := time.Now()
		p.pace.delayed(now.Sub(due.at), now)
		return p, nil
	}
	var cmd tea.Cmd
	p.model, cmd = p.model.Update(msg)
	p.stale = true
	if _, ok := msg.(tea.WindowSizeMsg); ok {
		p.due = true // what is shown has nothing to do with the new size
	}
	now := time.Now()
	wait := p.pace.apart() - now.Sub(p.drawn)
	if wait <= 0 {
		p.due = true
	}
	if p.due || p.waiting {
		return p, cmd
	}
	p.waiting = true
	at := now.Add(wait)
	return p, tea.Batch(cmd, tea.Tick(wait, func(time.Time) tea.Msg { return frameDue{at} }))
}

// View returns the newest frame that was drawn.
func (p *paced) View() string {
	if p.stale && p.due {
		began := time.Now()
		p.catch()
		p.frame, p.drawn = p.model.View(), time.Now()
		p.stale, p.due = false, false
		p.pace.drew(&p.window, p.drawn.Sub(began), p.drawn)
		p.shown(p.frame)
	}
	return p.frame
}
