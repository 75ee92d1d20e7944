package paint

import (
	"io"
	"strings"
	"sync"
	"time"

	"github.com/charmbracelet/x/ansi"
)

// painter draws frames, each only where it differs from the one before.
type painter struct {
	apart time.Duration

	mu     sync.Mutex
	out    io.Writer
	width  int
	shown  []string // the lines on the terminal; nil: not known
	next   string   // the frame to show
	stale  bool     // next is not shown yet
	drawn  time.Time
	timer  *time.Timer // runs while a frame waits for its turn
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

// close shows what still waits to be shown, and gives the terminal back. Frames
// that come later are dropped.
func (p *painter) close() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if !p.opened {
		return
	}
	p.flush()
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

// show draws a frame now, or as soon as its turn comes unless a newer one takes
// its place.
func (p *painter) show(frame string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if frame == p.next && p.shown != nil {
		return // it is shown, or will be
	}
	p.next, p.stale = frame, true
	if p.timer != nil {
		return
	}
	if wait := p.apart - time.Since(p.drawn); wait > 0 {
		p.timer = time.AfterFunc(wait, p.turn)
		return
	}
	p.flush()
}

func (p *painter) turn() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.timer = nil
	p.flush()
}

// flush sends the lines of the next frame that are not shown already.
func (p *painter) flush() {
	if !p.stale || !p.opened {
		return
	}
	p.stale = false
	lines := strings.Split(p.next, "\n")
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
		p.drawn = time.Now()
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
