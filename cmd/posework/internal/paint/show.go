package paint

import (
	"context"
	"errors"
	"io"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// Size is a terminal's size in cells.
type Size struct{ Width, Height int }

// Target is where a model is shown and where its keys come from.
type Target struct {
	In      io.Reader
	Out     io.Writer
	Size    Size        // at the start
	Resized <-chan Size // nil: it keeps its size
	Pace    Pace
}

// Pace is how often a model is drawn. It is told how that goes.
type Pace interface {
	Apart() time.Duration                   // the least time between two frames, as of now
	Drew(took time.Duration, at time.Time)  // a frame was drawn, which took so long
	Delayed(by time.Duration, at time.Time) // a frame that had to wait came so much later than planned
}

// Every is a pace that stays the same, whatever happens.
type Every time.Duration

// Apart is the least time between two frames.
func (e Every) Apart() time.Duration { return time.Duration(e) }

// Drew changes nothing.
func (e Every) Drew(time.Duration, time.Time) {}

// Delayed changes nothing.
func (e Every) Delayed(time.Duration, time.Time) {}

// Show runs a model on a target until it quits or ctx is done, neither of which
// is an error. It ends with an error when the output takes nothing any more.
func Show(ctx context.Context, m tea.Model, t Target, options ...tea.ProgramOption) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	p := &painter{out: t.Out, width: t.Size.Width}
	v := &view{model: m, painter: p, pace: t.Pace, gone: stop}
	options = append(options,
		tea.WithContext(ctx), tea.WithInput(t.In), tea.WithOutput(io.Discard),
		tea.WithoutRenderer(), tea.WithFilter(v.guard))
	program := tea.NewProgram(v, options...)
	p.open()
	defer p.close()
	sized := make(chan struct{})
	go func() {
		defer close(sized)
		program.Send(tea.WindowSizeMsg{Width: t.Size.Width, Height: t.Size.Height})
		for {
			select {
			case <-ctx.Done():
				return
			case size, ok := <-t.Resized:
				if !ok {
					return
				}
				program.Send(tea.WindowSizeMsg{Width: size.Width, Height: size.Height})
			}
		}
	}()
	_, err := program.Run()
	stop()
	<-sized
	if failed := p.failed(); failed != nil {
		return failed
	}
	if errors.Is(err, tea.ErrProgramPanic) || ctx.Err() == nil {
		return err
	}
	return nil
}

// view hands what its model looks like to a painter, no more often than the pace
// allows: drawing a picture of a cell costs more than all else that a session does.
// A frame that is not shown takes no time at all; the last one always is shown.
type view struct {
	model   tea.Model
	painter *painter
	pace    Pace
	gone    func()

	stale   bool // the model has changed since it was drawn
	due     bool // it may be drawn now
	waiting bool // frameDue will come
	drawn   time.Time
}

// frameDue comes when a frame may be drawn again.
type frameDue struct{ at time.Time }

func (v *view) Init() tea.Cmd { return v.model.Init() }

func (v *view) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	defer v.tidy()
	switch msg := msg.(type) {
	case frameDue:
		v.due, v.waiting = true, false
		now := time.Now()
		v.pace.Delayed(now.Sub(msg.at), now)
		return v, nil
	case tea.WindowSizeMsg:
		v.painter.resize(msg.Width)
		v.due = true // what is shown has nothing to do with the new size
	}
	var cmd tea.Cmd
	v.model, cmd = v.model.Update(msg)
	v.stale = true
	return v, tea.Batch(v.careful(cmd), v.wait())
}

// wait comes back when the next frame may be drawn, unless it may be at once.
func (v *view) wait() tea.Cmd {
	now := time.Now()
	wait := v.pace.Apart() - now.Sub(v.drawn)
	v.due = v.due || wait <= 0
	if v.due || v.waiting {
		return nil
	}
	v.waiting = true
	at := now.Add(wait)
	return tea.Tick(wait, func(time.Time) tea.Msg { return frameDue{at} })
}

// View is where the library asks for a frame after every change.
func (v *view) View() string {
	defer v.tidy()
	if !v.stale || !v.due {
		return ""
	}
	began := time.Now()
	frame := v.model.View()
	v.drawn, v.stale, v.due = time.Now(), false, false
	v.pace.Drew(v.drawn.Sub(began), v.drawn)
	v.painter.show(frame)
	if v.painter.failed() != nil {
		v.gone()
	}
	return ""
}

// tidy gives the terminal back before a panic is told on it.
func (v *view) tidy() {
	if r := recover(); r != nil {
		v.painter.close()
		panic(r)
	}
}

// careful is cmd, which gives the terminal back when it panics.
func (v *view) careful(cmd tea.Cmd) tea.Cmd {
	if cmd == nil {
		return nil
	}
	return func() tea.Msg {
		defer v.tidy()
		return cmd()
	}
}

// guard makes every command of a batch careful.
func (v *view) guard(_ tea.Model, msg tea.Msg) tea.Msg {
	if batch, ok := msg.(tea.BatchMsg); ok {
		careful := make(tea.BatchMsg, len(batch))
		for i, cmd := range batch {
			careful[i] = v.careful(cmd)
		}
		return careful
	}
	return msg
}
