package shape

import (
	"math"

	"posework/kin"
)

// touching is the distance of two cores, mm, below which the direction between
// their closest points is mostly rounding. The direction then comes from
// the features that touch.
const touching = 1e-8

// Distance returns the signed distance of two shapes: that of [Between].
func Distance(a, b *Shape) float64 {
	var c Contact
	Between(a, b, &c)
	return c.Distance
}

// Between measures the signed distance of two shapes, its closest points and
// its direction, into c. It allocates nothing.
//
// Always c.A - c.B = c.Distance * c.Normal up to rounding. Where closest points
// are not unique one pair of them is given. Two half-spaces have no distance:
// the result is NaN.
func Between(a, b *Shape, c *Contact) {
	// Each pair is written once, with the kinds in this order.
	if order[a.Kind] > order[b.Kind] {
		between(b, a, c)
		c.A, c.B = c.B, c.A
		c.Normal = c.Normal.Scale(-1)
		return
	}
	between(a, b, c)
}

var order = [...]uint8{Sphere: 0, Capsule: 1, Box: 2, Cylinder: 3, HalfSpace: 4}

func between(a, b *Shape, c *Contact) {
	switch b.Kind {
	case HalfSpace:
		overPlane(a, b, c)
	case Sphere:
		pointPoint(a.P, b.P, a.R, b.R, c)
	case Capsule:
		if a.Kind == Sphere {
			pointSegment(a, b, c)
			return
		}
		segmentSegment(a, b, c)
	case Box:
		switch a.Kind {
		case Sphere:
			pointBox(a, b, c)
		case Capsule:
			segmentBox(a, b, c)
		default:
			boxBox(a, b, c)
		}
	case Cylinder:
		switch a.Kind {
		case Sphere:
			pointCylinder(a, b, c)
		case Capsule:
			segmentCylinder(a, b, c)
		default:
			general(a, b, c)
		}
	}
}

// set fills c from the cores' closest points pa and pb, their signed distance d
// and the direction n from b to a, adding the radii ra and rb around them.
func (c *Contact) set(pa, pb, n kin.Vec, d, ra, rb float64) {
	c.Distance = d - ra - rb
	c.A = pa.AddScaled(-ra, n)
	c.B = pb.AddScaled(rb, n)
	c.Normal = n
}

// overPlane measures any shape a but a half-space against the half-space b.
func overPlane(a, b *Shape, c *Contact) {
	n := b.Rot.Z
	if a.Kind == HalfSpace {
		nan := math.NaN()
		*c = Contact{Distance: nan, A: kin.Vec{X: nan, Y: nan, Z: nan}, B: kin.Vec{X: nan, Y: nan, Z: nan}}
		return
	}
	p := a.lowest(n)
	d := p.Sub(b.P).Dot(n)
	c.set(p, p.AddScaled(-d, n), n, d, a.radius(), 0)
}

// lowest returns a point of the core farthest against n; in the middle of the
// face or edge where that one lies level.
func (s *Shape) lowest(n kin.Vec) kin.Vec {
	switch s.Kind {
	case Capsule:
		d := s.Q.Sub(s.P)
		return s.P.AddScaled(0.5-0.5*level(n.Dot(d), d.Norm()), d)
	case Box:
		return s.P.
			AddScaled(-s.Half.X*level(n.Dot(s.Rot.X), 1), s.Rot.X).
			AddScaled(-s.Half.Y*level(n.Dot(s.Rot.Y), 1), s.Rot.Y).
			AddScaled(-s.Half.Z*level(n.Dot(s.Rot.Z), 1), s.Rot.Z)
	case Cylinder:
		p := s.P.AddScaled(-s.Half.Z*level(n.Dot(s.Rot.Z), 1), s.Rot.Z)
		x, y := n.Dot(s.Rot.X), n.Dot(s.Rot.Y)
		if m := math.Sqrt(x*x + y*y); m > 1e-14 {
			p = p.AddScaled(-s.R/m*x, s.Rot.X).AddScaled(-s.R/m*y, s.Rot.Y)
		}
		return p
	default:
		return s.P
	}
}

// level is the sign of x, and 0 where x is no more than rounding beside size.
func level(x, size float64) float64 {
	switch {
	case x > 1e-14*size:
		return 1
	case x < -1e-14*size:
		return -1
	}
	return 0
}

// across returns some unit vector perpendicular to v.
func across(v kin.Vec) kin.Vec {
	x, y, z := math.Abs(v.X), math.Abs(v.Y), math.Abs(v.Z)
	switch {
	case x == 0 && y == 0:
		return kin.Vec{X: 1}
	case x <= y && x <= z:
		return kin.Vec{Y: -v.Z, Z: v.Y}.Unit()
	case y <= z:
		return kin.Vec{X: v.Z, Z: -v.X}.Unit()
	}
	return kin.Vec{X: -v.Y, Y: v.X}.Unit()
}
