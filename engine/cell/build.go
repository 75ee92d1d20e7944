package cell

import (
	"fmt"
	"strings"

	"posework/engine/diag"
	"posework/engine/shape"
	"posework/engine/solid"
	"posework/engine/source"
	"posework/kin"
)

// The limits on a cell, and what holds where a file says nothing.
const (
	MaxSolids = 500 // solids, zones, parts and solids of tools in all
	MaxThings = 500 // tools, frames, signals, events of each

	DefaultToolAccel = 2500 // mm/s2
	DefaultRampTime  = 0.05 // s
)

// builder turns a sheet into a cell.
type builder struct {
	l       *diag.List
	opt     Options
	sheet   *sheet
	c       *Cell
	changes map[*source.Node][]Change // by the thing that they change
	solids  int
}

func (b *builder) build() {
	s := b.sheet
	if s.arm == nil {
		b.l.Add(s.node.Pos(), "F013", "add \"arm: hazel\"", "the cell has no \"arm\"")
	}
	if s.floor == nil {
		b.l.Add(s.node.Pos(), "F013", "add \"floor: -300\" (mm in the world frame) or \"floor: none\"", "the cell has no \"floor\"")
	}
	b.assign()
	if s.mount != nil {
		b.c.Mount = local(s.mount)
	}
	b.floor(s.floor)
	b.motion(s.motion)
	b.frames()
	b.tools()
	for _, it := range s.solids {
		b.c.Solids = append(b.c.Solids, Solid{Name: b.solidName(it), Shape: b.placed(it.node)})
		it.node.Map().Close()
	}
	for _, it := range s.zones {
		b.zone(it)
	}
	for _, it := range s.parts {
		b.part(it)
	}
	for _, it := range s.signals {
		b.signal(it)
	}
	b.events()
	b.count()
	if s.arm != nil {
		b.arm(s.arm)
	}
}

// count holds the cell to its limit of solids.
func (b *builder) count() {
	s := b.sheet
	if b.solids > MaxSolids {
		b.l.Add(s.node.Pos(), "C005", "leave some out", "the cell has %d solids, zones, parts and solids of tools, but at most %d are read", b.solids, MaxSolids)
	}
}

// reserved are the words for bodies that a solid or part can't be named by.
var reserved = [...]string{"arm", "tool", "floor", "part"}

func (b *builder) solidName(it item) string {
	for _, word := range reserved {
		if it.name == word {
			it.key.Errorf("C004", "choose another name", "the name %q is taken: lessons mean the %s itself by it", it.name, word)
		}
	}
	return it.name
}

func (b *builder) floor(n *source.Node) {
	if n == nil || n.Kind() == source.Scalar && n.Str() == "none" {
		return
	}
	b.c.Floor = Floor{Exists: true, Z: n.MM()}
	solid.Coordinate(n, b.c.Floor.Z)
}

func (b *builder) motion(n *source.Node) {
	m := n.Map()
	b.c.Motion = Motion{Law: Trapezoid, ToolAccel: DefaultToolAccel, RampTime: DefaultRampTime}
	if law := m.Get("law"); law != nil && law.OneOf("trapezoid", "smooth") == 1 {
		b.c.Motion.Law = Smooth
	}
	if a := m.Get("tool-acceleration"); a != nil {
		b.c.Motion.ToolAccel = a.MMS2()
		within(a, b.c.Motion.ToolAccel, 100_000, "mm/s2")
	}
	if r := m.Get("ramp-time"); r != nil {
		b.c.Motion.RampTime = r.Seconds()
		within(r, b.c.Motion.RampTime, 1, "s")
	}
	m.Close()
}

func (b *builder) tools() {
	for _, it := range b.sheet.tools {
		m := it.node.Map()
		tcp, mass := m.Need("tcp"), m.Need("mass")
		t := Tool{Name: it.name, TCP: local(tcp), Mass: mass.Kilograms()}
		mass.Check(t.Mass >= 0 && t.Mass <= 10_000, "C006", "write at most 10000 kg", "%s is %g kg, but must be from 0 to 10000 kg", mass.Label(), t.Mass)
		for _, s := range listed(m.Get("solids")) {
			t.Solids = append(t.Solids, ToolSolid{Name: s.name, Shape: b.carried(s.node)})
			s.node.Map().Close()
		}
		m.Close()
		b.c.Tools = append(b.c.Tools, t)
	}
}

// local reads a pose without a frame.
func local(n *source.Node) kin.Pose {
	m := n.Map()
	p := solid.Pose(m.Need("xyz"), m.Get("rpy"))
	m.Close()
	return p
}

// shape reads the shape of a solid, and counts it.
func (b *builder) shape(n *source.Node) shape.Shape {
	b.solids++
	return solid.Shape(n)
}

// carried reads a solid in the frame of the body that carries it.
func (b *builder) carried(n *source.Node) shape.Shape {
	s, m := b.shape(n), n.Map()
	solid.Bounded(n, &s)
	xyz := m.Get("xyz")
	if xyz == nil && s.Kind != shape.Capsule {
		m.Need("xyz")
	}
	p := solid.Pose(xyz, m.Get("rpy"))
	s.Move(&p, &s)
	return s
}

// placed reads a solid that stands in the cell. A capsule may say where it is by
// its ends alone.
func (b *builder) placed(n *source.Node) shape.Shape {
	s, m := b.shape(n), n.Map()
	p := b.place(n, m, s.Kind != shape.Capsule || m.Has("xyz"))
	s.Move(&p, &s)
	return s
}

func (b *builder) zone(it item) {
	m := it.node.Map()
	z := Zone{Name: it.name, Shape: b.placed(it.node)}
	rule := m.Need("rule")
	text := rule.Str()
	if rest, ok := strings.CutPrefix(text, "at-most "); ok {
		z.Rule = AtMost
		v := rule.Word(strings.TrimSpace(rest))
		z.Speed = v.MMS()
		within(v, z.Speed, 100_000, "mm/s")
	} else if rule.OK() && text != "keep-out" {
		rule.Errorf("C008", "write keep-out, or at-most 250 mm/s", "the rule %q is neither keep-out nor at-most with a speed", text)
	}
	m.Close()
	b.c.Zones = append(b.c.Zones, z)
}

func (b *builder) part(it item) {
	m := it.node.Map()
	if i := index(b.sheet.solids, it.name); i >= 0 && it.name != "" {
		it.key.Errorf("C004", "choose another name", "the name %q is that of a solid in line %d", it.name, b.sheet.solids[i].key.Pos().Line)
	}
	p := Part{Name: b.solidName(it), Shape: b.shape(it.node)}
	solid.Bounded(it.node, &p.Shape)
	p.Pose = b.place(it.node, m, true)
	mass := m.Need("mass")
	p.Mass = mass.Kilograms()
	within(mass, p.Mass, 10_000, "kg")
	m.Close()
	b.c.Parts = append(b.c.Parts, p)
}

// within reports a quantity outside (0, most].
func within(n *source.Node, v, most float64, unit string) {
	n.Check(v > 0 && v <= most, "C006", fmt.Sprintf("write more than 0, at most %g %s", most, unit),
		"%s is %g %s, but must be more than 0, at most %g %s", n.Label(), v, unit, most, unit)
}
