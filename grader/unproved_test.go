package grader_test

import (
	"testing"

	"posework/grader"
)

// TestCutShort gives each check that asks the sweep hardly any work. Whatever it
// then says, it must not pass a motion that it has not looked at to the end; and a
// fault that it has seen is one all the same.
func TestCutShort(t *testing.T) {
	const (
		poses = "  over: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}\n  grip: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}\n" +
			"  a: {xyz: [0, -250, 200], rpy: [180, 0, 0], frame: bin}\n  b: {xyz: [0, 150, 200], rpy: [180, 0, 0], frame: bin}\nsteps:\n"
		steps = "- {to: home, path: joint, speed: 9 %, end: stop}\n- {to: over, path: joint, speed: 9 %, end: stop}\n- {to: grip, path: line, speed: 60 mm/s, end: stop}\n" +
			"- {to: over, path: line, speed: 60 mm/s, end: stop}\n- {to: a, path: joint, speed: 9 %, end: fly-by 30 mm}\n- {to: b, path: line, speed: 200 mm/s, end: stop}\n- {to: home, path: joint, speed: 9 %, end: stop}\n"
		at = "at: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}"
	)
	for _, tt := range []struct {
		check string
		exact bool // no work is needed: a pose and the speed of a line are known outright
	}{
		{"{check: axis-room, least: 20 deg}", false},
		{"{check: axis-speed}", false},
		{"{check: axis-speed, axes: [1], at-most: 200 deg/s}", false},
		{"{check: singularity-room, wrist: 10 deg, elbow: 5 deg, shoulder: 80 mm}", false},
		{"{check: top-speed, at-most: 500 mm/s}", false},
		{"{check: speed-near, solid: shelf-top, within: 60 mm, at-most: 150 mm/s}", false},
		{"{check: clearance, least: 10 mm, except: [{body: tool, solid: bar, least: 0 mm}]}", false},
		{"{check: keeps-out, zones: walkway}", false},
		{"{check: keeps-out, zones: reach-in}", false},
		{"{check: visits, poses: [{at: {xyz: [0, -250, 200], rpy: [180, 0, 0], frame: bin}, within: 40 mm, by: fly-by}]}", true},
		{"{check: approach, " + at + ", from: [50, 100], slow: 50 mm, at-most: 100 mm/s}", true},
		{"{check: retract, " + at + ", from: [50, 100], slow: 50 mm, at-most: 100 mm/s}", true},
		{"{check: home-quality, pose: home, clearance: 50 mm}", true},
	} {
		t.Run(tt.check, func(t *testing.T) {
			c, k := setup(t, read(t, "cell.yaml"), only(tt.check))
			examine := func(work int) *grader.Mark {
				m, l := grader.Grade(c, k, "program.yaml", []byte(head+poses+steps), grader.Options{Work: work})
				if err := l.Err(); err != nil {
					t.Fatal(err)
				}
				return m
			}
			raises(t, examine(0), "")
			m := examine(1)
			if tt.exact {
				raises(t, m, "")
				return
			}
			raises(t, m, "NOT_PROVED")
			if f := &m.Findings[0]; f.Step != "" || f.Check != m.Checks[len(m.Checks)-1].Check {
				t.Errorf("%+v, want one of the whole program", *f)
			}
			last := &m.Checks[len(m.Checks)-1]
			if m.Passed || last.Holds || last.Proved || last.Points > 0 {
				t.Errorf("passed %v, %+v", m.Passed, *last)
			}
		})
	}
}
