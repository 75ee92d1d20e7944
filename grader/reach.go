package grader

import (
	"fmt"

	"posework/engine/motion"
	"posework/kin"
)

// reach: every target has a solution inside the axis limits, every path stays
// solvable on one configuration, and no wait is in vain. It is examined in every
// attempt, whether a task lists it or not: what was not reached was not examined.
type reach struct{}

func decodeReach(*decoder) Check { return reach{} }

func (reach) Title() string { return "every pose and path can be reached" }

func (reach) Run(x *Exam) Outcome {
	h := x.Motion.Halt
	if h == nil {
		if len(x.moves()) > 0 {
			return Outcome{}
		}
		f := x.finding("reach", "NO_MOTION", -1)
		f.Text = "the program has no move"
		return Outcome{Findings: []Finding{f}}
	}
	code, text := halted(h)
	f := x.finding("reach", code, h.Step)
	f.Place, f.HasPlace = x.inBase(h.At.T), true
	f.Text = text
	if h.Place != "" {
		f.Text += ", " + h.Place
	}
	if h.Axis > 0 {
		f.Subject = axisName(h.Axis - 1)
	}
	switch h.Why {
	case motion.AxisLimit, motion.PathLimit:
		f.Measured, f.Limit = exact(kin.Deg(h.By), "deg past the limit"), exact(0, "deg past the limit")
	case motion.PathBroken:
		f.Measured, f.Limit = exact(h.By, "mm out of reach"), exact(0, "mm out of reach")
	}
	return Outcome{Findings: []Finding{f}, Measured: f.Measured}
}

// halted returns the finding code for a halt and what happened.
func halted(h *motion.Halt) (code, text string) {
	switch h.Why {
	case motion.AxisLimit:
		return "BEYOND_AXIS_LIMIT", fmt.Sprintf("the pose needs axis %d past its limit by %s", h.Axis, deg(h.By))
	case motion.PathLimit:
		return "BEYOND_AXIS_LIMIT", fmt.Sprintf("the path runs axis %d into its limit", h.Axis)
	case motion.PathBroken:
		return "OUT_OF_REACH", "the path leaves what the arm can reach"
	case motion.PathSingular:
		return "PATH_SINGULAR", "the path meets a singularity where axes would have to jump"
	case motion.ConfigTurns:
		return "CONFIGURATION_FLIP", "the end of the path needs another configuration than its start"
	}
	return "WAIT_TIMED_OUT", "the signal does not come, and the program stops" // waiting for it
}
