// Package armfile reads arm files (posework: arm/1): Denavit-Hartenberg rows,
// limits, speeds and accelerations of six axes, and the solids of the links.
//
// It checks what can be known of an arm on its own; whether a lesson can use it
// is the cell's matter. URDF files are read by engine/urdf. In the file lengths
// are mm and angles degrees; the model has mm and rad.
package armfile

import (
	"fmt"

	"posework/engine/diag"
	"posework/engine/shape"
	"posework/engine/solid"
	"posework/engine/source"
	"posework/kin"
	"posework/kin/arm"
)

// Format1 is the mark that an arm file begins with.
const Format1 = "arm/1"

// The limits on an arm.
const (
	MaxTurnDeg = 720     // deg, an axis limit: two turns
	MaxDegS    = 10_000  // deg/s
	MaxDegS2   = 500_000 // deg/s2
	MaxMMS     = 20_000  // mm/s, a prismatic axis
	MaxMMS2    = 500_000 // mm/s2
	MaxSolids  = 100
)

// Arm is what an arm file says.
type Arm struct {
	Model *arm.Model
	Notes diag.List // what was taken for granted
}

// Read reads an arm file. The arm is nil when anything was reported.
func Read(name string, data []byte) (*Arm, diag.List) {
	var l diag.List
	a := Decode(source.Parse(name, data, 1, &l))
	l.Sort()
	if len(l) > 0 {
		return nil, l
	}
	return a, nil
}

// Decode is [Read] for a file that was parsed already. It reports to the list
// that root reports to, and returns what could be read.
func Decode(root *source.Node) *Arm {
	if root == nil {
		return nil
	}
	m := root.Map()
	m.Format(Format1)
	model := &arm.Model{Name: m.Need("name").Name(), Title: m.Get("title").Str()}
	m.Get("source").Str()
	var rows [6]kin.DH
	axes := m.Need("axes")
	items := axes.List()
	axes.Check(len(items) == 6, "A001", "give six axes, the one next to the base first", "%s has %d entries, but an arm has six axes", axes.Label(), len(items))
	for i, n := range items {
		if i < 6 {
			rows[i] = axis(n, model, i)
		}
	}
	flange := kin.IdentityPose
	if f := m.Get("flange"); f != nil {
		fm := f.Map()
		flange = solid.Pose(fm.Need("xyz"), fm.Get("rpy"))
		fm.Close()
	}
	model.Chain = kin.NewChain(kin.IdentityPose, rows, flange)
	a := &Arm{Model: model}
	a.reach(m.Get("reach"), axes)
	a.links(m.Get("links"), root)
	m.Close()
	return a
}

// axis reads one row.
func axis(n *source.Node, model *arm.Model, i int) kin.DH {
	m := n.Map()
	var d kin.DH
	d.A = length(m.Need("a"))
	d.Alpha = m.Need("alpha").Deg()
	d.D = length(m.Need("d"))
	d.Offset = m.Get("offset").Deg()
	if j := m.Get("joint"); j != nil {
		d.Prismatic = j.OneOf("revolute", "prismatic") == 1
	}
	limits, speed, accel := m.Need("limits"), m.Need("speed"), m.Need("acceleration")
	lim := limits.Nums(2)
	if limits.OK() && lim[0] >= lim[1] {
		limits.Errorf("A002", "write the lower limit first", "the limits of axis %d are %g and %g, but the first must be below the second", i+1, lim[0], lim[1])
	}
	most, unit := float64(MaxTurnDeg), "deg"
	if d.Prismatic {
		most, unit = solid.MaxMM, "mm"
	}
	for _, v := range lim {
		limits.Check(v >= -most && v <= most, "A002", fmt.Sprintf("write limits from %g to %g", -most, most),
			"the limits of axis %d hold %g %s, but may reach to %g %s at most", i+1, v, unit, most, unit)
	}
	if d.Prismatic {
		model.Limits[i] = arm.Range{Min: lim[0], Max: lim[1]}
		model.Speed[i], model.Accel[i] = speed.MMS(), accel.MMS2()
		within(speed, model.Speed[i], MaxMMS, "mm/s")
		within(accel, model.Accel[i], MaxMMS2, "mm/s2")
	} else {
		model.Limits[i] = arm.Range{Min: kin.Rad(lim[0]), Max: kin.Rad(lim[1])}
		model.Speed[i], model.Accel[i] = speed.DegPerS(), accel.DegPerS2()
		within(speed, kin.Deg(model.Speed[i]), MaxDegS, "deg/s")
		within(accel, kin.Deg(model.Accel[i]), MaxDegS2, "deg/s2")
	}
	m.Close()
	return d
}

func length(n *source.Node) float64 {
	v := n.MM()
	solid.Coordinate(n, v)
	return v
}

// within reports a quantity outside (0, most].
func within(n *source.Node, v, most float64, unit string) {
	n.Check(v > 0 && v <= most*(1+1e-12), "A003", fmt.Sprintf("write more than 0, at most %g %s", most, unit),
		"%s is %g %s, but must be more than 0, at most %g %s", n.Label(), v, unit, most, unit)
}

func (a *Arm) reach(n, axes *source.Node) {
	extent := a.Model.Extent()
	axes.Check(extent > 0, "A004", "give the lengths a and d of its links", "the arm has no length")
	if n == nil {
		a.Model.Reach = extent
		return
	}
	a.Model.Reach = n.MM()
	solid.Extent(n, a.Model.Reach)
}

// links reads the solids of the links; without any the body is made up.
func (a *Arm) links(n, root *source.Node) {
	items := n.List()
	n.Check(len(items) <= MaxSolids, "A005", "leave some out", "the links have %d solids, but at most %d are read", len(items), MaxSolids)
	for _, item := range items[:min(len(items), MaxSolids)] {
		m := item.Map()
		link := m.Need("link").Int(0, 6)
		name := fmt.Sprintf("link %d", link)
		if k := m.Get("name"); k != nil {
			name = k.Str()
		}
		a.Model.Solids = append(a.Model.Solids, body(item, m, link, name))
		m.Close()
	}
	if len(a.Model.Solids) > 0 || a.Model.Reach <= 0 {
		return
	}
	radius := arm.HullRadius * a.Model.Reach
	a.Model.Solids = arm.Hull(a.Model.Chain, radius)
	a.Notes.Add(root.Pos(), "A006", "give the real solids under \"links\"",
		"the arm has no \"links\": each link is taken for a capsule of radius %.0f mm between its axes, so clearances are rough", radius)
}

func body(n *source.Node, m *source.Map, link int, name string) arm.Solid {
	s := solid.Shape(n)
	solid.Bounded(n, &s)
	place := solid.Pose(m.Get("xyz"), m.Get("rpy"))
	out := arm.Solid{Link: link, Name: name, Radius: s.R, Half: s.Half, Place: place}
	switch s.Kind {
	case shape.Capsule:
		out.Kind, out.From, out.To = arm.Capsule, place.Apply(s.P), place.Apply(s.Q)
	case shape.Box:
		out.Kind = arm.Box
	case shape.Cylinder:
		out.Kind = arm.Cylinder
	default:
		out.Kind, out.From, out.To = arm.Sphere, place.T, place.T
	}
	return out
}
