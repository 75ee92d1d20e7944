package tui

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"posework/cmd/posework/internal/seat"
	"posework/grader/records"
	"posework/lessons"
)

// Records that go away in the middle of a lesson take nothing with them but
// themselves: the answer is marked and the program graded as before, and what
// could not be kept is said.
func TestRecordsGoneInMidLesson(t *testing.T) {
	for _, loss := range []struct {
		name string
		lose func(t *testing.T, s *records.Store, file string)
	}{
		{"closed", func(t *testing.T, s *records.Store, _ string) { s.Close() }},
		{"removed", func(t *testing.T, _ *records.Store, file string) {
			for _, f := range []string{file, file + "-wal", file + "-shm"} {
				if err := os.Remove(f); err != nil && !errors.Is(err, fs.ErrNotExist) {
					t.Fatal(err)
				}
			}
		}},
	} {
		t.Run(loss.name, func(t *testing.T) {
			s := recorded(t)
			s.Store.Close()
			file := filepath.Join(t.TempDir(), "records.db")
			store, err := records.Open(t.Context(), file)
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { store.Close() })
			s.Store = store
			t.Chdir(t.TempDir())
			answer, err := fs.ReadFile(lessons.Embedded(), "11-home-pose/answers/good-joint-moves.yaml")
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile("mine.yaml", answer, 0o644); err != nil {
				t.Fatal(err)
			}
			d := start(t, s)
			d.send(openLesson{s.Course.Find("home-pose")})
			loss.lose(t, store, file)
			d.keys("a")
			solve(d, &d.app.top().(*quizScreen).question)
			d.shows("Right.", "keep the answer")
			d.send(goBack{})
			d.keys("h")
			d.keys("ctrl+u", "mine.yaml", "enter")
			d.shows("keep the attempt")
			if _, ok := d.app.top().(*findingsScreen); !ok {
				t.Errorf("the program is not graded:\n%s", d.screen())
			}
		})
	}
}

// A clock that is set back or ahead moves no arm.
func TestClockJumpsAtTheBench(t *testing.T) {
	b := atBench(t, "")
	b.hold("right", 0.5)
	for _, jump := range []time.Duration{-time.Hour, 24 * time.Hour, -48 * time.Hour} {
		before := b.reading().Q
		b.keys("right")
		b.now = b.now.Add(jump)
		b.send(timePassed{b.now})
		for i, q := range b.reading().Q {
			// As far as an axis gets at reduced speed in the longest time that one
			// picture stands for.
			if moved := q - before[i]; moved > 0.1 || moved < -0.1 {
				t.Errorf("the clock goes by %v, and axis %d by %g rad", jump, i+1, moved)
			}
		}
	}
	before := b.reading().Q
	b.hold("right", 0.5)
	if b.reading().Q == before {
		t.Error("after the jumps the arm does not move any more")
	}
}

// Windows without room, and far too much of it, at every screen.
func TestAbsurdSizes(t *testing.T) {
	s := testSeat(t)
	d := start(t, s)
	absurd := func(what string, d *driver) {
		t.Helper()
		for _, size := range [][2]int{{0, 0}, {1, 1}, {1000, 1000}, {0, 24}, {80, 0}, {1, 1000}, {1000, 1}, {2, 500}, {500, 2}, {60, 16}, {-1, -1}, {80, 24}} {
			d.size(size[0], size[1])
			for _, key := range []string{"end", "up", "pgdown", "right"} {
				checkSize(t, d.app.View(), max(size[0], 0), max(size[1], 1))
				d.keys(key)
			}
			if t.Failed() {
				t.Fatalf("%s at %dx%d:\n%s", what, size[0], size[1], d.app.View())
			}
		}
	}
	absurd("course", d)
	d.send(openLesson{s.Course.Find("approach")})
	absurd("lesson", d)
	d.keys("h")
	absurd("hand-in", d)
	d.send(openFindings{testOutcome(s)})
	absurd("findings", d)
	d.send(openCode{"FAST_APPROACH"})
	absurd("code", d)
	d.send(goBack{})
	d.send(openQuiz{s.Course.Find("approach")})
	absurd("quiz", d)
	d.keys("?")
	absurd("keys", d)

	r := start(t, recorded(t))
	absurd("the whole course", r)
	r.send(openDeck{seat.DeckStanding{Deck: r.app.seat.Course.Decks[0]}})
	absurd("refresher", r)
	r.keys("enter")
	absurd("its questions", r)

	b := atBench(t, liftProgram)
	for range int(areas) {
		absurd("bench", b.driver)
		b.keys("tab")
	}
	b.hold("right", 0.3)
	absurd("bench in motion", b.driver)
	o, _, err := seat.Grade(b.screenOf().lesson, "lift.yaml", []byte(liftProgram), nil)
	if err != nil {
		t.Fatal(err)
	}
	b.send(openMoment{o, 0})
	absurd("moment", b.driver)
	b.keys("space")
	absurd("moment in motion", b.driver)

	c, in := atDesk(t)
	absurd("class", c)
	c.keys("n")
	absurd("note to the class", c)
	c.keys("esc", "w")
	c.shows("in three lines")
	absurd("watching", c)
	c.keys("esc", "enter")
	c.shows("none yet")
	absurd("attempts", c)
	c.keys("esc", "l")
	absurd("lessons of the class", c)
	if err := in.Examine(t.Context(), "home-pose", 45); err != nil {
		t.Fatal(err)
	}
	c.send(roomChanged{in.Room.State("main")})
	c.keys("e")
	c.shows("End the examination")
	absurd("end of an examination", c)
}
