package grader

import (
	"slices"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/practice"
	"posework/engine/program"
	"posework/engine/sweep"
	"posework/kin"
)

// Exam is one motion under examination.
type Exam struct {
	Task    *Task
	Cell    *cell.Cell
	Program *program.Program
	Motion  *motion.Trajectory
	Sweep   *sweep.Sweep
	Digest  string        // of the program text
	Log     *practice.Log // nil: no practice log was handed in
}

// moves lists the executed moves as indices into Motion.Steps.
func (x *Exam) moves() []int {
	var out []int
	for i := range x.Motion.Steps {
		if x.Motion.Steps[i].Source.Kind == program.Move {
			out = append(out, i)
		}
	}
	return out
}

// arrivals lists the executed moves that have come to their pose: all but the one
// on which the motion had to stop.
func (x *Exam) arrivals() []int {
	moves := x.moves()
	if h := x.Motion.Halt; h != nil {
		moves = slices.DeleteFunc(moves, func(i int) bool { return i == h.Step })
	}
	return moves
}

// joined returns the kinds of path that a corner lies between: that of its own
// step, and that of the move which it leads over to.
func (x *Exam) joined(corner *motion.Piece) (from, to program.Path) {
	return x.Motion.Steps[corner.Step].Source.Path, x.Motion.Steps[x.nextMove(corner.Step)].Source.Path
}

// finding starts a finding with what the table says of its code. step is an
// index into Motion.Steps, or -1 for the whole program.
func (x *Exam) finding(check, code string, step int) Finding {
	doc, ok := Lookup(code)
	if !ok {
		panic("grader: finding code " + code + " is not in the table")
	}
	f := Finding{Code: code, Check: check, Severity: doc.Severity, Why: doc.Why, Try: doc.Try}
	if step >= 0 {
		s := &x.Motion.Steps[step]
		f.Step, f.Pos, f.From, f.To = s.Label, s.Source.Pos, s.Start, s.End
		if s.Source.Kind == program.Move {
			f.Place, f.HasPlace = x.inBase(s.Target.T), true
		}
	} else {
		f.Pos.Filename = x.Program.File
	}
	return f
}

// inBase gives a world point in the base frame, in which results are written.
func (x *Exam) inBase(world kin.Vec) kin.Vec { return x.Cell.Mount.ApplyInv(world) }

// exact is a value known without an interval.
func exact(v float64, unit string) Value { return Value{Lo: v, Hi: v, Unit: unit} }

// degrees turns an interval in radians to a value in degrees.
func degrees(lo, hi float64) Value { return Value{Lo: kin.Deg(lo), Hi: kin.Deg(hi), Unit: "deg"} }

// apart returns the distance between two poses: mm and rad.
func apart(a, b *kin.Pose) (distance, angle float64) {
	rel := a.R.Inv()
	rel = rel.Mul(&b.R)
	_, angle = rel.AxisAngle()
	return a.T.Sub(b.T).Norm(), angle
}

// lengthSlack covers the rounding of a length that was computed from poses: a
// part that lies on a table is 0 mm above it, give or take 1e-12.
const lengthSlack = 1e-6 // mm

// timeSlack covers the rounding of a sum of times.
const timeSlack = 1e-9 // s

// angleSlack covers the rounding of an angle between poses, some 1e-15 rad: a
// tool that is turned by exactly what is allowed is turned by no more.
const angleSlack = 1e-9 // rad
