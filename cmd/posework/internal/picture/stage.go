package picture

import (
	"fmt"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/shape"
	"posework/kin"
)

// Moment is where the moving things of a cell are.
type Moment struct {
	Q     kin.Joints
	Tool  int           // index of the tool in the cell whose solids are carried; -1: none
	TCP   kin.Pose      // flange to tool centre point
	State *motion.Scene // parts; nil: as the cell starts
}

// Show adds a cell at a moment to the scene: all bodies, zones and the floor,
// and the tool's frame. names adds the names of solids, zones and frames.
func (s *Scene) Show(c *cell.Cell, m *Moment, names bool) {
	var f kin.Frames
	c.Arm.Chain.Forward(&m.Q, &f)
	for i := range c.Arm.Solids {
		a := &c.Arm.Solids[i]
		s.place(shape.OfLink(a), &f[a.Link], Body{Ink: Arm, Name: linkNames[a.Link]})
	}
	if m.Tool >= 0 && m.Tool < len(c.Tools) {
		t := &c.Tools[m.Tool]
		for i := range t.Solids {
			s.place(t.Solids[i].Shape, &f[6], Body{Ink: Tool, Name: t.Name})
		}
	}
	s.parts(c, m, &f[6])
	s.fixed(c, names)
	tool := f[6].Mul(&m.TCP)
	s.Frames = append(s.Frames, Frame{Pose: tool, Size: frameSize(c)})
}

// linkNames keep neighbouring links apart as bodies.
var linkNames = [7]string{"link 0", "link 1", "link 2", "link 3", "link 4", "link 5", "link 6"}

func (s *Scene) place(sh shape.Shape, at *kin.Pose, b Body) {
	sh.Move(at, &b.Shape)
	s.Bodies = append(s.Bodies, b)
}

func (s *Scene) parts(c *cell.Cell, m *Moment, flange *kin.Pose) {
	for i := range c.Parts {
		p := &c.Parts[i]
		at, ink := p.Pose, Part
		if m.State != nil {
			at = m.State.Parts[i].Pose
			if m.State.Held == i {
				at, ink = flange.Mul(&at), Held
			}
		}
		s.place(p.Shape, &at, Body{Ink: ink, Name: p.Name})
	}
}

// fixed adds what does not move.
func (s *Scene) fixed(c *cell.Cell, names bool) {
	for i := range c.Solids {
		b := &c.Solids[i]
		if b.Shape.Kind == shape.HalfSpace {
			continue
		}
		s.Bodies = append(s.Bodies, Body{Shape: b.Shape, Ink: Solid, Name: b.Name, Named: names})
	}
	for i := range c.Zones {
		z := &c.Zones[i]
		d := Zone{Shape: z.Shape, Ink: KeepOut}
		if z.Rule == cell.AtMost {
			d.Ink = SpeedZone
		}
		if names {
			d.Name = zoneName(z)
		}
		s.Zones = append(s.Zones, d)
	}
	for i := range c.Frames {
		f := Frame{Pose: c.Frames[i].Pose, Size: frameSize(c)}
		if names {
			f.Name = c.Frames[i].Name
		}
		s.Frames = append(s.Frames, f)
	}
	if c.Floor.Exists {
		reach := c.Arm.Reach
		s.Floor = &Floor{Z: c.Floor.Z, Centre: c.Mount.Apply(kin.Vec{X: 0.4 * reach}), Half: reach, Step: max(reach/5, 1)}
	}
}

func zoneName(z *cell.Zone) string {
	if z.Rule == cell.AtMost {
		return fmt.Sprintf("%s: at most %g mm/s", z.Name, z.Speed)
	}
	return z.Name + ": keep out"
}

func frameSize(c *cell.Cell) float64 { return c.Arm.Reach / 12 }
