package sweep_test

import (
	"fmt"
	"strings"
	"testing"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/program"
	"posework/engine/shape"
	"posework/kin"
	"posework/kin/arm"
)

func vec(x, y, z float64) kin.Vec { return kin.Vec{X: x, Y: y, Z: z} }

func at(x, y, z float64) kin.Pose { return kin.Pose{R: kin.Identity, T: vec(x, y, z)} }

func box(x, y, z, lx, ly, lz float64) shape.Shape {
	return shape.Shape{Kind: shape.Box, P: vec(x, y, z), Rot: kin.Identity, Half: vec(lx/2, ly/2, lz/2)}
}

func post(x, y, z, r, height float64) shape.Shape {
	return shape.Shape{Kind: shape.Cylinder, P: vec(x, y, z+height/2), Rot: kin.Identity, R: r, Half: vec(0, 0, height/2)}
}

func rail(p, q kin.Vec, r float64) shape.Shape {
	return shape.Shape{Kind: shape.Capsule, P: p, Q: q, R: r}
}

func ball(p kin.Vec, r float64) shape.Shape { return shape.Shape{Kind: shape.Sphere, P: p, R: r} }

func builtin(t testing.TB, name string) *arm.Model {
	t.Helper()
	m, ok := arm.Builtin(name)
	if !ok {
		t.Fatalf("no arm %q", name)
	}
	return m
}

// soapCell is the bar packing cell of the course: an arm, a cup gripper, a
// crate of four walls, a slab stand, a tray, guards and three zones.
func soapCell(t testing.TB) *cell.Cell {
	solid := func(name string, s shape.Shape) cell.Solid { return cell.Solid{Name: name, Shape: s} }
	return &cell.Cell{
		Arm:   builtin(t, "hazel"),
		Mount: kin.IdentityPose,
		Tools: []cell.Tool{{
			Name: "cup", TCP: at(0, 0, 180), Mass: 0.4,
			Solids: []cell.ToolSolid{
				{Name: "plate", Shape: box(0, 0, 12, 80, 60, 24)},
				{Name: "stem", Shape: rail(vec(0, 0, 30), vec(0, 0, 140), 15)},
				{Name: "lip", Shape: shape.Shape{Kind: shape.Cylinder, P: vec(0, 0, 165), Rot: kin.Identity, R: 20, Half: vec(0, 0, 14)}},
			},
		}},
		Floor: cell.Floor{Exists: true, Z: -300},
		Solids: []cell.Solid{
			solid("chute", box(560, -420, 60, 200, 160, 120)),
			solid("stand", box(600, 0, 110, 200, 200, 220)),
			solid("guide post", post(600, -200, -300, 25, 500)),
			solid("crate floor", box(420, 230, 15, 320, 220, 10)),
			solid("crate wall left", box(265, 230, 45, 10, 220, 70)),
			solid("crate wall right", box(575, 230, 45, 10, 220, 70)),
			solid("crate wall front", box(420, 125, 45, 320, 10, 70)),
			solid("crate wall back", box(420, 335, 45, 320, 10, 70)),
			solid("tray", box(522, 500, 45, 420, 260, 90)),
			solid("guard", box(900, 0, 500, 20, 1600, 1000)),
			solid("rail", rail(vec(200, 700, 300), vec(800, 700, 300), 20)),
			solid("lamp", ball(vec(300, 0, 1300), 60)),
		},
		Zones: []cell.Zone{
			{Name: "walkway", Shape: box(-500, -700, 500, 600, 400, 1600), Rule: cell.KeepOut},
			{Name: "hatch", Shape: box(760, -420, 300, 150, 300, 400), Rule: cell.KeepOut},
			{Name: "reach-in", Shape: box(420, 230, 200, 320, 220, 300), Rule: cell.AtMost, Speed: 250},
		},
		Parts:   []cell.Part{{Name: "bar", Shape: box(0, 0, 0, 90, 60, 30), Pose: at(520, -420, 135), Mass: 0.3}},
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

// plan plans a program that must be sound and reach its end.
func plan(t testing.TB, c *cell.Cell, text string) *motion.Trajectory {
	t.Helper()
	p, l := program.Read("test.yaml", []byte("posework: program/1\n"+text))
	if len(l) > 0 {
		t.Fatal(l.Err())
	}
	tr, l := motion.Plan(c, p, motion.Options{})
	if len(l) > 0 {
		t.Fatal(l.Err())
	}
	if tr.Halt != nil {
		t.Fatalf("the motion halts: %+v", tr.Halt)
	}
	return tr
}

// everything returns the spans of a whole trajectory.
func everything(tr *motion.Trajectory) (all, moving []sweepSpan) {
	for i := range tr.Pieces {
		s := sweepSpan{Piece: i, S1: tr.Pieces[i].Path.Length()}
		all = append(all, s)
		if tr.Pieces[i].Kind != motion.Rest {
			moving = append(moving, s)
		}
	}
	return all, moving
}

// packProgram packs bars for the given number of rounds of about ten steps and
// twenty seconds each.
func packProgram(rounds int) string {
	var b strings.Builder
	b.WriteString(`tool: cup
poses:
  home: {axes: [0, -3.74, 29.48, 0, 64.26, 0]}
  above: {xyz: [520, -420, 250], rpy: [180, 0, 0]}
  pick: {xyz: [520, -420, 150], rpy: [180, 0, 0]}
  over: {xyz: [600, -200, 340], rpy: [180, 0, 0]}
  look: {xyz: [560, 40, 330], rpy: [180, 0, 30]}
  crate: {xyz: [420, 230, 190], rpy: [180, 0, 0]}
  drop: {xyz: [420, 230, 110], rpy: [180, 0, 0]}
  round: {xyz: [600, -60, 380], rpy: [180, 0, 0]}
steps:
`)
	for range rounds {
		for _, s := range []string{
			"{to: home, path: joint, speed: 15 %, end: stop}",
			"{to: above, path: joint, speed: 15 %, end: stop}",
			"{to: pick, path: line, speed: 60 mm/s, end: stop}",
			"{to: above, path: line, speed: 60 mm/s, end: stop}",
			"{to: over, path: line, speed: 150 mm/s, end: fly-by 30 mm}",
			"{to: look, path: line, speed: 150 mm/s, end: fly-by 20 mm}",
			"{to: crate, path: line, speed: 150 mm/s, end: stop}",
			"{to: drop, path: line, speed: 60 mm/s, end: stop}",
			"{to: crate, path: line, speed: 60 mm/s, end: stop}",
			"{to: above, through: round, path: arc, speed: 150 mm/s, end: stop}",
		} {
			fmt.Fprintf(&b, "- %s\n", s)
		}
	}
	return b.String()
}
