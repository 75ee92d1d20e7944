package lessons

import (
	"flag"
	"io/fs"
	"math"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"
	"testing"

	"posework/engine/motion"
	"posework/engine/practice"
	"posework/engine/program"
	"posework/grader"
	"posework/kin"
)

var update = flag.Bool("update", false, "rewrite the practice logs of the good answers")

// logBeside reads the practice log beside an answer, nil when there is none.
func logBeside(t testing.TB, file string) *practice.Log {
	t.Helper()
	name := practice.LogFile(file)
	data, err := fs.ReadFile(Embedded(), name)
	if err != nil {
		return nil
	}
	log, l := practice.ReadLog(name, data)
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	return log
}

// planned plans a program in the cell of a lesson; nil when it can't be.
func planned(lesson *Lesson, file string, text []byte) *motion.Trajectory {
	p, l := program.Read(file, text)
	if len(l) > 0 {
		return nil
	}
	tr, l := motion.Plan(lesson.Cell, p, motion.Options{Start: lesson.Task.Start})
	if len(l) > 0 {
		return nil
	}
	return tr
}

// TestPracticeLogs proves the good answers of a task that asks for it on the
// simulated controller, as a learner does: the log that lies beside the answer is
// the log that this leaves.
func TestPracticeLogs(t *testing.T) {
	if testing.Short() {
		t.Skip("runs every program three times, slowly")
	}
	for _, lesson := range embeddedCourse(t).Lessons {
		if lesson.Task == nil || !lesson.Task.UsesLog() {
			continue
		}
		files, err := fs.Glob(Embedded(), path.Join(lesson.Dir, "answers", "good*.yaml"))
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range slices.DeleteFunc(files, isLog) {
			t.Run(strings.TrimSuffix(file, ".yaml"), func(t *testing.T) {
				text, err := fs.ReadFile(Embedded(), file)
				if err != nil {
					t.Fatal(err)
				}
				got := atTheBench(t, lesson, file, text)
				if *update {
					if err := os.WriteFile(practice.LogFile(file), got.Text(), 0o644); err != nil {
						t.Fatal(err)
					}
					return
				}
				want := logBeside(t, file)
				if want == nil || got.Program != want.Program || len(got.Entries) != len(want.Entries) {
					t.Fatalf("%s is not what the bench writes; run with -update", practice.LogFile(file))
				}
				for i, g := range got.Entries {
					w := want.Entries[i]
					// How the controller speeds up and stops is not what is held here.
					if g.Kind != w.Kind || g.Step != w.Step || g.Nth != w.Nth || g.Mode != w.Mode || g.Share != w.Share || !(math.Abs(g.Speed-w.Speed) <= 1) || !(math.Abs(g.At-w.At) <= 0.01*g.At+0.1) {
						t.Errorf("entry %d is %+v in the file, but the bench writes %+v", i+1, w, g)
					}
				}
			})
		}
	}
}

// atTheBench does at the bench with a program what the task of its lesson asks
// for, and returns the log.
func atTheBench(t *testing.T, lesson *Lesson, file string, text []byte) practice.Log {
	t.Helper()
	tr := planned(lesson, file, text)
	if tr == nil {
		t.Fatal("it can't be planned")
	}
	h := &hand{t: t, c: practice.New(lesson.Cell, &tr.Start), tr: tr}
	h.ok(h.c.SetTool(tr.Tools[tr.Steps[0].Tool]))
	h.ok(h.c.Load(tr, grader.Digest(text)))
	if slices.ContainsFunc(lesson.Task.Checks, func(it grader.Item) bool { return it.Kind.Name == "stops-tried" }) {
		h.tryStops(strings.Contains(file, "squeeze-first"))
	} else {
		h.proveOut()
	}
	return h.c.Log()
}

// hand is a person at the bench.
type hand struct {
	t  *testing.T
	c  *practice.Controller
	tr *motion.Trajectory
}

func (h *hand) ok(err error) {
	h.t.Helper()
	if err != nil {
		h.t.Fatal(err)
	}
}

// held holds a control until the arm has done what it is for.
func (h *hand) held(a practice.Action, done func(r *practice.Reading) bool) {
	h.t.Helper()
	for range 1_000_000 {
		if r := h.c.Read(); done(&r) && !r.Moving {
			h.c.Release()
			h.c.Advance(0.2)
			return
		}
		h.c.Grip(practice.Middle)
		h.ok(h.c.Hold(a))
		h.c.Advance(0.1)
	}
	h.t.Fatal("it never comes to an end")
}

// step runs step i, from 0, singly to its end.
func (h *hand) step(i int) {
	h.t.Helper()
	h.held(practice.Action{Kind: practice.StepForward}, func(r *practice.Reading) bool { return r.Step > i })
}

// proveOut goes through the program: every step singly at 50 mm/s, the whole of
// it by hand, then in automatic at a quarter of its speed.
func (h *hand) proveOut() {
	h.t.Helper()
	h.c.SetSpeed(50)
	for i := range h.tr.Steps {
		h.step(i)
	}
	back := func() {
		h.t.Helper()
		h.ok(h.c.SetUp())
		h.held(practice.Action{Kind: practice.Return}, func(r *practice.Reading) bool { return near(&r.Q, &h.tr.Start) })
	}
	back()
	h.held(practice.Action{Kind: practice.RunOn}, func(r *practice.Reading) bool { return r.Step >= len(h.tr.Steps) })
	back()
	h.c.Grip(practice.Released)
	h.c.SetGate(false)
	h.ok(h.c.SetMode(practice.Automatic))
	h.c.SetShare(0.25)
	h.ok(h.c.Start())
	for h.c.Moving() {
		h.c.Advance(0.1)
	}
}

// tryStops steps through the program and stops the third step and the fourth
// halfway, once by letting the device go and once by squeezing it.
func (h *hand) tryStops(squeezeFirst bool) {
	h.t.Helper()
	h.c.SetSpeed(100)
	for i := range h.tr.Steps {
		if i == 2 || i == 3 {
			for range 8 { // well into the step, and not at its end
				h.c.Grip(practice.Middle)
				h.ok(h.c.Hold(practice.Action{Kind: practice.StepForward}))
				h.c.Advance(0.1)
			}
			if squeezeFirst == (i == 2) {
				h.c.Grip(practice.Squeezed)
			} else {
				h.c.Grip(practice.Released)
			}
			h.c.Advance(1)
			h.c.Grip(practice.Released)
			h.held(practice.Action{Kind: practice.Return}, func(r *practice.Reading) bool { return r.OnTrack == nil })
		}
		h.step(i)
	}
}

func near(a, b *kin.Joints) bool {
	for i := range a {
		if !(math.Abs(a[i]-b[i]) <= 1e-6) {
			return false
		}
	}
	return true
}

// fullLog is the log of a program with which all was done that the course asks
// for; nil for one that can't be planned.
func fullLog(lesson *Lesson, text string) *practice.Log {
	tr := planned(lesson, "mutant.yaml", []byte(text))
	if tr == nil {
		return nil
	}
	log := &practice.Log{Program: grader.Digest([]byte(text)), Cell: lesson.Cell.ID}
	log.Entries = append(log.Entries, practice.Entry{Kind: practice.ReleasedEntry, Speed: 50}, practice.Entry{Kind: practice.SqueezedEntry, Speed: 50})
	for i := range tr.Steps {
		log.Entries = append(log.Entries, practice.Entry{Kind: practice.SteppedEntry, Nth: i + 1, Step: tr.Steps[i].Label, Speed: 50})
	}
	log.Entries = append(log.Entries,
		practice.Entry{Kind: practice.RanEntry, Speed: 50},
		practice.Entry{Kind: practice.RanEntry, Mode: practice.Automatic, Speed: 200, Share: 0.25})
	return log
}

// TestLogMutants makes the practice logs of the good answers worse in one way at
// a time: none of them may pass.
func TestLogMutants(t *testing.T) {
	for _, lesson := range embeddedCourse(t).Lessons {
		if lesson.Task == nil || !lesson.Task.UsesLog() {
			continue
		}
		files, err := fs.Glob(Embedded(), path.Join(lesson.Dir, "answers", "good*.log.yaml"))
		if err != nil || len(files) < fewestGood {
			t.Fatalf("%s has %d logs: %v", lesson.ID, len(files), err)
		}
		for _, file := range files {
			answer := strings.TrimSuffix(file, ".log.yaml") + ".yaml"
			text, err := fs.ReadFile(Embedded(), answer)
			if err != nil {
				t.Fatal(err)
			}
			good := logBeside(t, answer)
			tr := planned(lesson, answer, text)
			graded := func(what string, log practice.Log, want ...string) {
				t.Helper()
				m, l := grader.Grade(lesson.Cell, lesson.Task, answer, text, grader.Options{Log: &log})
				if err := l.Err(); err != nil {
					t.Fatal(err)
				}
				if got := findingCodes(m); m.Passed || !slices.Equal(got, want) {
					t.Errorf("%s, %s: passed %v with %s, want %s", answer, what, m.Passed, words(got), words(want))
				}
			}
			graded("of another program", practice.Log{Program: grader.Digest([]byte("x")), Cell: good.Cell, Entries: good.Entries}, "NO_STEP_BACK")
			// Stepped through where nothing is in the way, or nobody knows where.
			for _, other := range []string{"", "trace-the-square", lesson.ID + " where post.x = 1 mm"} {
				graded("of cell "+strconv.Quote(other), practice.Log{Program: good.Program, Cell: other, Entries: good.Entries}, "NO_STEP_BACK")
			}
			if !slices.ContainsFunc(lesson.Task.Checks, func(it grader.Item) bool { return it.Kind.Name == "proved-out" }) {
				last := 0
				for i, e := range good.Entries {
					without := slices.Delete(slices.Clone(good.Entries), i, i+1)
					switch e.Kind {
					case practice.ReleasedEntry:
						graded("never let go", practice.Log{Program: good.Program, Cell: good.Cell, Entries: without}, "RELEASE_NOT_TRIED")
						last = i
					case practice.SqueezedEntry:
						graded("never squeezed", practice.Log{Program: good.Program, Cell: good.Cell, Entries: without}, "SQUEEZE_NOT_TRIED")
						last = i
					}
				}
				graded("left there", practice.Log{Program: good.Program, Cell: good.Cell, Entries: good.Entries[:last+1]}, "NOT_RECOVERED")
				continue
			}
			n := len(good.Entries)
			for i, e := range good.Entries {
				moves := e.Kind == practice.SteppedEntry && tr.Steps[e.Nth-1].Source.Kind == program.Move
				// One in eight is enough of many steps alike.
				if e.Kind == practice.SteppedEntry && (!moves || i%8 != 3) {
					continue
				}
				without := slices.Delete(slices.Clone(good.Entries), i, i+1)
				graded("without entry "+strconv.Itoa(i+1), practice.Log{Program: good.Program, Cell: good.Cell, Entries: without}, "PROVE_STEP_SKIPPED")
				if e.Mode == practice.Manual {
					fast := slices.Clone(good.Entries)
					fast[i].Speed = 250
					graded("entry "+strconv.Itoa(i+1)+" at 250 mm/s", practice.Log{Program: good.Program, Cell: good.Cell, Entries: fast}, "PROVED_TOO_FAST")
				}
			}
			full := slices.Clone(good.Entries)
			full[n-1].Share = 1
			graded("first cycle at full speed", practice.Log{Program: good.Program, Cell: good.Cell, Entries: full}, "FULL_SPEED_FIRST_CYCLE")
			turned := slices.Concat(good.Entries[n-1:], good.Entries[:n-1])
			graded("automatic first", practice.Log{Program: good.Program, Cell: good.Cell, Entries: turned}, "PROVE_STEP_SKIPPED")
		}
	}
}
