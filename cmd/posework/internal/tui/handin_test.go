package tui

import (
	"os"
	"path/filepath"
	"testing"

	"posework/cmd/posework/internal/seat"
)

// inFolder makes a folder with programs and stays in it for the test.
func inFolder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	t.Chdir(dir)
	for _, name := range []string{"week1/pick.yaml", "week1/place.yml", "week1/notes.txt", "other.yaml", ".hidden.yaml"} {
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte("x"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// handInAt opens the hand-in screen of the lesson with a task.
func handInAt(t *testing.T) (*driver, *handInScreen) {
	t.Helper()
	d := start(t, testSeat(t))
	d.keys("down", "down", "down", "enter", "h")
	return d, d.app.top().(*handInScreen)
}

func TestHandInScreen(t *testing.T) {
	inFolder(t)
	d, _ := handInAt(t)
	d.golden("hand-in")
}

func TestHandInChoosesFiles(t *testing.T) {
	inFolder(t)
	d, s := handInAt(t)
	d.shows("week1/", "other.yaml")
	d.hides("hidden")
	d.keys("w", "tab")
	if s.path.Value() != "week1/" {
		t.Errorf("tab completes to %q", s.path.Value())
	}
	d.shows("pick.yaml", "place.yml")
	d.hides("notes.txt")
	d.keys("down", "tab")
	if s.path.Value() != "week1/place.yml" {
		t.Errorf("down and tab take %q", s.path.Value())
	}
	d.keys("ctrl+u", ".h")
	d.shows(".hidden.yaml")
	d.keys("ctrl+u", "nothing")
	d.shows("none that begins like this")
	d.keys("ctrl+u", "elsewhere/")
	d.shows("this folder can't be read: no such file")
	d.keys("esc")
	d.shows("Caution")
}

func TestHandInSaysWhyNot(t *testing.T) {
	inFolder(t)
	d, _ := handInAt(t)
	d.keys("gone.yaml", "enter")
	d.shows("Not handed in: open gone.yaml: no such file")
	d.keys("ctrl+u", "~/")
	d.hides("Not handed in")
}

// An opened folder is no program; enter goes into it.
func TestHandInEnterOpensFolders(t *testing.T) {
	inFolder(t)
	d, s := handInAt(t)
	d.keys("enter")
	if s.path.Value() != "week1/" || s.busy != "" {
		t.Errorf("enter on a folder: path %q, busy %q", s.path.Value(), s.busy)
	}
}

// While a program is graded, keys change nothing, and the outcome finds its
// screen.
func TestHandInWhileGrading(t *testing.T) {
	inFolder(t)
	d, s := handInAt(t)
	s.busy = "other.yaml"
	d.shows("Running other.yaml")
	d.keys("x", "esc")
	d.shows("Running other.yaml")
	d.send(graded{outcome: testOutcome(d.app.seat)})
	d.shows("NOT PASSED")
	if _, ok := d.app.top().(*findingsScreen); !ok {
		t.Errorf("top is %T", d.app.top())
	}
}

// The program that was handed in last is offered again, and r hands it in
// without asking.
func TestHandInAgain(t *testing.T) {
	inFolder(t)
	d, _ := handInAt(t)
	o := testOutcome(d.app.seat)
	o.File = "week1/place.yml"
	d.send(openFindings{o})
	d.keys("esc", "h")
	s := d.app.top().(*handInScreen)
	if list := s.matches(); s.path.Value() != "week1/" || s.chosen >= len(list) || list[s.chosen] != "place.yml" {
		t.Errorf("path is %q, pointer at %d of %v, want the last program", s.path.Value(), s.chosen, list)
	}
	o.File = "week1/gone.yaml"
	d.send(openFindings{o})
	d.keys("r")
	d.shows("Not handed in: open week1/gone.yaml")
}

// An outcome that comes after the learner has left is not shown.
func TestLateOutcomeIsDropped(t *testing.T) {
	d, s := handInAt(t)
	updated, cmd := s.Update(graded{outcome: &seat.Outcome{}})
	if updated != screen(s) || cmd != nil {
		t.Errorf("a late outcome does something: %T", cmd)
	}
	d.shows("YOUR PROGRAM FILE")
}
