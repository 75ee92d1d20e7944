package grader

import (
	"testing"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/program"
	"posework/engine/sweep"
	"posework/kin/arm"
)

// A limit that the whole motion is seen to miss is missed by some step of it,
// also where the intervals of the steps, each found on its own, all hold the
// limit.
func TestPerStepLosesNothing(t *testing.T) {
	source := &program.Step{}
	hazel, _ := arm.Builtin("hazel")
	tr := &motion.Trajectory{
		Cell:   &cell.Cell{Arm: hazel},
		Steps:  []motion.Step{{Source: source}, {Source: source}},
		Pieces: []motion.Piece{{Step: 0, Kind: motion.LineMove}, {Step: 1, Kind: motion.LineMove}},
	}
	x := &Exam{Motion: tr, Sweep: sweep.New(tr, sweep.Options{})}
	spans := []sweep.Span{{Piece: 0}, {Piece: 1}}
	ask := func(s []sweep.Span) sweep.Extreme {
		if len(s) == 2 {
			return sweep.Extreme{Lo: 49.94, Hi: 49.99, At: sweep.Moment{Piece: 1}, Done: true}
		}
		return sweep.Extreme{Lo: 49.96, Hi: 50.01, Done: true}
	}
	var at []int
	x.perStep(spans, ask, func(e sweep.Extreme) bool { return e.Hi < 50 }, func(step int, e sweep.Extreme) { at = append(at, step) })
	if len(at) != 1 || at[0] != 1 {
		t.Errorf("found at steps %v, want 1 alone", at)
	}
}
