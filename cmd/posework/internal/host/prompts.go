package host

import (
	"context"
	"errors"
	"fmt"
	"io"

	"golang.org/x/term"

	"posework/cmd/posework/internal/host/room"
	"posework/cmd/posework/internal/plain"
	"posework/cmd/posework/internal/seat"
)

// prompts is the course by prompts, for screen readers, terminals that can't draw
// and clients without a terminal (ssh -T).
func (g *guest) prompts(ctx context.Context, st *seat.Seat, in io.Reader, out io.Writer, code string, echo bool) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	if echo {
		// The client sends each key and shows nothing by itself.
		t := term.NewTerminal(both{in, out}, "")
		in, out = &typedLines{from: t}, t
	}
	g.visitor.At("", "works at the prompts", 0)
	go func() {
		for {
			select {
			case <-ctx.Done():
				return
			case e := <-g.visitor.Events:
				switch e.Kind {
				case room.Closing:
					g.closing.Store(true)
					stop()
				case room.Noted:
					fmt.Fprintf(out, "\nNote from %s: %s\n", e.From, e.Text)
				}
			}
		}
	}()
	note := ""
	if code != "" {
		note = nextCode(code, codeDays)
	}
	err := plain.Run(ctx, st, in, out, note)
	if errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}

// both is a client's keys and its screen.
type both struct {
	io.Reader
	io.Writer
}

// typedLines gives the lines that are typed at a terminal.
type typedLines struct {
	from *term.Terminal
	rest []byte
}

// Read returns a line or a part of it.
func (l *typedLines) Read(p []byte) (int, error) {
	if len(l.rest) == 0 {
		line, err := l.from.ReadLine()
		if err != nil && !errors.Is(err, term.ErrPasteIndicator) {
			return 0, err
		}
		l.rest = []byte(line + "\n")
	}
	n := copy(p, l.rest)
	l.rest = l.rest[n:]
	return n, nil
}
