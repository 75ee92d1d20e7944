package picture

import (
	"strings"
	"testing"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/shape"
	"posework/kin"
	"posework/kin/arm"
)

func TestShow(t *testing.T) {
	m, _ := arm.Builtin("hazel")
	c := &cell.Cell{
		Arm:    m,
		Mount:  kin.IdentityPose,
		Floor:  cell.Floor{Exists: true, Z: -300},
		Tools:  []cell.Tool{{Name: "cups", Solids: []cell.ToolSolid{{Shape: shape.Shape{Kind: shape.Sphere, P: kin.Vec{Z: 100}, R: 20}}}}},
		Solids: []cell.Solid{{Name: "stand", Shape: box("", Solid, 600, 0, 100, 100, 100, 100).Shape}, {Name: "ground", Shape: shape.Shape{Kind: shape.HalfSpace, Rot: kin.Identity}}},
		Zones: []cell.Zone{
			{Name: "walk", Shape: box("", Solid, 0, 900, 0, 500, 100, 900).Shape, Rule: cell.KeepOut},
			{Name: "hand", Shape: box("", Solid, 0, -900, 0, 500, 100, 900).Shape, Rule: cell.AtMost, Speed: 250},
		},
		Frames: []cell.Frame{{Name: "rack", Pose: kin.Pose{R: kin.Identity, T: kin.Vec{X: 500, Y: 500, Z: 150}}}},
		Parts:  []cell.Part{{Name: "bar", Shape: shape.Shape{Kind: shape.Sphere, R: 10}, Pose: kin.Pose{R: kin.Identity, T: kin.Vec{X: 1}}}},
	}
	q := kin.Joints{}
	var f kin.Frames
	m.Chain.Forward(&q, &f)
	held := kin.Pose{R: kin.Identity, T: kin.Vec{Z: 130}}
	for _, c2 := range []struct {
		state *motion.Scene
		ink   Ink
		at    kin.Vec
	}{
		{nil, Part, kin.Vec{X: 1}},
		{&motion.Scene{Parts: []motion.PartState{{Pose: kin.Pose{R: kin.Identity, T: kin.Vec{Y: 2}}}}, Held: -1}, Part, kin.Vec{Y: 2}},
		{&motion.Scene{Parts: []motion.PartState{{Pose: held}}, Held: 0}, Held, f[6].Apply(held.T)},
	} {
		var s Scene
		s.Show(c, &Moment{Q: q, Tool: 0, TCP: kin.Pose{R: kin.Identity, T: kin.Vec{Z: 120}}, State: c2.state}, true)
		if got, want := len(s.Bodies), len(m.Solids)+1+1+1; got != want {
			t.Errorf("%d bodies, want %d: links, tool, part, one solid; a half-space has no outline", got, want)
		}
		part := s.Bodies[len(m.Solids)+1]
		if part.Ink != c2.ink || !(part.Shape.P.Sub(c2.at).Norm() <= 1e-9) {
			t.Errorf("the part has ink %d at %v, want %d at %v", part.Ink, part.Shape.P, c2.ink, c2.at)
		}
		if s.Zones[0].Name != "walk: keep out" || s.Zones[1].Name != "hand: at most 250 mm/s" || s.Zones[1].Ink != SpeedZone {
			t.Errorf("zones %+v", s.Zones)
		}
		tool := s.Frames[len(s.Frames)-1].Pose.T
		if want := f[6].Apply(kin.Vec{Z: 120}); !(tool.Sub(want).Norm() <= 1e-9) {
			t.Errorf("the tool's frame stands at %v, want %v", tool, want)
		}
		var cv Canvas
		cam := (Camera{}).Look(Views()[0]).Fit(&s, Size{100, 30})
		cv.Draw(&s, &cam, Size{100, 30}, Braille)
		if out := cv.String(); !strings.Contains(out, "rack") || !strings.Contains(out, "stand") {
			t.Errorf("names are missing:\n%s", out)
		}
	}
}
