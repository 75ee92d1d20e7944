package motion

import (
	"slices"

	"posework/engine/cell"
	"posework/engine/shape"
	"posework/kin"
)

// FirstScene is the cell at its start.
func FirstScene(c *cell.Cell) Scene {
	s := Scene{Held: -1}
	for i := range c.Signals {
		s.Signals = append(s.Signals, c.Signals[i].On)
	}
	for i := range c.Parts {
		s.Parts = append(s.Parts, PartState{Pose: c.Parts[i].Pose})
	}
	return s
}

// Clone returns a scene whose slices are its own.
func (s *Scene) Clone() Scene {
	return Scene{Signals: slices.Clone(s.Signals), Parts: slices.Clone(s.Parts), Held: s.Held}
}

// Equal reports whether two scenes of one cell are the same.
func (s *Scene) Equal(t *Scene) bool {
	return s.Held == t.Held && slices.Equal(s.Signals, t.Signals) && slices.Equal(s.Parts, t.Parts)
}

// Take makes the scene what it is after an event, with the flange where it is
// in the world. A part that is let go stays where it is.
func (s *Scene) Take(ev *cell.Event, flange *kin.Pose) {
	for _, t := range ev.Then {
		s.Signals[t.Signal] = t.On
	}
	if p := ev.Let; p >= 0 && s.Held == p {
		s.Parts[p].Pose = flange.Mul(&s.Parts[p].Pose)
		s.Held = -1
	}
	if p := ev.Hold; p >= 0 && s.Held < 0 {
		inv := flange.Inv()
		s.Parts[p].Pose = inv.Mul(&s.Parts[p].Pose)
		s.Held = p
	}
}

// Gap returns the distance from the tool centre point to a part's surface, mm.
func (s *Scene) Gap(c *cell.Cell, part int, flange *kin.Pose, tcp kin.Vec) float64 {
	worldPart := s.Parts[part].Pose
	if s.Held == part {
		worldPart = flange.Mul(&worldPart)
	}
	var placed shape.Shape
	c.Parts[part].Shape.Move(&worldPart, &placed)
	tip := shape.Shape{Kind: shape.Sphere, P: tcp}
	return shape.Distance(&tip, &placed)
}

// Near reports whether the tool centre point is near a part, as events mean it:
// within cell.NearMM of its surface.
func (s *Scene) Near(c *cell.Cell, part int, flange *kin.Pose, tcp kin.Vec) bool {
	return s.Gap(c, part, flange, tcp)-cell.NearMM <= 1e-9
}
