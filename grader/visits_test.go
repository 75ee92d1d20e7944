package grader_test

import (
	"strings"
	"testing"

	"posework/grader"
)

// What is said of a pose that is not visited as the task asks.
func TestNotVisited(t *testing.T) {
	const (
		poses = head + "  over: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}\n  mid: {xyz: [0, 0, 80], rpy: [180, 0, 0], frame: shelf}\n  low: {xyz: [0, 0, 60], rpy: [180, 0, 0], frame: shelf}\n" +
			"steps:\n- {to: home, path: joint, speed: 9 %, end: stop}\n"
		over, mid, low = "{xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}", "{xyz: [0, 0, 80], rpy: [180, 0, 0], frame: shelf}", "{xyz: [0, 0, 60], rpy: [180, 0, 0], frame: shelf}"
		toOver         = "- {to: over, path: joint, speed: 9 %, end: stop}\n"
		toMid, toLow   = "- {to: mid, path: line, speed: 80 mm/s, end: stop}\n", "- {to: low, path: line, speed: 80 mm/s, end: stop}\n"
		flyBy          = "{check: visits, poses: [{at: " + over + ", within: 10 mm, by: fly-by}]}"
		stopped        = "STOP_IN_FREE_AIR: the arm stops at the pose at (0, 0, 110) in shelf, which the task asks to pass without stopping"
	)
	asked := func(at ...string) string {
		return "{check: visits, poses: [{at: " + strings.Join(at, "}, {at: ") + "}]}"
	}
	flown := strings.Replace(toOver, "stop", "fly-by 20 mm", 1)
	for _, tt := range []struct{ name, check, program, want string }{
		{"the last two swapped", asked(over, mid, low), poses + toOver + toLow + toMid, "TARGET_MISSED: the pose at (0, 0, 60) in shelf is reached, but not when its turn has come: the poses have an order, and each counts once"},
		{"one left out", asked(over, mid, low), poses + toOver + toLow, "TARGET_MISSED: no move goes to the pose at (0, 0, 80) in shelf; the nearest, low, ends 20 mm away"},
		{"the line goes through the arm", asked("{xyz: [-450, 50, 400], rpy: [180, 0, 0]}"), head + "  over: {xyz: [450, -50, 400], rpy: [180, 0, 0]}\n  past: {xyz: [-450, 50, 400], rpy: [180, 0, 0]}\n" +
			"steps:\n" + toOver + "- {to: past, path: line, speed: 50 mm/s, end: stop}\n", "TARGET_MISSED: the motion stops before it comes to the pose at (-450, 50, 400) in base"},

		{"passed", flyBy, poses + flown + toLow, ""},
		{"a stop", flyBy, poses + toOver + toLow, stopped},
		{"a fly-by and a pause", flyBy, poses + flown + "- {pause: 0.1 s}\n" + toLow, stopped + ": after the fly-by nothing goes on"},
		{"a fly-by at the end", flyBy, poses + flown, stopped + ": after the fly-by nothing goes on"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m := alone(t, read(t, "cell.yaml"), tt.check, tt.program, grader.Options{})
			var got []string
			for _, f := range m.Findings {
				if f.Check == "visits" {
					got = append(got, f.Code+": "+f.Text)
				}
			}
			if strings.Join(got, "\n") != tt.want {
				t.Errorf("findings %q, want %q", got, tt.want)
			}
		})
	}
}

// The fly-by that passes a pose too far away is named by its step, with the
// distance at which it passes.
func TestFlyByTooFar(t *testing.T) {
	m := alone(t, read(t, "cell.yaml"), "{check: visits, poses: [{at: {xyz: [500, 0, 400], rpy: [180, 0, 0]}, within: 5 mm, by: fly-by}]}", head+
		"  a: {xyz: [500, 0, 400], rpy: [180, 0, 0]}\n  b: {xyz: [500, 100, 400], rpy: [180, 0, 0]}\n  c: {xyz: [400, 0, 400], rpy: [180, 0, 0]}\n"+
		"steps:\n- {to: c, path: joint, speed: 9 %, end: stop}\n- {to: a, path: line, speed: 80 mm/s, end: fly-by 40 mm}\n- {to: b, path: line, speed: 80 mm/s, end: stop}\n", grader.Options{})
	if len(m.Findings) != 1 {
		t.Fatalf("findings %+v, want one", m.Findings)
	}
	// The parabola between two lines at a right angle passes at sqrt(2)/4 of 40 mm.
	f := &m.Findings[0]
	if f.Code != "TARGET_MISSED" || f.Step != "2" || f.Measured.Lo > 14.1422 || f.Measured.Hi < 14.1421 || f.Measured.Hi-f.Measured.Lo > 0.06 {
		t.Errorf("%s step %s: %s, measured %+v", f.Code, f.Step, f.Text, f.Measured)
	}
}

// A wait in vain is told of whatever the task checks.
func TestWaitInVain(t *testing.T) {
	for _, wait := range []string{"{part-held: on, at-most: 1 s}", "{part-held: on}"} {
		m := alone(t, read(t, "cell.yaml"), "{check: clearance, least: 10 mm}", head+
			"steps:\n- {to: home, path: joint, speed: 9 %, end: stop}\n- {wait: "+wait+"}\n", grader.Options{})
		if len(m.Findings) != 1 || m.Findings[0].Code != "WAIT_TIMED_OUT" || m.Findings[0].Step != "2" || m.Passed {
			t.Errorf("wait %s: findings %+v, passed %v, want WAIT_TIMED_OUT at step 2", wait, m.Findings, m.Passed)
		}
	}
	m := alone(t, read(t, "cell.yaml"), "{check: cycle-time, at-most: 10 s}", head+
		"steps:\n- {to: home, path: joint, speed: 9 %, end: stop}\n- {wait: {part-held: on, at-most: 1 s}}\n", grader.Options{})
	for _, f := range m.Findings {
		if f.Code == "CYCLE_TARGET" && (f.Measured.Unit != "" || strings.Contains(f.Text, "takes")) {
			t.Errorf("it is said of a program that never ends: %s, measured %+v", f.Text, f.Measured)
		}
	}
}
