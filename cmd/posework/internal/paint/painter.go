package paint

import (
	"io"
	"strings"
	"sync"

	"github.com/charmbracelet/x/ansi"
)

// painter draws frames, each only where it differs from the one before.
type painter struct {
	mu     sync.Mutex
	out    io.Writer
	width  int
	shown  []string // the lines on the terminal; nil: not known
	opened bool
	err    error // of the first write that went wrong
}

// The terminal is set up by the sequences of ECMA-48 and of xterm, which every
// terminal in use knows: another screen than the shell's, no cursor, and pasted
// text marked as such.
const (
	openTerminal  = ansi.SetModeAltScreenSaveCursor + ansi.EraseEntireScreen + ansi.CursorHomePosition + ansi.HideCursor + ansi.SetModeBracketedPaste
	closeTerminal = ansi.ResetModeBracketedPaste + ansi.ShowCursor + ansi.ResetModeAltScreenSaveCursor
)

func (p *painter) open() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.opened = true
	p.write(openTerminal)
}

// close gives the terminal back. Frames that come later are dropped.
func (p *painter) close() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if !p.opened {
		return
	}
	p.opened = false
	p.write(closeTerminal)
}

// resize forgets what the terminal shows: what it does to its lines when its
// size changes is its own affair.
func (p *painter) resize(width int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.width, p.shown = width, nil
}

// show sends the lines of a frame that are not shown already.
func (p *painter) show(frame string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if !p.opened {
		return
	}
	lines := strings.Split(frame, "\n")
	var b strings.Builder
	if p.shown == nil {
		b.WriteString(ansi.EraseEntireScreen)
	}
	for i, line := range lines {
		if i < len(p.shown) && p.shown[i] == line {
			continue
		}
		b.WriteString(ansi.CursorPosition(1, i+1))
		b.WriteString(line)
		// The sequence would wipe the last cell of a line that fills the width.
		if p.shown != nil && ansi.StringWidth(line) < p.width {
			b.WriteString(ansi.EraseLineRight)
		}
	}
	if len(lines) < len(p.shown) {
		b.WriteString(ansi.CursorPosition(1, len(lines)+1) + ansi.EraseScreenBelow)
	}
	p.shown = lines
	if b.Len() > 0 {
		p.write(b.String())
	}
}

func (p *painter) write(s string) {
	if _, err := io.WriteString(p.out, s); err != nil && p.err == nil {
		p.err = err
	}
}

// failed returns the error of the first write that went wrong.
func (p *painter) failed() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.err
}
