package host

import (
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	gossh "golang.org/x/crypto/ssh"

	"posework/cmd/posework/internal/host/room"
	"posework/cmd/posework/internal/seat"
	"posework/cmd/posework/internal/tui"
	"posework/grader/records"
)

// class is a host with an instructor and a learner who are in.
func class(t *testing.T) (h *running, tom, ines *client) {
	t.Helper()
	h = serve(t, nil)
	tomKey, inesKey := h.person("Tom Ashdown", records.Instructor), h.person("Ines Calloway", records.Learner)
	ines = h.terminal(120, 40, gossh.PublicKeys(inesKey))
	ines.sees(t, "Walk round the soap cell")
	tom = h.terminal(120, 40, gossh.PublicKeys(tomKey))
	tom.sees(t, "1 learner is in")
	return h, tom, ines
}

// enter opens a lesson from the list.
func (c *client) enter(words string) {
	c.t.Helper()
	c.press(words, enter)
	c.sees(c.t, "p practise")
}

func TestInstructorSeesTheClass(t *testing.T) {
	h, tom, ines := class(t)
	tom.sees(t, "Ines Calloway")
	tom.sees(t, "chooses a lesson")
	ines.enter("home pose")
	tom.sees(t, "reads, 0 min: A home pose you can trust")
	ines.press("p")
	ines.sees(t, "device released")
	tom.sees(t, "practises")

	// Watching: what the learner sees, and nothing the other way.
	tom.press("w")
	tom.sees(t, "device released")
	tom.press("r", " ", right, "x")
	ines.press("r")
	ines.sees(t, "Record")
	tom.sees(t, "Record in base as")
	ines.press(enter)
	ines.sees(t, "recorded p1")
	tom.sees(t, "recorded p1")
	if strings.Contains(ines.text(), "device in the middle") {
		t.Error("a key of the instructor reached the learner")
	}
	tom.press(esc)
	tom.sees(t, "1 learner is in")

	// A note.
	tom.press("n")
	tom.sees(t, "Note to everybody")
	tom.press("five more minutes", enter)
	ines.sees(t, "Tom Ashdown: five more minutes")

	// The list of keys.
	tom.press("?")
	tom.sees(t, "watch the chosen learner's screen")
	tom.press("x")
	tom.press("c")
	tom.sees(t, "0 of 22 lessons passed")
	tom.press(esc)
	tom.sees(t, "1 learner is in")
	ines.press(ctrlC)
	ines.over()
	tom.sees(t, "0 learners are in")
	if !strings.Contains(tom.text(), "nobody is in yet") {
		t.Errorf("the instructor sees\n%s", tom.text())
	}
	left(t, h, 1)
}

func TestInstructorClosesALesson(t *testing.T) {
	h, tom, ines := class(t)
	ines.enter("home pose")
	tom.press("l")
	tom.sees(t, "Class: lessons")
	for range 10 {
		tom.press(down)
	}
	tom.sees(t, "▸ 11  A home pose")
	tom.press("o")
	tom.sees(t, "closed")
	ines.sees(t, "the instructor has closed this lesson for now")
	ines.press(enter)
	ines.sees(t, "the instructor has closed this lesson for now")
	tom.press("o")
	for end := time.Now().Add(patience); h.Room.Closed("main", "home-pose"); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("the lesson stays closed")
		}
	}
	ines.press(enter)
	ines.sees(t, "p practise")
}

func TestExam(t *testing.T) {
	h, tom, ines := class(t)
	folder := filepath.Join(h.Folder, folderOf("Ines Calloway"))
	good, err := os.ReadFile("../../../../lessons/11-home-pose/answers/good-joint-moves.yaml")
	if err != nil {
		t.Fatal(err)
	}
	ines.enter("home pose")
	ines.sees(t, "n hint")
	ines.sees(t, "a quiz")
	tom.press("l")
	tom.sees(t, "Class: lessons")
	for range 10 {
		tom.press(down)
	}
	tom.press("x")
	tom.sees(t, "Minutes of the examination")
	tom.press("\x15", "0", enter)
	tom.sees(t, "from 1 to 480 minutes")
	tom.press("x")
	tom.sees(t, "Minutes of the examination")
	tom.press("\x15", "30", enter)
	tom.sees(t, "An examination is going on")
	ines.sees(t, "examination A home pose you can trust: 30 minutes left")
	ines.sees(t, "the instructor has changed what is open")

	// Another lesson is closed, and this one has neither hints nor questions.
	ines.press("\x7f\x7f\x7f\x7f\x7f\x7f\x7f\x7f\x7f", "jogging", enter)
	ines.sees(t, "only its lesson is open")
	ines.press(esc)
	ines.sees(t, "lessons passed")
	ines.enter("home pose")
	if text := ines.text(); strings.Contains(text, "n hint") || strings.Contains(text, "a quiz") {
		t.Errorf("an examination has hints or questions:\n%s", text)
	}
	// A program that was written before is not there.
	ines.press("h")
	ines.sees(t, "there is no program of this lesson yet")
	name := h.Room.Exam("main")
	if name == nil {
		t.Fatal("no examination is known")
	}
	files, err := filepath.Glob(filepath.Join(folder, "*"))
	if err != nil || len(files) != 0 {
		t.Fatal(files, err)
	}
	ines.press("p")
	ines.sees(t, "device released")
	ines.press("r")
	ines.sees(t, "Record")
	ines.press(enter)
	ines.sees(t, "saved")
	ines.press(esc)
	ines.sees(t, "p practise")
	files, err = filepath.Glob(filepath.Join(folder, "home-pose-exam-*.yaml"))
	if err != nil || len(files) != 1 {
		t.Fatal(files, err)
	}
	if err := os.WriteFile(files[0], good, 0o600); err != nil {
		t.Fatal(err)
	}
	ines.press("h")
	ines.sees(t, "checks")
	attempts := func(want int) []records.Attempt {
		t.Helper()
		list, err := h.Store.Attempts(t.Context(), records.AttemptFilter{Person: "Ines Calloway", Standing: true}, records.Page{Newest: true})
		if err != nil || len(list) != want {
			t.Fatalf("%d attempts count, %v; want %d", len(list), err, want)
		}
		return list
	}
	first := attempts(1)[0]
	if own := theCourse().Find("home-pose").For("Ines Calloway"); own.Seed == first.Seed {
		t.Error("the examination is in the cell that was practised in")
	}

	// One hand-in, whatever the way.
	ines.press("r")
	ines.sees(t, "you have handed in your one program of this examination")
	ines.press(esc)
	ines.sees(t, "p practise")
	ines.press("h")
	ines.sees(t, "you have handed in your one program of this examination")
	ines.press(esc)
	ines.sees(t, "p practise")
	ines.press("p")
	ines.sees(t, "device released")
	ines.press("h")
	ines.sees(t, "you have handed in your one program of this examination")
	attempts(1)

	// Reset, they may once more.
	tom.press(esc)
	tom.sees(t, "Found so far")
	tom.press(enter)
	tom.sees(t, "Newest attempts that count")
	tom.sees(t, " points")
	tom.press("r")
	tom.sees(t, "Reset this attempt")
	tom.press("y")
	tom.sees(t, "none yet")
	ines.press("h")
	ines.sees(t, "checks")
	if again := attempts(1)[0]; again.ID == first.ID || again.Seed != first.Seed {
		t.Errorf("the second attempt is %d in cell %d, the first %d in %d", again.ID, again.Seed, first.ID, first.Seed)
	}
	tom.press(esc)
	tom.sees(t, "e end exam")
	tom.press("e")
	tom.sees(t, "End the examination")
	tom.press("y")
	ines.sees(t, "the instructor has changed what is open")
	for end := time.Now().Add(patience); strings.Contains(ines.text(), "examination A home"); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("the examination is still told of:\n%s", ines.text())
		}
	}
}

// What was ruled holds on a host that is started anew, and on another one.
func TestRulingsOutliveAHost(t *testing.T) {
	h, tom, _ := class(t)
	tom.press("l")
	tom.sees(t, "Class: lessons")
	tom.press("o")
	tom.sees(t, "closed")
	other, err := New(t.Context(), h.Options)
	if err != nil {
		t.Fatal(err)
	}
	if first := theCourse().Lessons[0].ID; !other.Room.Closed("main", first) || other.Room.Closed("annex", first) {
		t.Error("another host does not know that the lesson is closed, or takes it for closed elsewhere")
	}
}

// An examination whose time is over lets everybody go on, without anybody's doing.
func TestExamRunsOut(t *testing.T) {
	var later atomic.Int64
	began := time.Now()
	h := serve(t, func(o *Options) { o.Now = func() time.Time { return began.Add(time.Duration(later.Load())) } })
	h.person("Tom Ashdown", records.Instructor)
	in := &room.Instructor{Room: h.Room, Name: "Tom Ashdown", Site: "main"}
	if err := in.Examine(t.Context(), "home-pose", 1); err != nil {
		t.Fatal(err)
	}
	st := &seat.Seat{
		Course: theCourse(), Person: "Ines Calloway", Store: h.Store, Now: h.Now, Folder: t.TempDir(),
		Rules: func(lesson string) seat.Rules { return h.Room.Rules("main", lesson) },
	}
	app := tui.New(t.Context(), st, tui.NewTheme(environ{"TERM=xterm"}.renderer(), true), "")
	v := &visit{app: app, visitor: room.NewVisitor("Ines Calloway", "", "main", records.Learner), room: h.Room, now: h.Now}
	if err := h.Room.Enter(v.visitor, 10, 10); err != nil {
		t.Fatal(err)
	}
	v.Update(tea.WindowSizeMsg{Width: 120, Height: 40})
	v.announce()
	for _, key := range "home pose" {
		v.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{key}})
	}
	_, cmd := v.Update(tea.KeyMsg{Type: tea.KeyEnter})
	if cmd == nil {
		t.Fatal("enter opens nothing")
	}
	v.Update(cmd())
	if w := app.Where(); w.Lesson != "home-pose" || !strings.Contains(app.View(), "1 minute left") {
		t.Fatalf("at first: %+v\n%s", w, app.View())
	}
	v.announce()
	if w := app.Where(); w.Lesson != "home-pose" {
		t.Error("the lesson is left before its time")
	}
	later.Store(int64(time.Minute))
	v.announce()
	if w := app.Where(); w.Lesson != "" || strings.Contains(app.View(), "examination") {
		t.Errorf("in the end: %+v\n%s", w, app.View())
	}
}
