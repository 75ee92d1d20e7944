package paint

import (
	"context"
	"fmt"
	"os"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/term"
)

// apart is the time between two frames on a terminal of one's own: more frames
// than these no screen shows.
const apart = time.Second / 120

// Terminal runs a model on this program's own terminal, which gets each key as
// it is pressed, and leaves it as it was. Signals are left to the caller, who ends
// ctx on those that end the program.
func Terminal(ctx context.Context, m tea.Model, in, out *os.File) (err error) {
	before, err := term.MakeRaw(in.Fd())
	if err != nil {
		return fmt.Errorf("reading single keys: %w", err)
	}
	defer func() {
		if e := term.Restore(in.Fd(), before); e != nil && err == nil {
			err = fmt.Errorf("giving the terminal back: %w", e)
		}
	}()
	size, err := sizeOf(out)
	if err != nil {
		return err
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	// The library's own handler of signals would wait for ever to tell of one that
	// has ended ctx already.
	return Show(ctx, m, Target{In: in, Out: out, Size: size, Resized: resizes(ctx, out), Pace: Every(apart)}, tea.WithoutSignalHandler())
}

func sizeOf(out *os.File) (Size, error) {
	w, h, err := term.GetSize(out.Fd())
	if err != nil {
		return Size{}, fmt.Errorf("reading the terminal's size: %w", err)
	}
	return Size{w, h}, nil
}
