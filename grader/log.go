package grader

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
)

// Log is what a practice log says about one program: which of its steps were
// run, how, and in what order. It is written by the simulated controller.
type Log struct {
	Program string // Digest of the program text that was practised
	Entries []LogEntry
}

// Digest identifies a program text: its SHA-256, in hexadecimal.
func Digest(program []byte) string {
	sum := sha256.Sum256(program)
	return hex.EncodeToString(sum[:])
}

// LogEntry is one thing that was done.
type LogEntry struct {
	Kind  LogKind
	Step  string  // label of the step; LogStep
	Speed float64 // greatest speed reached, mm/s
	Mode  Mode
}

// LogKind is the kind of a log entry.
type LogKind uint8

// The kinds of log entry.
const (
	LogStep LogKind = iota // one step was run singly, to its end
	LogRun                 // the program was run from its first step to its last
)

// provedOut: every step was run singly at reduced speed before the first
// automatic run.
type provedOut struct{ limit float64 } // mm/s

func decodeProvedOut(d *decoder) Check { return provedOut{d.mms("at-most", reducedSpeed)} }

func (c provedOut) Title() string { return "every step proved out singly before automatic" }

func (c provedOut) Run(x *Exam) Outcome {
	var out Outcome
	if x.Log == nil || x.Log.Program != x.Digest {
		f := x.finding("proved-out", "PROVE_STEP_SKIPPED", -1)
		f.Text = "no practice log was handed in with the program"
		if x.Log != nil {
			f.Text = "the practice log is of another text of the program: it was changed after it was practised"
		}
		out.Findings = append(out.Findings, f)
		return out
	}
	proved := map[string]bool{}
	for _, e := range x.Log.Entries {
		if e.Kind == LogRun && e.Mode == Automatic {
			break
		}
		if e.Kind == LogStep && e.Mode == Manual && e.Speed <= c.limit {
			proved[e.Step] = true
		}
	}
	for _, i := range x.moves() {
		s := &x.Motion.Steps[i]
		if !proved[s.Label] {
			proved[s.Label] = true // one finding a step
			f := x.finding("proved-out", "PROVE_STEP_SKIPPED", i)
			f.Limit = exact(c.limit, "mm/s")
			f.Text = fmt.Sprintf("step %s was not run singly at %s or less before the first automatic run", s.Label, mms(c.limit))
			out.Findings = append(out.Findings, f)
		}
	}
	return out
}
