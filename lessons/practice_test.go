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
				got := proveOut(t, lesson, file, text)
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
					// Written to a thousandth; the last digits may differ with the machine.
					const tol = 0.002
					if g.Kind != w.Kind || g.Step != w.Step || g.Mode != w.Mode || g.Share != w.Share || math.Abs(g.Speed-w.Speed) > tol || math.Abs(g.At-w.At) > tol {
						t.Errorf("entry %d is %+v in the file, but the bench writes %+v", i+1, w, g)
					}
				}
			})
		}
	}
}

// proveOut goes through a program on the controller: every step singly at
// 50 mm/s, the whole of it by hand, then in automatic at a quarter of its speed.
func proveOut(t *testing.T, lesson *Lesson, file string, text []byte) practice.Log {
	t.Helper()
	tr := planned(lesson, file, text)
	if tr == nil {
		t.Fatal("it can't be planned")
	}
	c := practice.New(lesson.Cell, &tr.Start)
	ok := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	ok(c.SetTool(tr.Tools[tr.Steps[0].Tool]))
	ok(c.Load(tr, grader.Digest(text)))
	c.SetSpeed(50)
	// held holds a control until the arm has done what it is for.
	held := func(a practice.Action, done func(r *practice.Reading) bool) {
		t.Helper()
		for range 1_000_000 {
			if r := c.Read(); done(&r) && !r.Moving {
				c.Release()
				c.Advance(0.2)
				return
			}
			c.Grip(practice.Middle)
			ok(c.Hold(a))
			c.Advance(0.1)
		}
		t.Fatal("it never comes to an end")
	}
	for i := range tr.Steps {
		held(practice.Action{Kind: practice.StepForward}, func(r *practice.Reading) bool { return r.Step > i })
	}
	back := func() {
		t.Helper()
		ok(c.SetUp())
		held(practice.Action{Kind: practice.Return}, func(r *practice.Reading) bool { return near(&r.Q, &tr.Start) })
	}
	back()
	held(practice.Action{Kind: practice.RunOn}, func(r *practice.Reading) bool { return r.Step >= len(tr.Steps) })
	back()
	c.Grip(practice.Released)
	c.SetGate(false)
	ok(c.SetMode(practice.Automatic))
	c.SetShare(0.25)
	ok(c.Start())
	for c.Moving() {
		c.Advance(0.1)
	}
	return c.Log()
}

func near(a, b *kin.Joints) bool {
	for i := range a {
		if math.Abs(a[i]-b[i]) > 1e-6 {
			return false
		}
	}
	return true
}

// fullLog is the log of a program that was proved out as the course asks for it;
// nil for one that can't be planned.
func fullLog(lesson *Lesson, text string) *practice.Log {
	tr := planned(lesson, "mutant.yaml", []byte(text))
	if tr == nil {
		return nil
	}
	log := &practice.Log{Program: grader.Digest([]byte(text))}
	for i := range tr.Steps {
		log.Entries = append(log.Entries, practice.Entry{Kind: practice.SteppedEntry, Step: tr.Steps[i].Label, Speed: 50})
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
			n := len(good.Entries)
			for i, e := range good.Entries {
				moves := slices.ContainsFunc(tr.Steps, func(s motion.Step) bool { return s.Label == e.Step && s.Source.Kind == program.Move })
				// One in eight is enough of many steps alike.
				if e.Kind == practice.SteppedEntry && (!moves || i%8 != 3) {
					continue
				}
				without := slices.Delete(slices.Clone(good.Entries), i, i+1)
				graded("without entry "+strconv.Itoa(i+1), practice.Log{Program: good.Program, Entries: without}, "PROVE_STEP_SKIPPED")
				if e.Mode == practice.Manual {
					fast := slices.Clone(good.Entries)
					fast[i].Speed = 250
					graded("entry "+strconv.Itoa(i+1)+" at 250 mm/s", practice.Log{Program: good.Program, Entries: fast}, "PROVED_TOO_FAST")
				}
			}
			full := slices.Clone(good.Entries)
			full[n-1].Share = 1
			graded("first cycle at full speed", practice.Log{Program: good.Program, Entries: full}, "FULL_SPEED_FIRST_CYCLE")
			turned := slices.Concat(good.Entries[n-1:], good.Entries[:n-1])
			graded("automatic first", practice.Log{Program: good.Program, Entries: turned}, "PROVE_STEP_SKIPPED")
			graded("of another program", practice.Log{Program: grader.Digest([]byte("x")), Entries: good.Entries}, "NO_STEP_BACK")
		}
	}
}
