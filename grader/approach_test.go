package grader_test

import (
	"math"
	"strings"
	"testing"

	"posework/grader"
)

// The work pose of the stretches below, and moves above it on the tool axis:
// over is 100 mm from it, mid 45 and low 40.
const (
	workPose  = "at: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}"
	stretches = "posework: program/1\ntool: cup\nposes:\n" +
		"  home: {axes: [0, -4, 29, 0, 65, 0]}\n" +
		"  grip: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}\n" +
		"  low: {xyz: [0, 0, 70], rpy: [180, 0, 0], frame: shelf}\n" +
		"  mid: {xyz: [0, 0, 75], rpy: [180, 0, 0], frame: shelf}\n" +
		"  high: {xyz: [0, 0, 95], rpy: [180, 0, 0], frame: shelf}\n" +
		"  over: {xyz: [0, 0, 130], rpy: [180, 0, 0], frame: shelf}\n" +
		"  aside: {xyz: [60, 0, 130], rpy: [180, 0, 0], frame: shelf}\n" +
		"  askew: {xyz: [30, 0, 75], rpy: [180, 0, 0], frame: shelf}\n" +
		"steps:\n- {to: home, path: joint, speed: 9 %, end: stop}\n"
)

// TestStretch measures straight runs that are made of several moves, cut short
// by corners, broken by rests, or come by twice.
func TestStretch(t *testing.T) {
	joint := func(to string) string { return "- {to: " + to + ", path: joint, speed: 9 %, end: stop}\n" }
	slow := func(to string) string { return "- {to: " + to + ", path: line, speed: 40 mm/s, end: stop}\n" }
	fast := func(to string) string { return "- {to: " + to + ", path: line, speed: 200 mm/s, end: stop}\n" }
	flyBy := func(to, size string) string {
		return "- {to: " + to + ", path: line, speed: 200 mm/s, end: fly-by " + size + "}\n"
	}
	const (
		in  = "{check: approach, " + workPose + ", from: [50, 80], slow: 50 mm, at-most: 60 mm/s}"
		out = "{check: retract, " + workPose + ", from: [50, 80], slow: 50 mm, at-most: 60 mm/s}"
	)
	for _, tt := range []struct {
		name, check, steps string
		want               string  // codes
		measured           float64 // of the first finding, to 1 %
	}{
		{"two lines that are long enough together", in, joint("high") + slow("low") + slow("grip"), "", 0},
		{"two lines that are not", strings.Replace(in, "[50, 80]", "[70, 80]", 1), joint("high") + slow("low") + slow("grip"), "APPROACH_TOO_LOW", 65},
		{"a pause between them", in, joint("high") + slow("low") + "- {pause: 1 s}\n" + slow("grip"), "", 0},
		{"fast down to where slow begins", in, joint("over") + fast("high") + slow("grip"), "", 0},
		// mid lies 5 mm inside the slow part; the move that comes there is still
		// braking, at 2500 mm/s^2: sqrt(2*2500*5) = 158.1 mm/s.
		{"fast into the slow part", in, joint("over") + fast("mid") + slow("grip"), "FAST_APPROACH", 158.1},
		{"one line, too long", in, joint("over") + slow("grip"), "APPROACH_TOO_HIGH", 100},
		{"a last line that is short enough at the end of a long run", in, joint("over") + slow("low") + slow("grip"), "", 0},
		{"a corner that eats the straight line", in, joint("aside") + flyBy("over", "40 mm") + slow("grip"), "", 0},
		{"a corner that leaves too little of it", in, joint("aside") + flyBy("over", "49 mm") + slow("low") + slow("grip"), "", 0},
		{"a corner into the slow part", in, joint("askew") + flyBy("mid", "10 mm") + slow("grip"), "APPROACH_TOO_LOW", 35},
		{"the first of two visits", in, joint("high") + fast("grip") + slow("high") + slow("grip"), "FAST_APPROACH", 200},
		{"the second of two visits", in, joint("high") + slow("grip") + slow("high") + fast("grip"), "FAST_APPROACH", 200},
		{"flown by, and then stormed", in, joint("high") + "- {to: grip, path: line, speed: 40 mm/s, end: fly-by 2 mm}\n" + slow("high") + fast("grip"), "BLEND_AT_WORK_POSE FAST_APPROACH", 2},

		{"out in two lines", out, joint("high") + slow("grip") + slow("low") + fast("over"), "FAST_RETRACT", 0},
		{"out in two lines, fast beyond the slow part", out, joint("high") + slow("grip") + slow("high") + fast("over"), "", 0},
		{"out in two lines with a pause", out, joint("high") + slow("grip") + slow("low") + "- {pause: 1 s}\n" + slow("high"), "", 0},
		{"out too short", out, joint("high") + slow("grip") + slow("low") + joint("home"), "RETRACT_TOO_LOW", 40},
		{"out too short, and the part let go on the way", out, joint("high") + slow("grip") + "- {set: {vacuum: on}}\n- {pause: 1 s}\n- {set: {vacuum: off}}\n" + slow("low") + joint("home"), "RETRACT_TOO_LOW", 40},
		{"out, cut by a corner", out, joint("high") + slow("grip") + "- {to: mid, path: line, speed: 40 mm/s, end: fly-by 10 mm}\n" + slow("askew"), "RETRACT_TOO_LOW", 35},
		{"out much too high is nobody's harm", out, joint("high") + slow("grip") + slow("over"), "", 0},
		{"out fast after lingering", out, joint("high") + slow("grip") + "- {to: grip, path: joint, speed: 9 %, end: stop}\n- {pause: 1 s}\n" + fast("high"), "FAST_RETRACT", 200},
		{"out slowly, back, and out fast", out, joint("high") + slow("grip") + slow("high") + slow("grip") + fast("high"), "FAST_RETRACT", 200},
		{"out fast, back, and out slowly", out, joint("high") + slow("grip") + fast("high") + slow("grip") + slow("high"), "FAST_RETRACT", 200},
		{"never left", out, joint("high") + slow("grip"), "NO_RETRACT", 0},
		{"never there, the arm begins beside it", out, joint("over") + joint("home"), "TARGET_MISSED", 100},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m := alone(t, read(t, "cell.yaml"), tt.check, stretches+tt.steps, grader.Options{})
			raises(t, m, tt.want)
			if len(m.Findings) > 0 && tt.measured > 0 {
				if got := m.Findings[0].Measured.Lo; !(math.Abs(got-tt.measured) <= 0.01*tt.measured) {
					t.Errorf("%s: measured %g, want %g", m.Findings[0].Code, got, tt.measured)
				}
			}
		})
	}
}

// An arm that the task leaves at the work pose has not come there; when it comes
// back, that is judged.
func TestApproachAfterTheStart(t *testing.T) {
	for _, tt := range []struct{ speed, want string }{{"40", ""}, {"200", "FAST_APPROACH"}} {
		c, k := setup(t, read(t, "cell.yaml"), "goal: test\nmode: automatic\nstart: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf, tool: cup}\n"+
			"checks: [{check: approach, "+workPose+", from: [50, 80], slow: 50 mm, at-most: 60 mm/s}]\n")
		steps := "- {to: high, path: line, speed: 40 mm/s, end: stop}\n- {to: grip, path: line, speed: " + tt.speed + " mm/s, end: stop}\n"
		program := strings.Replace(stretches, "- {to: home, path: joint, speed: 9 %, end: stop}\n", steps, 1)
		raises(t, grade(t, c, k, "program.yaml", program, grader.Options{}), tt.want)
	}
}
