package tui

import (
	"context"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/host/room"
	"posework/grader/records"
)

// atDesk begins at the class of an instructor, with one learner in it. The class is
// looked at once: the context of its screen is over.
func atDesk(t *testing.T) (*driver, *room.Instructor) {
	t.Helper()
	s := recorded(t)
	for _, p := range []records.Person{
		{Name: "Tom Ashdown", Site: "main", Role: records.Instructor, At: s.Now()},
		{Name: "Ines Calloway", Site: "main", Role: records.Learner, At: s.Now()},
	} {
		if err := s.Store.AddPerson(t.Context(), p); err != nil {
			t.Fatal(err)
		}
	}
	r, err := room.New(t.Context(), s.Course, s.Store, s.Now, s.Now())
	if err != nil {
		t.Fatal(err)
	}
	v := room.NewVisitor("Ines Calloway", "", "main", records.Learner)
	if err := r.Enter(v, 1, 1); err != nil {
		t.Fatal(err)
	}
	v.At("home-pose", "reads", 0)
	v.Show("the screen of a learner\n\nin three lines")
	s.Person = "Tom Ashdown"
	in := &room.Instructor{Room: r, Name: s.Person, Site: "main"}
	d := start(t, s)
	d.app.clock.tick = func(time.Duration, func(time.Time) tea.Msg) tea.Cmd { return nil }
	over, end := context.WithCancel(t.Context())
	end()
	d.app.stack = []screen{newDeskScreen(over, s, in)}
	d.run(d.app.Init())
	d.size(80, 24)
	d.shows("1 learner is in", "Ines Calloway")
	return d, in
}

// A slip of a key ends nobody's examination, on neither of the screens that can.
func TestEndingAnExamIsAsked(t *testing.T) {
	d, in := atDesk(t)
	d.keys("l")
	d.hides("end exam") // there is none
	d.keys("e")
	d.hides("End the examination")
	for range 10 { // to a lesson with a task
		d.keys("down")
	}
	d.keys("x", "enter")
	d.shows("An examination is going on", "e end exam")
	for _, screen := range []string{"lessons", "class"} {
		d.keys("e")
		d.shows("End the examination for everybody?")
		d.keys("esc")
		if in.Room.Exam("main") == nil {
			t.Fatalf("esc has ended the examination, from the screen of the %s", screen)
		}
		d.keys("esc")
		d.send(roomChanged{in.Room.State("main")})
	}
	d.keys("l", "e", "y")
	if in.Room.Exam("main") != nil {
		t.Error("a yes has not ended the examination")
	}
	d.hides("An examination is going on")
}

// Where a learner is stands before the title of the lesson, which may be long.
func TestClassAt80Columns(t *testing.T) {
	d, _ := atDesk(t)
	d.shows("reads, 0 min: A home pose you can trust")
	d.size(40, 12)
	d.shows("posework --plain")
	d.app.seat.Folder = t.TempDir() // a guest can't start the program
	d.shows("again with ssh -T.")
}
