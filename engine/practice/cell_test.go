package practice

import (
	"math"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/program"
	"posework/engine/shape"
	"posework/kin"
	"posework/kin/arm"
)

// testing.TB without what rapid's T lacks.
type tb interface {
	Helper()
	Fatal(args ...any)
	Fatalf(format string, args ...any)
}

func boxAt(x, y, z, dx, dy, dz float64) shape.Shape {
	return shape.Shape{Kind: shape.Box, P: kin.Vec{X: x, Y: y, Z: z}, Rot: kin.Identity, Half: kin.Vec{X: dx / 2, Y: dy / 2, Z: dz / 2}}
}

// soapCell is a small cell by hand: the course's arm and cup, a stand with a
// slab on it, a post beside it, a rack frame.
func soapCell(t tb) *cell.Cell {
	t.Helper()
	m, ok := arm.Builtin("hazel")
	if !ok {
		t.Fatal("no arm hazel")
	}
	return &cell.Cell{
		Arm:   m,
		Mount: kin.IdentityPose,
		Tools: []cell.Tool{{
			Name: "cup", TCP: kin.Pose{R: kin.Identity, T: kin.Vec{Z: 180}}, Mass: 1.4,
			Solids: []cell.ToolSolid{{Shape: shape.Shape{Kind: shape.Cylinder, P: kin.Vec{Z: 90}, Rot: kin.Identity, R: 24, Half: kin.Vec{Z: 90}}}},
		}},
		Frames: []cell.Frame{
			{Name: "stand", Pose: kin.Pose{R: kin.Identity, T: kin.Vec{X: 600, Z: 200}}},
			{Name: "turned", Pose: kin.Pose{R: kin.FromRPY(0, 0, kin.Rad(90)), T: kin.Vec{X: 400}}},
		},
		Floor:  cell.Floor{Exists: true, Z: -300},
		Solids: []cell.Solid{{Name: "table", Shape: boxAt(600, 0, 180, 200, 200, 40)}, {Name: "post", Shape: boxAt(590, -210, -20, 60, 60, 560)}},
		Parts:  []cell.Part{{Name: "slab", Shape: boxAt(0, 0, 0, 120, 120, 40), Pose: kin.Pose{R: kin.Identity, T: kin.Vec{X: 600, Z: 220}}}},
		Signals: []cell.Signal{
			{Name: "vacuum", Output: true},
			{Name: "part-held"},
		},
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

// degs are axes as people write them.
func degs(q ...float64) (out kin.Joints) {
	for i, x := range q {
		out[i] = kin.Rad(x)
	}
	return out
}

// above is the tool 100 mm above the slab, pointing down; on touches it
// (worked out by the tool-down rule: q2 + q3 + q5 = 90).
var above = degs(0, 23.25, 12.06, 0, 54.69, 0)

// bench is a controller at above, at 50 mm/s.
func bench(t tb) *Controller {
	t.Helper()
	c := New(soapCell(t), &above)
	c.SetSpeed(50)
	return c
}

// hold grips the device and holds an action for a time, renewed as a key repeats.
func hold(t tb, c *Controller, a Action, seconds float64) {
	t.Helper()
	for passed := 0.0; passed < seconds; passed += 0.03 {
		c.Grip(Middle)
		if err := c.Hold(a); err != nil {
			t.Fatalf("hold %+v: %v", a, err)
		}
		c.Advance(0.03)
	}
}

// come waits until the arm stands.
func come(t tb, c *Controller) {
	t.Helper()
	for range 1000 {
		if !c.Moving() {
			return
		}
		c.Advance(0.03)
	}
	t.Fatal("the arm never stops")
}

// plan plans a program that must be sound.
func plan(t tb, c *cell.Cell, text string) *motion.Trajectory {
	t.Helper()
	p, l := program.Read("test.yaml", []byte("posework: program/1\n"+text))
	if len(l) > 0 {
		t.Fatal(l.Error())
	}
	tr, l := motion.Plan(c, p, motion.Options{})
	if len(l) > 0 {
		t.Fatal(l.Error())
	}
	return tr
}

func almost(t tb, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Fatalf("%s = %.6f, want %.6f within %g", what, got, want, tol)
	}
}
