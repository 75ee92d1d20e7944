package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/charmbracelet/x/term"
	"github.com/creack/pty"
)

// seated is the real program on a terminal of its own, with everything that it
// has sent there.
type seated struct {
	t   *testing.T
	cmd *exec.Cmd
	tty *os.File

	mu   sync.Mutex
	seen []byte
	over chan struct{} // closed when nothing more comes
}

func sitDown(t *testing.T, bin string, args ...string) *seated {
	t.Helper()
	c := &seated{t: t, cmd: exec.Command(bin, args...), over: make(chan struct{})}
	c.cmd.Dir = t.TempDir()
	c.cmd.Env = append(os.Environ(), "HOME="+t.TempDir(), "TERM=xterm-256color", "LANG=C.UTF-8", "XDG_DATA_HOME=", "USER=jo")
	tty, err := pty.StartWithSize(c.cmd, &pty.Winsize{Rows: 24, Cols: 80})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.cmd.Process.Kill() })
	// A file that Close takes away from under a Read.
	fd, err := syscall.Dup(int(tty.Fd()))
	if err != nil {
		t.Fatal(err)
	}
	tty.Close()
	if err := syscall.SetNonblock(fd, true); err != nil {
		t.Fatal(err)
	}
	c.tty = os.NewFile(uintptr(fd), "terminal")
	go func() {
		defer close(c.over)
		for buf := make([]byte, 1<<16); ; {
			n, err := c.tty.Read(buf)
			if err != nil {
				return
			}
			c.mu.Lock()
			c.seen = append(c.seen, buf[:n]...)
			asked := bytes.HasSuffix(c.seen, []byte("\x1b[6n"))
			c.mu.Unlock()
			if asked { // where the cursor is
				c.tty.WriteString("\x1b[1;1R")
			}
		}
	}()
	return c
}

func (c *seated) text() string {
	c.mu.Lock()
	defer c.mu.Unlock()
	return string(c.seen)
}

// shows waits until the terminal has been sent a text.
func (c *seated) shows(text string) {
	c.t.Helper()
	for range 600 {
		if strings.Contains(c.text(), text) {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	c.t.Fatalf("%q is never shown, but %q", text, c.text())
}

// modes returns what the terminal does to what is typed.
func (c *seated) modes() (state term.State) {
	c.t.Helper()
	conn, err := c.tty.SyscallConn()
	if err == nil {
		err = conn.Control(func(fd uintptr) {
			s, err := term.GetState(fd)
			if err != nil {
				c.t.Fatal(err)
			}
			state = *s
		})
	}
	if err != nil {
		c.t.Fatal(err)
	}
	return state
}

// ends waits for the program's end and returns its exit status.
func (c *seated) ends() int {
	c.t.Helper()
	done := make(chan error, 1)
	go func() { done <- c.cmd.Wait() }()
	select {
	case err := <-done:
		var exit *exec.ExitError
		if err != nil && !errors.As(err, &exit) {
			c.t.Fatal(err)
		}
		return c.cmd.ProcessState.ExitCode()
	case <-time.After(30 * time.Second):
		c.t.Fatal("it never ends")
		return 0
	}
}

// TestOnATerminal takes terminal and output away from the real program.
func TestOnATerminal(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program")
	}
	bin := build(t)
	t.Run("told to end", func(t *testing.T) { toldToEnd(t, bin) })
	t.Run("window closed", func(t *testing.T) { windowClosed(t, bin) })
	t.Run("output closed", func(t *testing.T) { outputClosed(t, bin) })
}

// Told to end, the course gives the terminal back as it was.
func toldToEnd(t *testing.T, bin string) {
	for _, sig := range []syscall.Signal{syscall.SIGTERM, syscall.SIGHUP, syscall.SIGINT} {
		t.Run(sig.String(), func(t *testing.T) {
			c := sitDown(t, bin)
			c.shows("keys")
			if s := c.modes(); s.Termios.Lflag&syscall.ICANON != 0 {
				t.Error("the terminal is not raw, so that giving it back shows nothing")
			}
			if err := c.cmd.Process.Signal(sig); err != nil {
				t.Fatal(err)
			}
			if status := c.ends(); status != statusFine && status != statusFailed {
				t.Errorf("exit status %d", status)
			}
			c.shows(ansi.ShowCursor)
			c.shows(ansi.ResetModeAltScreenSaveCursor)
			if s := c.modes(); s.Termios.Lflag&syscall.ICANON == 0 || s.Termios.Lflag&syscall.ECHO == 0 {
				t.Errorf("the terminal is left raw: %#v", s.Termios)
			}
		})
	}
}

// When the window is closed, the program does not stay behind: neither on the
// signal nor, where that is held off, on a terminal that takes nothing and gives
// nothing any more.
func windowClosed(t *testing.T, bin string) {
	for name, args := range map[string][]string{"screens": nil, "prompts": {"--plain"}} {
		t.Run(name, func(t *testing.T) {
			c := sitDown(t, bin, args...)
			c.shows("posework")
			c.tty.Close()
			if status := c.ends(); status < 0 {
				t.Errorf("ended by a signal: %v", c.cmd.ProcessState)
			}
		})
	}
	t.Run("without the signal", func(t *testing.T) {
		c := sitDown(t, "/usr/bin/env", "--ignore-signal=HUP", bin)
		c.shows("keys")
		c.tty.Close()
		if status := c.ends(); status < 0 {
			t.Errorf("ended by a signal: %v", c.cmd.ProcessState)
		}
	})
}

// Whoever reads the output may have seen enough.
func outputClosed(t *testing.T, bin string) {
	cmd := exec.Command("sh", "-c", bin+" explain | head -n 1; "+bin+" lesson list >/dev/full; echo left with $?")
	cmd.Env = append(os.Environ(), "HOME="+t.TempDir(), "XDG_DATA_HOME=", "USER=jo")
	out, err := cmd.CombinedOutput()
	if err != nil || strings.Contains(string(out), "panic") || !strings.Contains(string(out), "no space left on device\nleft with 2") {
		t.Errorf("%v:\n%s", err, out)
	}
}
