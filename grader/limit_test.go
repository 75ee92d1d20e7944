package grader_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"posework/grader"
)

// Limits are inclusive: what is exactly at one keeps it.
func TestExactlyAtTheLimit(t *testing.T) {
	const (
		home = "- {to: home, path: joint, speed: 10 %, end: stop}\n"
		to   = "- {to: a, path: joint, speed: 10 %, end: stop}\n"
	)
	for _, tt := range []struct{ name, check, program, want string }{
		// The tip of the needle hangs straight down, 16 mm over the shelf's top.
		{"clearance", "{check: clearance, least: 16 mm, except: [{body: tool, solid: bar, least: 0 mm}]}", strings.Replace(head, "cup", "needle", 1) +
			"  a: {xyz: [-60, 0, 16], rpy: [180, 0, 0], frame: shelf}\nsteps:\n" + home + to, ""},
		{"clearance missed by a hair", "{check: clearance, least: 16.01 mm, except: [{body: tool, solid: bar, least: 0 mm}]}", strings.Replace(head, "cup", "needle", 1) +
			"  a: {xyz: [-60, 0, 16], rpy: [180, 0, 0], frame: shelf}\nsteps:\n" + home + to, "CLEARANCE_LOW"},
		{"touching where none is allowed", "{check: clearance, least: 16 mm, except: [{body: tool, solid: bar, least: 0 mm}]}", strings.Replace(head, "cup", "needle", 1) +
			"  a: {xyz: [-60, 0, 0], rpy: [180, 0, 0], frame: shelf}\nsteps:\n" + home + to, "CONTACT"},
		{"not quite touching", "{check: clearance, least: 16 mm, except: [{body: tool, solid: bar, least: 0 mm}]}", strings.Replace(head, "cup", "needle", 1) +
			"  a: {xyz: [-60, 0, 0.001], rpy: [180, 0, 0], frame: shelf}\nsteps:\n" + home + to, "CLEARANCE_LOW"},
		{"touching where touching is allowed", "{check: clearance, least: 16 mm, except: [{body: tool, solid: [bar, shelf-top], least: 0 mm}]}", strings.Replace(head, "cup", "needle", 1) +
			"  a: {xyz: [-60, 0, 0], rpy: [180, 0, 0], frame: shelf}\nsteps:\n" + home + to, ""},
		{"speed in a zone", "{check: keeps-out}", head +
			"  a: {xyz: [0, -250, 200], rpy: [180, 0, 0], frame: bin}\n  b: {xyz: [0, 150, 200], rpy: [180, 0, 0], frame: bin}\nsteps:\n" + to + "- {to: b, path: line, speed: 299.9 mm/s, end: stop}\n", ""},
		{"axis room", "{check: axis-room, least: 15 deg}", head + // axis 5 goes to 120
			"  a: {axes: [0, -4, 29, 0, 105, 0]}\nsteps:\n" + home + to, ""},
		{"axis room missed by a hair", "{check: axis-room, least: 15.1 deg}", head +
			"  a: {axes: [0, -4, 29, 0, 105, 0]}\nsteps:\n" + home + to, "NEAR_AXIS_LIMIT"},
		{"a visit at its tolerance", "{check: visits, poses: [{at: {xyz: [500, 0, 400], rpy: [180, 0, 0]}, within: 4 mm, by: stop}]}", head +
			"  a: {xyz: [504, 0, 400], rpy: [180, 0, 0]}\nsteps:\n" + home + to, ""},
		{"a visit beyond it", "{check: visits, poses: [{at: {xyz: [500, 0, 400], rpy: [180, 0, 0]}, within: 4 mm, by: stop}]}", head +
			"  a: {xyz: [504.01, 0, 400], rpy: [180, 0, 0]}\nsteps:\n" + home + to, "TARGET_MISSED"},
		{"cycle time", "{check: cycle-time, at-most: 3 s}", head + "steps:\n" + home + "- {pause: 3 s}\n", ""},
		{"cycle time missed by a hair", "{check: cycle-time, at-most: 3 s}", head + "steps:\n" + home + "- {pause: 3.001 s}\n", "CYCLE_TARGET"},
		{"cycle time in thirty parts", "{check: cycle-time, at-most: 3 s}", head + "steps:\n" + home + "- {repeat: 30, steps: [{pause: 0.1 s}]}\n", ""},
		{"a clearance of nothing is asked", "{check: clearance, least: 0 mm}", head + "steps:\n" + home, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			raises(t, alone(t, read(t, "cell.yaml"), tt.check, tt.program, grader.Options{}), tt.want)
		})
	}
}

// A place that is off, a tool that is turned and a leg that is long by exactly what
// is allowed keep the limit, whatever the last bits are that the frame which they
// are written in makes of them.
func TestExactlyAtTheLimitInAnyFrame(t *testing.T) {
	const (
		home   = "- {to: home, path: joint, speed: 10 %, end: stop}\n"
		toA    = "- {to: a, path: joint, speed: 10 %, end: stop}\n"
		visit  = "{check: visits, poses: [{at: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}, within: 5 mm, angle: 2 deg}]}"
		comes  = "{check: approach, at: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}, from: [50 mm, 100 mm], angle: 2 deg, near: 5 mm}"
		leaves = "{check: retract, at: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}, from: [50 mm, 100 mm], angle: 2 deg, near: 5 mm}"
		frame  = "{check: measured-frame, frame: f, true: {xyz: [0, 0, 101], rpy: [0, 0, 0.5], frame: shelf}, within: 1 mm, angle: 0.5 deg, legs: 200 mm, between: [60, 120]}"
	)
	pose := func(name, xyz, rpy string) string {
		return "  " + name + ": {xyz: [" + xyz + "], rpy: [" + rpy + "], frame: shelf}\n"
	}
	type motion struct{ name, check, program string }
	var all []motion
	for _, off := range []string{"5, 0, 110", "0, -5, 110", "0, 0, 115", "3, 4, 110", "0, -3, 114"} {
		all = append(all, motion{"off at " + off, visit, pose("a", off, "180, 0, 0") + "steps:\n" + home + toA})
	}
	for _, turned := range []string{"180, 2, 0", "182, 0, 0", "178, 0, 0", "180, -2, 0", "180, 0, 2", "180, 0, -2"} {
		all = append(all, motion{"turned by " + turned, visit, pose("a", "0, 0, 110", turned) + "steps:\n" + home + toA},
			motion{"home turned by " + turned, "{check: starts-home, at: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}, angle: 2 deg}", pose("a", "0, 0, 110", turned) + "steps:\n" + toA})
		ways := pose("a", "0, 0, 30", turned) + pose("o", "0, 0, 110", turned) + "steps:\n" + home + "- {to: o, path: joint, speed: 10 %, end: stop}\n- {to: a, path: line, speed: 50 mm/s, end: stop}\n- {to: o, path: line, speed: 50 mm/s, end: stop}\n"
		all = append(all, motion{"approach turned by " + turned, comes, ways}, motion{"retract turned by " + turned, leaves, ways})
	}
	far := pose("a", "0, 0, 35", "180, 0, 0") + pose("o", "0, 0, 135", "180, 0, 0") + "steps:\n" + home + "- {to: o, path: joint, speed: 10 %, end: stop}\n- {to: a, path: line, speed: 50 mm/s, end: stop}\n- {to: o, path: line, speed: 50 mm/s, end: stop}\n"
	all = append(all, motion{"approach ends 5 mm above", comes, far}, motion{"retract from 5 mm above", leaves, far},
		motion{"legs of 200 mm at 60 degrees", frame, pose("o", "0, 0, 100", "180, 0, 0") + pose("x", "200, 0, 100", "180, 0, 0") + pose("p", "100, 173.20508075688772, 100", "180, 0, 0") +
			"frames: {f: {origin: o, along-x: x, in-plane: p}}\nsteps:\n" + home})
	for _, yaw := range []string{"0", "12", "20", "33", "-7"} {
		cellText := apply(t, read(t, "cell.yaml"), []edit{{"shelf: {xyz: [520, -320, 120], rpy: [0, 0, 0]}", "shelf: {xyz: [520, -320, 120], rpy: [0, 0, " + yaw + "]}"}})
		for _, m := range all {
			c, k := setup(t, cellText, only(m.check))
			mark, l := grader.Grade(c, k, "program.yaml", []byte(head+m.program), grader.Options{})
			if err := l.Err(); err != nil {
				t.Fatal(err)
			}
			for _, f := range mark.Findings {
				t.Errorf("yaw %s, %s: %s, %s", yaw, m.name, f.Code, f.Text)
			}
		}
	}
}

// A mark that is exactly what is needed passes, one below does not; a task
// without points is never passed, and its mark is a number.
func TestExactlyEnoughPoints(t *testing.T) {
	program := head + "steps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {pause: 3 s}\n"
	for _, tt := range []struct {
		pass, checks string
		points       float64
		passed       bool
	}{
		{"100", "[{check: axis-room, least: 5 deg, points: 0.1}, {check: axis-room, least: 4 deg, points: 1.3}]", 100, true},
		{"80", "[{check: axis-room, least: 5 deg, points: 2.3}, {check: axis-room, least: 4 deg, points: 2.3}, {check: axis-room, least: 3 deg, points: 2.3}, {check: axis-room, least: 2 deg, points: 2.3}, {check: cycle-time, at-most: 1 s, points: 2.3, must: false}]", 80, true},
		{"80", "[{check: axis-room, least: 5 deg, points: 80}, {check: cycle-time, at-most: 1 s, points: 20, must: false}]", 80, true},
		{"80", "[{check: axis-room, least: 5 deg, points: 79}, {check: cycle-time, at-most: 1 s, points: 21, must: false}]", 79, false},
		{"80", "[{check: axis-room, least: 5 deg, points: 0}]", 0, false},
	} {
		c, k := setup(t, read(t, "cell.yaml"), "goal: x\nmode: automatic\npass: "+tt.pass+"\nchecks: "+tt.checks+"\n")
		m := grade(t, c, k, "program.yaml", program, grader.Options{})
		if math.IsNaN(m.Points) || !(math.Abs(m.Points-tt.points) <= 1e-9) || m.Passed != tt.passed {
			t.Errorf("%s: %g points, passed %v, want %g, %v", tt.checks, m.Points, m.Passed, tt.points, tt.passed)
		}
	}
}

// What is wrong at the very first step is found there too.
func TestAtTheFirstStep(t *testing.T) {
	const task = "{check: handles, part: bar, take: {signal: vacuum, confirm: part-held}, rest: 0.1 s}"
	m := alone(t, read(t, "cell.yaml"), task, head+
		"  grip: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}\n  over: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}\nsteps:\n"+
		"- {to: grip, path: joint, speed: 9 %, end: fly-by 5 mm}\n- {set: {vacuum: on}}\n- {wait: {part-held: on, at-most: 1 s}}\n- {to: over, path: line, speed: 50 mm/s, end: stop}\n", grader.Options{})
	if !slices.Contains(codes(m), "GRIP_ON_THE_FLY") || m.Passed {
		t.Errorf("a part gripped at a fly-by that is the first step: findings %q, passed %v", codes(m), m.Passed)
	}
	m = alone(t, read(t, "cell.yaml"), "{check: starts-home, pose: home}", head+
		"  a: {xyz: [500, 0, 400], rpy: [180, 0, 0]}\nsteps:\n- {to: a, path: joint, speed: 9 %, end: stop}\n- {to: home, path: joint, speed: 9 %, end: stop}\n", grader.Options{})
	i := slices.IndexFunc(m.Findings, func(f grader.Finding) bool { return f.Code == "NOT_HOME_AT_START" })
	if i < 0 || m.Findings[i].Step != "1" || m.Findings[i].Pos.Line != 7 {
		t.Errorf("findings %+v, want NOT_HOME_AT_START at step 1", m.Findings)
	}
}

// The signal that asks the machine may be the first of the cell.
func TestFirstSignalAsks(t *testing.T) {
	cellText := apply(t, read(t, "cell.yaml"), []edit{
		{"signals: {vacuum: output, part-held: input}", "signals: {ask: output, vacuum: output, part-held: input, ready: input}"},
		{"events:", "events:\n  - {when: {ask: on}, then: {ready: on}, after: 1 s}"},
	})
	m := alone(t, cellText, "{check: handshake, at: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}, ask: ask, answer: ready}", head+
		"  grip: {xyz: [0, 0, 31], rpy: [180, 0, 0], frame: shelf}\nsteps:\n- {to: home, path: joint, speed: 9 %, end: stop}\n- {to: grip, path: joint, speed: 9 %, end: stop}\n", grader.Options{})
	if !slices.Contains(codes(m), "NOT_ASKED") {
		t.Errorf("findings %q, want NOT_ASKED", codes(m))
	}
}

// A machine that answers at once leaves no time in which the arm stands waiting;
// where it stood is examined all the same, also when its only move so far is the
// first.
func TestAnsweredAtOnceInsideTheMachine(t *testing.T) {
	cellText := apply(t, read(t, "cell.yaml"), []edit{
		{"signals: {vacuum: output, part-held: input}", "signals: {vacuum: output, ask: output, part-held: input, ready: input}"},
		{"events:", "events:\n  - {when: {ask: on}, then: {ready: on}, after: 0 s}"},
	})
	m := alone(t, cellText, "{check: handshake, at: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}, ask: ask, answer: ready, clear-of: shelf-top, away: 100 mm}", head+
		"  over: {xyz: [0, 0, 80], rpy: [180, 0, 0], frame: shelf}\n  grip: {xyz: [0, 0, 31], rpy: [180, 0, 0], frame: shelf}\nsteps:\n"+
		"- {to: over, path: joint, speed: 9 %, end: stop}\n- {set: {ask: on}}\n- {wait: {ready: on, at-most: 1 s}}\n- {to: grip, path: line, speed: 50 mm/s, end: stop}\n", grader.Options{})
	if !slices.Contains(codes(m), "WAIT_INSIDE_MACHINE") || m.Passed {
		t.Errorf("findings %q, passed %v, want WAIT_INSIDE_MACHINE", codes(m), m.Passed)
	}
}

// Zones are looked at one by one, in whatever order a task names them, and a place
// may name the base as its frame.
func TestZonesInAnyOrder(t *testing.T) {
	const out = head + "  out: {axes: [125, 10, 10, 0, 60, 0]}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: out, path: joint, speed: 5 %, end: stop}\n"
	for _, tt := range []struct{ check, want string }{
		{"{check: keeps-out, zones: [reach-in, walkway]}", "KEEP_OUT_ENTERED"},
		{"{check: keeps-out, zones: [walkway, reach-in]}", "KEEP_OUT_ENTERED"},
		{"{check: keeps-out, zones: reach-in}", ""},
		{"{check: visits, poses: [{at: {xyz: [420.064, 0, 425.141], rpy: [180, 0, 0], frame: base}, angle: 180 deg}]}", ""},
		{"{check: visits, poses: [{at: {xyz: [420.064, 0, 425.141], rpy: [180, 0, 0], frame: world}, angle: 180 deg}]}", ""},
	} {
		raises(t, alone(t, read(t, "cell.yaml"), tt.check, out, grader.Options{}), tt.want)
	}
}
