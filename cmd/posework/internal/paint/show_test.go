package paint

import (
	"context"
	"errors"
	"io"
	"strings"
	"sync"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// page counts keys; q leaves, and ! breaks, in Update or (as @) in a command.
type page struct {
	keys  int
	views int
	size  tea.WindowSizeMsg
}

func (p *page) Init() tea.Cmd { return nil }

func (p *page) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		p.size = msg
	case tea.KeyMsg:
		p.keys++
		switch msg.String() {
		case "q":
			return p, tea.Quit
		case "!":
			panic("broken")
		case "@":
			return p, tea.Batch(nil, func() tea.Msg { panic("broken aside") }, nil)
		}
	}
	return p, nil
}

func (p *page) View() string {
	p.views++
	if p.size.Width == 0 {
		return ""
	}
	return strings.Repeat("k", p.keys) + "."
}

// paper keeps all that is written, and lets a test wait for it.
type paper struct {
	mu   sync.Mutex
	text strings.Builder
	fail error
}

func (p *paper) Write(b []byte) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.fail != nil {
		return 0, p.fail
	}
	return p.text.Write(b)
}

func (p *paper) String() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.text.String()
}

func (p *paper) sees(t *testing.T, text string) {
	t.Helper()
	for deadline := time.Now().Add(10 * time.Second); time.Now().Before(deadline); time.Sleep(time.Millisecond) {
		if strings.Contains(p.String(), text) {
			return
		}
	}
	t.Fatalf("%q is never shown in %q", text, p.String())
}

func run(t *testing.T, ctx context.Context, out io.Writer) (keys io.Writer, done chan error) {
	r, w := io.Pipe()
	t.Cleanup(func() { w.Close() })
	done = make(chan error, 1)
	target := Target{In: r, Out: out, Size: Size{20, 3}, Pace: Every(0)}
	go func() { done <- Show(ctx, &page{}, target, tea.WithoutSignalHandler()) }()
	return w, done
}

func TestShow(t *testing.T) {
	out := &paper{}
	keys, done := run(t, t.Context(), out)
	out.sees(t, ".")
	io.WriteString(keys, "a")
	out.sees(t, "k.")
	io.WriteString(keys, "q")
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	if text := out.String(); !strings.HasPrefix(text, openTerminal) || !strings.HasSuffix(text, closeTerminal) {
		t.Errorf("the terminal is not set up and given back: %q", text)
	}
}

// Frames that come faster than they may be drawn take one another's place, and are
// not drawn at all; the last one always is shown.
func TestFramesWaitTheirTurn(t *testing.T) {
	out := &paper{}
	r, keys := io.Pipe()
	defer keys.Close()
	model, done := &page{}, make(chan error, 1)
	target := Target{In: r, Out: out, Size: Size{2000, 3}, Pace: Every(50 * time.Millisecond)}
	go func() { done <- Show(t.Context(), model, target, tea.WithoutSignalHandler()) }()
	for range 1000 {
		io.WriteString(keys, "a")
	}
	out.sees(t, strings.Repeat("k", 1000)+".")
	io.WriteString(keys, "q")
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	if model.views > 1000/2 {
		t.Errorf("1000 keys in a moment are drawn %d times", model.views)
	}
}

func TestShowEnds(t *testing.T) {
	t.Run("with its context", func(t *testing.T) {
		ctx, stop := context.WithCancel(t.Context())
		out := &paper{}
		_, done := run(t, ctx, out)
		out.sees(t, ".")
		stop()
		if err := <-done; err != nil {
			t.Errorf("an end that was asked for is an error: %v", err)
		}
		out.sees(t, closeTerminal)
	})
	t.Run("when nothing can be written", func(t *testing.T) {
		full := errors.New("no room")
		_, done := run(t, t.Context(), &paper{fail: full})
		if err := <-done; !errors.Is(err, full) {
			t.Errorf("the error is %v, not %v", err, full)
		}
	})
	for name, key := range map[string]string{"when an update panics": "!", "when a command panics": "@"} {
		t.Run(name, func(t *testing.T) {
			out := &paper{}
			keys, done := run(t, t.Context(), out)
			out.sees(t, ".")
			io.WriteString(keys, key)
			if err := <-done; !errors.Is(err, tea.ErrProgramPanic) {
				t.Errorf("the error is %v", err)
			}
			out.sees(t, closeTerminal)
		})
	}
}
