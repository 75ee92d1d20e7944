package motion

import (
	"math"
	"slices"
	"testing"

	"posework/engine/cell"
	"posework/engine/program"
	"posework/engine/shape"
	"posework/kin"
)

// soapCell is a cell by hand: the course's arm and gripper, a rack frame, one
// part, a vacuum and its confirmation.
func soapCell(t testing.TB) *cell.Cell {
	return &cell.Cell{
		Arm:   model(t, "hazel"),
		Mount: kin.IdentityPose,
		Tools: []cell.Tool{
			{Name: "cup", TCP: kin.Pose{R: kin.Identity, T: kin.Vec{Z: 180}}},
			{Name: "blade", TCP: kin.Pose{R: kin.Identity, T: kin.Vec{X: 40, Z: 120}}},
		},
		Frames: []cell.Frame{{Name: "rack", Pose: kin.Pose{R: kin.Identity, T: kin.Vec{X: 420, Y: -150, Z: 30}}}},
		Parts: []cell.Part{{
			Name: "bar", Shape: shape.Shape{Kind: shape.Box, Rot: kin.Identity, Half: kin.Vec{X: 45, Y: 30, Z: 15}},
			Pose: kin.Pose{R: kin.Identity, T: kin.Vec{X: 520, Y: -420, Z: 135}},
		}},
		Signals: []cell.Signal{{Name: "vacuum", Output: true}, {Name: "part-held"}},
		Events: []cell.Event{{
			When: []cell.SignalState{{Signal: 0, On: true}}, Near: 0, Hold: 0, Let: -1,
			Then: []cell.SignalState{{Signal: 1, On: true}}, After: 0.15,
		}, {
			When: []cell.SignalState{{Signal: 0, On: false}}, Near: -1, Hold: -1, Let: 0,
			Then: []cell.SignalState{{Signal: 1, On: false}}, After: 0.1,
		}},
		Motion: cell.Motion{ToolAccel: 2500},
	}
}

// parse reads a program that must be sound.
func parse(t testing.TB, text string) *program.Program {
	t.Helper()
	p, l := program.Read("test.yaml", []byte("posework: program/1\n"+text))
	if len(l) > 0 {
		t.Fatal(l.Err())
	}
	return p
}

// mustPlan plans a program that raises no diagnostics.
func mustPlan(t testing.TB, c *cell.Cell, text string, o Options) *Trajectory {
	t.Helper()
	tr, l := Plan(c, parse(t, text), o)
	if len(l) > 0 {
		t.Fatal(l.Err())
	}
	return tr
}

// near reports whether two numbers agree within tol; NaN never does.
func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

const pickProgram = `
tool: cup
poses:
  home: {axes: [0, -3.74, 29.48, 0, 64.26, 0]}
  above: {xyz: [520, -420, 250], rpy: [180, 0, 0]}
  pick: {xyz: [520, -420, 150], rpy: [180, 0, 0]}
  tray: {xyz: [380, 430, 220], rpy: [180, 0, 0]}
steps:
- {to: home, path: joint, speed: 20 %, end: stop}
- {to: above, path: joint, speed: 30 %, end: stop}
- {to: pick, path: line, speed: 80 mm/s, end: stop}
- {set: {vacuum: on}}
- {wait: {part-held: on, at-most: 2 s}}
- {to: above, path: line, speed: 80 mm/s, end: stop}
- {pause: 0.5 s}
- {to: tray, path: joint, speed: 30 %, end: stop}
- {set: {vacuum: off}}
- {to: home, path: joint, speed: 20 %, end: stop}
`

func TestPick(t *testing.T) {
	c := soapCell(t)
	tr := mustPlan(t, c, pickProgram, Options{})
	if tr.Halt != nil {
		t.Fatalf("halt %+v", tr.Halt)
	}
	if len(tr.Steps) != 10 {
		t.Fatalf("%d steps, want 10", len(tr.Steps))
	}
	now := 0.0
	for i, p := range tr.Pieces {
		if p.Start != now || !(p.End > p.Start) {
			t.Errorf("piece %d runs from %g to %g s, want a start at %g", i, p.Start, p.End, now)
		}
		now = p.End
	}
	if now != tr.Duration {
		t.Errorf("the pieces end at %g s, the trajectory at %g", now, tr.Duration)
	}
	// The wait lasts as long as the vacuum needs.
	if w := tr.Steps[4]; !near(w.End-w.Start, 0.15, 1e-9) {
		t.Errorf("the wait lasts %g s, want 0.15", w.End-w.Start)
	}
	// The bar is held from then on and let go at the tray, under the cup.
	var held []int
	for i := range tr.Pieces {
		held = append(held, tr.Scenes[tr.Pieces[i].Scene].Held)
	}
	first, last := slices.Index(held, 0), len(held)-1
	if first < 0 || tr.Pieces[first].Start != tr.Steps[4].End || held[last] != -1 {
		t.Errorf("parts held by piece: %v, want the bar from the end of the wait, and nothing at the end", held)
	}
	got := tr.Scenes[len(tr.Scenes)-1].Parts[0].Pose.T
	if tr.Steps[7].Target.T != (kin.Vec{X: 380, Y: 430, Z: 220}) || !(got.Sub(kin.Vec{X: 380, Y: 430, Z: 205}).Norm() <= 40) {
		t.Errorf("the bar ends at %v", got)
	}
}

// A motion that goes nowhere has a place all the same: one rest of no length
// after its last move.
func TestGoesNowhere(t *testing.T) {
	c := soapCell(t)
	const poses = "tool: cup\nposes: {home: {axes: [0, -4, 29, 0, 65, 0]}}\nsteps:\n- {set: {vacuum: off}}\n- {to: home, path: joint, speed: 20 %, end: stop}\n"
	tr := mustPlan(t, c, poses+"- {set: {vacuum: on}}\n", Options{})
	if len(tr.Pieces) != 1 || tr.Duration != 0 {
		t.Fatalf("%d pieces in %g s, want one that takes no time", len(tr.Pieces), tr.Duration)
	}
	p := &tr.Pieces[0]
	if p.Kind != Rest || p.Step != 1 || p.Start != 0 || p.End != 0 || p.Scene != len(tr.Scenes)-1 {
		t.Errorf("piece %+v, want a rest after step 1", p)
	}
	var e Eval
	p.Path.At(0, &e)
	if e.Q != tr.Start {
		t.Errorf("it stands at %v, want %v", e.Q, tr.Start)
	}
	for i, want := range [][2]int{{0, 0}, {0, 1}, {1, 1}} {
		if s := &tr.Steps[i]; s.First != want[0] || s.Last != want[1] {
			t.Errorf("step %d has the pieces %d to %d, want %d to %d", i, s.First, s.Last, want[0], want[1])
		}
	}
	if tr := mustPlan(t, c, poses+"- {pause: 1 s}\n", Options{}); len(tr.Pieces) != 1 || tr.Duration != 1 {
		t.Errorf("with a pause %d pieces in %g s, want the pause alone", len(tr.Pieces), tr.Duration)
	}
}
