package grader_test

import (
	"math"
	"testing"

	"posework/grader"
	"posework/kin"
)

// TestEase measures two motions whose answers follow from plain geometry: the
// needle goes straight down to 60 mm above the plate, and comes no nearer to
// anything else.
func TestEase(t *testing.T) {
	const program = `posework: program/1
tool: needle
poses:
  a: {xyz: [0, 0, 130], rpy: [180, 0, 0], frame: plate}
  b: {xyz: [0, 0, 60],  rpy: [180, 0, 0], frame: plate}
steps:
  - {to: a, path: joint, speed: 5 %, end: stop}
  - {to: b, path: line, speed: 50 mm/s, end: stop}
`
	measure := func(checks string) (grader.Ease, *grader.Exam) {
		c, k := setup(t, read(t, "cell.yaml"), "goal: x\nchecks: "+checks)
		x, l := grader.Prepare(c, k, "a.yaml", []byte(program), grader.Options{})
		if len(l) > 0 {
			t.Fatal(l)
		}
		return x.Ease(), x
	}
	e, x := measure("[{check: clearance, least: 10 mm}]")
	// The plate's top lies 10 mm below its frame.
	if !(math.Abs(e.Clearance-70) <= 0.1) { // also not when it is no number
		t.Errorf("least clearance %g mm, want 70", e.Clearance)
	}
	if e.Time != x.Motion.Duration || e.Time <= 0 {
		t.Errorf("time %g s, the motion takes %g", e.Time, x.Motion.Duration)
	}
	// Along the line axis 5 is nearest to zero at one of its ends, as the wrist
	// centre goes up and down.
	least := math.Inf(1)
	for _, s := range x.Motion.Steps {
		least = min(least, math.Abs(s.TargetQ[4]))
	}
	if !(math.Abs(e.Wrist-least) <= kin.Rad(0.1)) {
		t.Errorf("room of the wrist %g deg, axis 5 stands at %g deg", kin.Deg(e.Wrist), kin.Deg(least))
	}
	if e, _ := measure("[{check: clearance, least: 10 mm, except: [{body: tool, solid: plate-top, least: 0 mm}]}]"); !(e.Clearance >= 70.1) {
		t.Errorf("with the plate excepted the least clearance is %g mm, want more than 70", e.Clearance)
	}
	if e, _ := measure("[{check: reach}]"); !math.IsNaN(e.Clearance) {
		t.Errorf("without a clearance check the clearance is %g, want none", e.Clearance)
	}
}
