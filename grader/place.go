package grader

import (
	"posework/engine/cell"
	"posework/engine/diag"
	"posework/kin"
)

// Place is a pose that the tool centre point must come to for a task.
type Place struct {
	Name string   // in the words of the lesson
	At   kin.Pose // world to tool centre point
	Pos  diag.Pos // the check
}

// Places lists the poses that the checks of the task ask for, in their order.
func (t *Task) Places() (all []Place) {
	for _, it := range t.Checks {
		add := func(name string, at kin.Pose) { all = append(all, Place{name, at, it.Pos}) }
		ofStretch := func(s *stretch) {
			if s.oriented {
				add(s.name, s.at)
			}
		}
		switch c := it.Check.(type) {
		case visits:
			for i := range c.points {
				add(c.points[i].name, c.points[i].at)
			}
		case approach:
			ofStretch(&c.stretch)
		case retract:
			ofStretch(&c.stretch)
		}
	}
	return all
}

// Reachable reports whether the arm can stand there with one of its cell's tools,
// inside its axis limits.
func (p *Place) Reachable(c *cell.Cell) bool {
	for i := range c.Tools {
		tcpFlange := c.Tools[i].TCP.Inv()
		worldFlange := p.At.Mul(&tcpFlange)
		if _, miss := c.Arm.Nearest(&worldFlange, &kin.Joints{}, nil); miss.OK() {
			return true
		}
	}
	return false
}
