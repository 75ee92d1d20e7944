package motion

import (
	"fmt"
	"strings"
	"testing"

	"posework/engine/cell"
	"posework/engine/shape"
	"posework/kin"
)

// tooMuch holds programs, each with its cell, that take more work than is spent
// on one.
func tooMuch(t testing.TB) map[string]struct {
	c    *cell.Cell
	text string
} {
	flown := soapCell(t)
	// The tool creeps along a part, half a thousandth of a mm too far from it for
	// the event that waits for it: for twenty minutes nothing comes near.
	along := soapCell(t)
	along.Parts[0] = cell.Part{
		Name: "bar", Shape: shape.Shape{Kind: shape.Box, Rot: kin.Identity, Half: kin.Vec{X: 45, Y: 600, Z: 15}},
		Pose: kin.Pose{R: kin.Identity, T: kin.Vec{X: 500, Z: 400 - cell.NearMM - 0.0005 - 15}},
	}
	// Two events that undo each other, for an hour.
	restless := soapCell(t)
	restless.Events = []cell.Event{
		{When: []cell.SignalState{{Signal: 1, On: false}}, Near: -1, Hold: -1, Let: -1, Then: []cell.SignalState{{Signal: 1, On: true}}, After: 0.001},
		{When: []cell.SignalState{{Signal: 1, On: true}}, Near: -1, Hold: -1, Let: -1, Then: []cell.SignalState{{Signal: 1, On: false}}, After: 0.001},
	}
	const poses = "tool: cup\nposes:\n  a: {xyz: [500, -150, 400], rpy: [180, 0, 0]}\n  b: {xyz: [500, 150, 400], rpy: [180, 0, 0]}\n"
	return map[string]struct {
		c    *cell.Cell
		text string
	}{
		"fly-bys": {flown, poses + "steps:\n- {to: a, path: joint, speed: 20 %, end: stop}\n- {repeat: 999, steps: [" +
			strings.Repeat("{to: b, path: line, speed: 100 mm/s, end: fly-by 20 mm}, {to: a, path: line, speed: 100 mm/s, end: fly-by 20 mm}, ", 5) + "]}\n"},
		"creeping along a part": {along, poses + "steps:\n- {to: a, path: joint, speed: 20 %, end: stop}\n- {set: {vacuum: on}}\n- {to: b, path: line, speed: 0.25 mm/s, end: stop}\n"},
		"a restless cell":       {restless, poses + "steps:\n- {to: a, path: joint, speed: 20 %, end: stop}\n- {pause: 3600 s}\n"},
	}
}

// Work on a program is bounded, and the error says so.
func TestTooMuch(t *testing.T) {
	for name, tt := range tooMuch(t) {
		t.Run(name, func(t *testing.T) {
			tr, l := Plan(tt.c, parse(t, tt.text), Options{})
			want := fmt.Sprintf("more than %d evaluations", maxEffort)
			if tr != nil || len(l) != 1 || l[0].Code != "M013" || !strings.Contains(l[0].String(), want) || l[0].Pos.Line == 0 {
				t.Errorf("got %v, want one M013 with %q and a place", l, want)
			}
		})
	}
}

// The bound holds for what comes before the motion too: ten thousand poses, each
// shifted on its own, of an arm whose inverse is searched for.
func TestTooMuchToReach(t *testing.T) {
	c := soapCell(t)
	rows := c.Arm.Chain.Rows()
	rows[4].A, rows[1].Alpha, rows[3].A = 35, 0.3, 20 // no three axes meet or are parallel
	m := *c.Arm
	m.Chain = kin.NewChain(kin.IdentityPose, rows, c.Arm.Chain.Flange())
	c.Arm = &m
	if f := m.Inverse().Family(); f != kin.Numerical {
		t.Fatalf("the arm's inverse is %v, want one that is searched for", f)
	}
	text := "tool: cup\nposes:\n  a: {xyz: [500, -150, 400], rpy: [180, 0, 0]}\nsteps:\n- {repeat: 1000, shift: {frame: base, by: [0.001, 0, 0]}, steps: [" +
		strings.Repeat("{to: a, path: joint, speed: 10 %, end: stop}, ", 9) + "]}\n"
	tr, l := Plan(c, parse(t, text), Options{})
	if tr != nil || len(l) != 1 || l[0].Code != "M013" {
		t.Errorf("got %v, want M013", l)
	}
}

// A cell that has a tool carries it: a program can't wish it away by moving the
// bare flange, which only a cell without tools has.
func TestBareFlange(t *testing.T) {
	const text = "tool: flange\nposes:\n  home: {axes: [0, -3.74, 29.48, 0, 64.26, 0]}\n" + someSteps
	if tr, l := Plan(soapCell(t), parse(t, text), Options{}); tr != nil || len(l) != 1 || l[0].Code != "M001" {
		t.Errorf("with tools: %v, want M001", l)
	}
	c := soapCell(t)
	c.Tools = nil
	if tr := mustPlan(t, c, text, Options{}); tr.Tools[0].Body != -1 {
		t.Errorf("without tools: %+v, want the bare flange", tr.Tools)
	}
}

func BenchmarkTooMuch(b *testing.B) {
	for name, tt := range tooMuch(b) {
		p := parse(b, tt.text)
		b.Run(strings.ReplaceAll(name, " ", "-"), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Plan(tt.c, p, Options{})
			}
		})
	}
}
