//go:build tmux

package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// terminal is the real program in a real terminal, driven through tmux.
type terminal struct {
	t      *testing.T
	socket string
}

// open starts posework in a window of its own, with an empty home.
func open(t *testing.T, width, height int, env ...string) *terminal {
	t.Helper()
	dir := t.TempDir()
	bin := filepath.Join(dir, "posework")
	if out, err := exec.Command("go", "build", "-o", bin, ".").CombinedOutput(); err != nil {
		t.Fatalf("go build: %v\n%s", err, out)
	}
	if err := copyAnswers(dir); err != nil {
		t.Fatal(err)
	}
	c := &terminal{t, filepath.Join(dir, "tmux")}
	line := strings.Join(append([]string{"env", "-u", "CI", "HOME=" + dir, "XDG_DATA_HOME=", "LANG=C.UTF-8", "USER=jo"}, env...), " ") + " " + bin + "; echo left with $?; sleep 60"
	c.tmux("new-session", "-d", "-x", fmt.Sprint(width), "-y", fmt.Sprint(height), "-c", dir, line)
	t.Cleanup(func() { exec.Command("tmux", "-S", c.socket, "kill-server").Run() })
	return c
}

func (c *terminal) tmux(args ...string) string {
	c.t.Helper()
	cmd := exec.Command("tmux", append([]string{"-S", c.socket, "-f", os.DevNull}, args...)...)
	out, err := cmd.CombinedOutput()
	if err != nil {
		c.t.Fatalf("tmux %s: %v\n%s", strings.Join(args, " "), err, out)
	}
	return string(out)
}

// press sends keys by the names that tmux gives them.
func (c *terminal) press(keys ...string) {
	c.t.Helper()
	for _, k := range keys {
		c.tmux("send-keys", k)
	}
}

// typed sends text as it is.
func (c *terminal) typed(text string) {
	c.t.Helper()
	c.tmux("send-keys", "-l", text)
}

// sees waits until the screen shows every text.
func (c *terminal) sees(texts ...string) string {
	c.t.Helper()
	var screen string
	for deadline := time.Now().Add(20 * time.Second); time.Now().Before(deadline); time.Sleep(50 * time.Millisecond) {
		screen = c.tmux("capture-pane", "-p")
		missing := false
		for _, text := range texts {
			missing = missing || !strings.Contains(screen, text)
		}
		if !missing {
			return screen
		}
	}
	c.t.Fatalf("the screen never shows all of %q:\n%s", texts, screen)
	return ""
}

// A new learner: finds a lesson, reads it, hands in a flawed program, looks at
// the finding, hands in a good one, answers a question, and leaves. The window
// changes its size on the way.
func TestLearnerInATerminal(t *testing.T) {
	c := open(t, 80, 24)
	c.sees("Course", "Walk round the soap cell", "0 of ", "jo")
	c.typed("approach crate")
	c.sees("Find: approach crate", "Approach the curing crate")
	c.press("Enter")
	c.sees("! Caution", "A simulation teaches habits")
	c.press("?")
	c.sees("hand in a program file", "any key closes this list")
	c.press("x", "h")
	c.sees("Path:", "answers/")
	c.typed("answers/approach-the-crate/flawed-fast-app")
	c.sees("flawed-fast-approach.yaml")
	c.press("Enter")
	c.sees("NOT PASSED", "FAST_APPROACH")
	c.tmux("resize-window", "-x", "40", "-y", "10")
	c.sees("This window is 40 by 10.")
	c.tmux("resize-window", "-x", "160", "-y", "48")
	c.sees("NOT PASSED", "measured", "why")
	c.press("Enter")
	c.sees("What it means")
	c.press("Escape")
	c.sees("NOT PASSED")
	c.press("Escape")
	c.sees("Where you stand", "Program not passed yet")
	c.press("h")
	c.sees("Path:")
	c.typed("good-step") // in the folder of the last one
	c.sees("good-step-by-step.yaml")
	c.press("Enter")
	c.sees("PASSED   100 of 100", "still has to be proved")
	c.press("a")
	c.sees("Question 1 of ")
	c.press("Escape")
	c.sees("PASSED   100 of 100")
	c.press("Escape")
	c.sees("Program passed, best 100")
	c.press("C-c")
	c.sees("left with 0")
}

// NO_COLOR: no colour is sent, and the screens say the same.
func TestNoColour(t *testing.T) {
	c := open(t, 80, 24, "NO_COLOR=1")
	c.sees("Course", "BEFORE THE ARM MOVES")
	if screen := c.tmux("capture-pane", "-p", "-e"); strings.Contains(screen, "\x1b[3") || strings.Contains(screen, "\x1b[1m") {
		t.Errorf("colour or bold is sent:\n%q", screen)
	}
}

// A terminal that can't draw gets prompts.
func TestDumbTerminal(t *testing.T) {
	c := open(t, 80, 24, "TERM=dumb")
	c.sees("for a refresher, words to find, or q to leave:")
	c.typed("q")
	c.press("Enter")
	c.sees("left with 0")
}
