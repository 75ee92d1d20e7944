package grader

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"

	"posework/engine/practice"
)

// Digest identifies a program text: its SHA-256, in hexadecimal.
func Digest(program []byte) string {
	sum := sha256.Sum256(program)
	return hex.EncodeToString(sum[:])
}

// provedOut: by the practice log every step was run singly in manual mode, then
// the program by hand, then in automatic at a low share of its speed, as far as
// the task asks for it. The log counts only for the text that it was made with, in
// the cell that it was made in.
type provedOut struct {
	limit float64 // mm/s, on single steps and in runs by hand
	byRun bool    // the whole program was run in manual mode before automatic
	share float64 // of the programmed speed, in the first automatic run; 0: none is asked for
}

// otherLog says why the practice log proves nothing here; "" where it does, or
// where there is none.
func (x *Exam) otherLog() string {
	switch {
	case x.Log == nil:
		return ""
	case x.Log.Program != x.Digest:
		return "the practice log is of another text of the program: it was changed after it was practised"
	case x.Log.Cell != x.Cell.ID:
		return fmt.Sprintf("the practice log is of another cell (%s, not %s): what is clear there may be in the way here", named(x.Log.Cell), named(x.Cell.ID))
	}
	return ""
}

// named is the name of a cell in a sentence.
func named(id string) string {
	if id == "" {
		return "one without a name"
	}
	return id
}

func decodeProvedOut(d *decoder) Check {
	c := provedOut{limit: d.mms("at-most", reducedSpeed)}
	if n := d.m.Get("manual-run"); n != nil {
		c.byRun = n.Bool()
	}
	if n := d.m.Get("first-automatic"); n != nil {
		v, _ := n.Quantity("%")
		n.Check(v > 0 && v <= 100, "T014", "write first-automatic: 25 %", "first-automatic is %g %%, but must be more than 0, at most 100 %%", v)
		c.share = v / 100
	}
	return c
}

func (c provedOut) Title() string {
	t := "every step proved out singly"
	if c.byRun {
		t += ", then by hand in one go"
	}
	if c.share > 0 {
		return t + fmt.Sprintf(", then in automatic at %.4g %% or less", 100*c.share)
	}
	return t + ", before automatic"
}

func (c provedOut) Run(x *Exam) Outcome {
	var out Outcome
	add := func(code string, step int, format string, args ...any) *Finding {
		f := x.finding("proved-out", code, step)
		f.Text = fmt.Sprintf(format, args...)
		out.Findings = append(out.Findings, f)
		return &out.Findings[len(out.Findings)-1]
	}
	if x.Log == nil {
		add("PROVE_STEP_SKIPPED", -1, "no practice log was handed in with the program")
		return out
	}
	if why := x.otherLog(); why != "" {
		add("NO_STEP_BACK", -1, "%s", why)
		return out
	}
	t := c.tally(x.Log)
	for _, i := range x.moves() {
		s := &x.Motion.Steps[i]
		speed, tried := t.slowest[step{i + 1, s.Label}]
		switch {
		case !tried:
			f := add("PROVE_STEP_SKIPPED", i, "step %s was not run singly in manual mode before the first automatic run", s.Label)
			f.Limit = exact(c.limit, "mm/s")
		case speed > c.limit:
			f := add("PROVED_TOO_FAST", i, "step %s was run singly at %s and not more slowly, at most %s is asked", s.Label, mms(speed), mms(c.limit))
			f.Measured, f.Limit = exact(speed, "mm/s"), exact(c.limit, "mm/s")
		}
	}
	if c.byRun && t.run != nil && t.run.Speed > c.limit {
		f := add("PROVED_TOO_FAST", -1, "the program was run by hand at %s and not more slowly, at most %s is asked", mms(t.run.Speed), mms(c.limit))
		f.Measured, f.Limit = exact(t.run.Speed, "mm/s"), exact(c.limit, "mm/s")
	}
	if c.byRun && t.run == nil {
		add("PROVE_STEP_SKIPPED", -1, "after the single steps the program was not run by hand from its first step to its last")
	}
	if c.share > 0 {
		c.firstCycle(t.automatic, add)
	}
	return out
}

// firstCycle judges the automatic runs up to the first whole one.
func (c provedOut) firstCycle(runs []*practice.Entry, add addFinding) {
	for _, e := range runs {
		if e.Share > c.share || e.Share == 0 {
			f := add("FULL_SPEED_FIRST_CYCLE", -1, "the program was run in automatic at %.4g %% of the programmed speed before a whole cycle at %.4g %% or less", 100*e.Share, 100*c.share)
			f.Measured, f.Limit = exact(100*e.Share, "%"), exact(100*c.share, "%")
			return
		}
	}
	if n := len(runs); n == 0 || !whole(runs[n-1]) {
		add("PROVE_STEP_SKIPPED", -1, "the program was not run in automatic from its first step to its last")
	}
}

// whole reports whether a run in automatic mode got from the first step to the
// last: before, it has no speed.
func whole(run *practice.Entry) bool { return run.Speed > 0 }

// tally is what a log says up to the first automatic run, and of automatic runs.
type tally struct {
	slowest   map[step]float64  // the slowest single run of a step in manual mode, mm/s
	run       *practice.Entry   // the slowest run by hand after the last step that was new
	automatic []*practice.Entry // the automatic runs up to the first whole one
}

// step is an executed step: its number, from 1, and its label, which steps of a
// routine share.
type step struct {
	nth   int
	label string
}

func (c provedOut) tally(log *practice.Log) tally {
	t := tally{slowest: map[step]float64{}}
	for i := range log.Entries {
		e := &log.Entries[i]
		switch {
		case e.Kind == practice.RanEntry && e.Mode == practice.Automatic:
			if t.automatic = append(t.automatic, e); whole(e) {
				return t
			}
		case len(t.automatic) > 0: // too late
		case e.Kind == practice.RanEntry && (t.run == nil || e.Speed < t.run.Speed):
			t.run = e
		case e.Kind == practice.SteppedEntry && e.Mode == practice.Manual:
			at := step{e.Nth, e.Step}
			was, tried := t.slowest[at]
			if !tried {
				t.run = nil // it had been run before all of it was stepped through
			}
			if !tried || e.Speed < was {
				t.slowest[at] = e.Speed
			}
		}
	}
	return t
}
