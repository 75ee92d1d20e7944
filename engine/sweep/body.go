package sweep

import (
	"fmt"
	"math"

	"posework/engine/shape"
	"posework/kin"
	"posework/kin/arm"
)

// mover is a solid carried by a link.
type mover struct {
	link   int
	local  shape.Shape // in the link's frame
	centre kin.Vec     // of its bounding sphere, link frame
	radius float64
	lever  [6]float64 // greatest distance of its points from each axis, mm
	far    float64    // of its points from the tool centre point; only where the hand carries it
	box    kin.Pose   // of the box that covers it, in the link's frame
	half   kin.Vec    // half edge lengths of that box
	body   int        // index into Sweep.bodies
}

// fixed is a solid that stays where it is.
type fixed struct {
	shape  shape.Shape // world frame
	centre kin.Vec
	radius float64
	body   int
}

// setup is what moves and what stands while a piece runs: the tool with its
// centre point, the held part, the loose parts.
type setup struct {
	tool, scene int
	movers      []mover
	tcp         mover   // the tool centre point, a sphere without radius
	fixed       []fixed // solids, loose parts, floor, zones
	self        []selfPair
}

// selfPair is two movers that must not meet; a is the one nearer the base.
type selfPair struct{ a, b int }

// hand is the link that carries tool and part.
const hand = 6

// setup returns the setup of a piece.
func (w *Sweep) setup(piece int) *setup {
	if w.setups[piece] != nil {
		return w.setups[piece]
	}
	p := &w.tr.Pieces[piece]
	for _, s := range w.made {
		if s.tool == p.Tool && s.scene == p.Scene {
			w.setups[piece] = s
			return s
		}
	}
	s := &setup{tool: p.Tool, scene: p.Scene}
	w.addArm(s)
	w.addTool(s)
	w.addScene(s)
	s.pairUp()
	w.made = append(w.made, s)
	w.setups[piece] = s
	return s
}

// body returns the index of b, known by all but its name.
func (w *Sweep) body(b Body) int {
	for i := range w.bodies {
		if w.bodies[i] == b {
			return i
		}
	}
	w.bodies = append(w.bodies, b)
	return len(w.bodies) - 1
}

func (w *Sweep) addArm(s *setup) {
	m := w.tr.Cell.Arm
	for i := range m.Solids {
		v := &m.Solids[i]
		w.addMover(s, v.Link, solidShape(v), Body{Link, v.Link, linkName(v.Link)})
	}
}

func linkName(link int) string {
	switch link {
	case 0:
		return "base"
	case hand:
		return "flange"
	}
	return fmt.Sprintf("link %d", link)
}

// solidShape returns a link's solid as a shape.
func solidShape(v *arm.Solid) shape.Shape {
	switch v.Kind {
	case arm.Capsule:
		return shape.Shape{Kind: shape.Capsule, P: v.From, Q: v.To, R: v.Radius}
	case arm.Sphere:
		return shape.Shape{Kind: shape.Sphere, P: v.From, R: v.Radius}
	case arm.Box:
		return shape.Shape{Kind: shape.Box, P: v.Place.T, Rot: v.Place.R, Half: v.Half}
	default:
		return shape.Shape{Kind: shape.Cylinder, P: v.Place.T, Rot: v.Place.R, Half: v.Half, R: v.Radius}
	}
}

func (w *Sweep) addTool(s *setup) {
	t := &w.tr.Tools[s.tool]
	if t.Body >= 0 {
		body := &w.tr.Cell.Tools[t.Body]
		for i := range body.Solids {
			name := body.Name
			if n := body.Solids[i].Name; n != "" {
				name += " " + n
			}
			w.addMover(s, hand, body.Solids[i].Shape, Body{Tool, i, name})
		}
	}
	s.tcp = w.mover(s, hand, shape.Shape{Kind: shape.Sphere, P: t.TCP.T})
	s.tcp.body = -1
}

func (w *Sweep) addScene(s *setup) {
	c := w.tr.Cell
	scene := &w.tr.Scenes[s.scene]
	for i := range c.Solids {
		w.addFixed(s, c.Solids[i].Shape, Body{Solid, i, c.Solids[i].Name})
	}
	for i := range scene.Parts {
		var placed shape.Shape
		c.Parts[i].Shape.Move(&scene.Parts[i].Pose, &placed)
		if i == scene.Held {
			w.addMover(s, hand, placed, Body{Held, i, c.Parts[i].Name})
		} else {
			w.addFixed(s, placed, Body{Part, i, c.Parts[i].Name})
		}
	}
	if c.Floor.Exists {
		w.addFixed(s, shape.Shape{Kind: shape.HalfSpace, P: kin.Vec{Z: c.Floor.Z}, Rot: kin.Identity}, Body{Floor, 0, "floor"})
	}
	for i := range c.Zones {
		w.addFixed(s, c.Zones[i].Shape, Body{Zone, i, c.Zones[i].Name})
	}
}

func (w *Sweep) addFixed(s *setup, sh shape.Shape, b Body) {
	centre, radius := sh.Bounds()
	s.fixed = append(s.fixed, fixed{sh, centre, radius, w.body(b)})
}

func (w *Sweep) addMover(s *setup, link int, sh shape.Shape, b Body) {
	m := w.mover(s, link, sh)
	m.body = w.body(b)
	s.movers = append(s.movers, m)
}

func (w *Sweep) mover(s *setup, link int, sh shape.Shape) mover {
	m := mover{link: link, local: sh}
	m.centre, m.radius = sh.Bounds()
	m.box, m.half = cover(&sh)
	m.far = m.centre.Sub(w.tr.Tools[s.tool].TCP.T).Norm() + m.radius
	var slide kin.Joints
	for i, r := range w.tr.Cell.Arm.Limits {
		slide[i] = math.Max(math.Abs(r.Min), math.Abs(r.Max))
	}
	m.lever = w.tr.Cell.Arm.Chain.PointBounds(link, m.centre, m.radius, &slide)
	return m
}

// pairUp lists the movers that must not meet. Links next to each other touch by
// construction; tool and part count as the flange that carries them.
func (s *setup) pairUp() {
	for i := range s.movers {
		for j := range s.movers {
			a, b := &s.movers[i], &s.movers[j]
			if a.link+1 < b.link {
				s.self = append(s.self, selfPair{i, j})
			}
		}
	}
}
