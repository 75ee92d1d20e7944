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
	Size    Size          // at the start
	Resized <-chan Size   // nil: it keeps its size
	Apart   time.Duration // the least time between two frames
}

// Show runs a model on a target until it quits or ctx is done, neither of which
// is an error. It ends with an error when the output takes nothing any more.
func Show(ctx context.Context, m tea.Model, t Target, options ...tea.ProgramOption) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	p := &painter{out: t.Out, apart: t.Apart, width: t.Size.Width}
	v := &view{model: m, painter: p, gone: stop}
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

// view hands what its model looks like to a painter.
type view struct {
	model   tea.Model
	painter *painter
	gone    func()
}

func (v *view) Init() tea.Cmd { return v.model.Init() }

func (v *view) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	defer v.tidy()
	if size, ok := msg.(tea.WindowSizeMsg); ok {
		v.painter.resize(size.Width)
	}
	var cmd tea.Cmd
	v.model, cmd = v.model.Update(msg)
	return v, v.careful(cmd)
}

// View is where the library asks for a frame after every change.
func (v *view) View() string {
	defer v.tidy()
	v.painter.show(v.model.View())
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
