package grader_test

import (
	"testing"

	"posework/grader"
)

// TestRetractFromTheStart holds retract for an arm that the task leaves at the
// work pose: the first move is the way out.
func TestRetractFromTheStart(t *testing.T) {
	// The axes put the cup on the lay pose of the bin.
	const task = "goal: come out\nstart: [29.48, 39.53, 27.11, 0, 23.35, 29.48]\nchecks:\n" +
		"- {check: retract, at: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: bin}, from: [50 mm, 400 mm], slow: 50 mm, at-most: 50 mm/s}\n"
	const poses = "posework: program/1\ntool: cup\nposes:\n  home: {axes: [0, -4, 29, 0, 65, 0]}\n" +
		"  out: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: bin}\n  low: {xyz: [0, 0, 60], rpy: [180, 0, 0], frame: bin}\nsteps:\n"
	const home = "- {to: home, path: joint, speed: 5 %, end: stop}\n"
	for _, tt := range []struct{ name, steps, want string }{
		{"straight out, then home", "- {to: out, path: line, speed: 40 mm/s, end: stop}\n" + home, ""},
		{"home at once", home, "NO_RETRACT"},
		{"out too little", "- {to: low, path: line, speed: 40 mm/s, end: stop}\n" + home, "RETRACT_TOO_LOW"},
		{"out too fast", "- {to: out, path: line, speed: 120 mm/s, end: stop}\n" + home, "FAST_RETRACT"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, k := setup(t, read(t, "cell.yaml"), task)
			raises(t, grade(t, c, k, "program.yaml", poses+tt.steps, grader.Options{}), tt.want)
		})
	}
}
