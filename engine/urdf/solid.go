package urdf

import (
	"posework/engine/solid"
	"posework/engine/source"
	"posework/kin"
	"posework/kin/arm"
)

// MaxSolids is the greatest number of collision solids of an arm.
const MaxSolids = 200

// collision reads one solid of a link, in the link's frame.
func (b *robot) collision(e *element, l *link) {
	b.known(e, "name", "/", "origin", "geometry")
	place := b.origin(e)
	g := e.child("geometry")
	if g == nil || len(g.children) == 0 {
		b.l.Add(e.pos, "U015", "add <geometry> with a box, cylinder, sphere or mesh", "<collision> has no geometry")
		return
	}
	s := arm.Solid{Name: l.name, Place: place}
	shape := g.children[0]
	for _, more := range g.children[1:] {
		b.ignore(more.pos, "a second shape in <geometry>")
	}
	switch shape.name {
	case "box":
		b.known(shape, "size")
		s.Kind = arm.Box
		size := b.vector(shape, "size", kin.Vec{}).Scale(1000)
		b.extent(shape, "size", size.X, size.Y, size.Z)
		s.Half = size.Scale(0.5)
	case "cylinder":
		b.known(shape, "radius", "length")
		s.Kind = arm.Cylinder
		s.Radius = b.number(shape, "radius", 0) * 1000
		length := b.number(shape, "length", 0) * 1000
		b.extent(shape, "radius", s.Radius)
		b.extent(shape, "length", length)
		s.Half.Z = length / 2
	case "sphere":
		b.known(shape, "radius")
		s.Kind = arm.Sphere
		s.Radius = b.number(shape, "radius", 0) * 1000
		b.extent(shape, "radius", s.Radius)
		s.From, s.To = place.T, place.T
	default:
		l.unread = shape
		l.file, _ = shape.attr("filename")
		return
	}
	l.solids = append(l.solids, s)
}

// extent reports a size that is not positive, or beyond any arm.
func (b *robot) extent(e *element, attr string, mm ...float64) {
	for _, v := range mm {
		if !(v >= solid.MinMM && v <= solid.MaxMM) {
			b.l.Add(e.pos, "U015", "write a size in metres", "%s of <%s> is %g m, but must be from %g to %g m", attr, e.name, v/1000, solid.MinMM/1000, solid.MaxMM/1000.0)
			return
		}
	}
}

// hull stands in for geometry that is not read: capsules from the origin of the
// link to the joints that it carries, or a ball where there are none.
func (b *robot) hull(l *link, radius float64) {
	what := "<" + l.unread.name + ">"
	switch {
	case l.unread.name == "visual":
		what = "the link has <visual> but no <collision>, which"
	case l.file != "":
		what = "the mesh " + source.Quote(l.file)
	}
	b.notes.Add(l.unread.pos, "U102", "give boxes, cylinders or spheres", "%s is not read: capsules of radius %.0f mm between the joints stand for the link %s", what, radius, l.name)
	before := len(l.solids)
	for _, j := range l.children {
		if j.origin.T.Norm() > minLink {
			l.solids = append(l.solids, arm.Solid{Name: l.name, Kind: arm.Capsule, To: j.origin.T, Radius: radius, Place: kin.IdentityPose})
		}
	}
	if len(l.solids) == before {
		l.solids = append(l.solids, arm.Solid{Name: l.name, Kind: arm.Sphere, Radius: radius, Place: kin.IdentityPose})
	}
}

// minLink is the length below which a link counts as having none, mm.
const minLink = 1e-6

// carried returns a solid of a link in the frame that carries it.
func carried(s arm.Solid, link int, frameLink *kin.Pose) arm.Solid {
	s.Link = link
	s.Place = frameLink.Mul(&s.Place)
	s.From, s.To = frameLink.Apply(s.From), frameLink.Apply(s.To)
	return s
}
