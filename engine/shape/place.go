package shape

import (
	"math"

	"posework/kin"
)

// Move sets out to s placed by p: where s is written in the inner frame of p,
// out is the same solid in its outer frame. out may be s.
func (s *Shape) Move(p *kin.Pose, out *Shape) {
	kind, r, half := s.Kind, s.R, s.Half
	switch kind {
	case Capsule:
		out.P, out.Q = p.Apply(s.P), p.Apply(s.Q)
	case Sphere:
		out.P = p.Apply(s.P)
	default:
		out.P, out.Rot = p.Apply(s.P), p.R.Mul(&s.Rot)
	}
	out.Kind, out.R, out.Half = kind, r, half
}

// Bounds returns a sphere that holds the shape, its radius infinite for a
// half-space.
func (s *Shape) Bounds() (centre kin.Vec, radius float64) {
	switch s.Kind {
	case Capsule:
		return s.P.Add(s.Q).Scale(0.5), 0.5*s.Q.Sub(s.P).Norm() + s.R
	case Box:
		return s.P, s.Half.Norm()
	case Cylinder:
		return s.P, math.Sqrt(s.R*s.R + s.Half.Z*s.Half.Z)
	case Sphere:
		return s.P, s.R
	default:
		return s.P, math.Inf(1)
	}
}

// Support returns a point of the shape that lies farthest along dir, which need
// not be a unit vector. A half-space has none.
func (s *Shape) Support(dir kin.Vec) kin.Vec {
	p := s.core(dir)
	if s.Kind != Capsule && s.Kind != Sphere {
		return p
	}
	return p.AddScaled(s.R, dir.Unit())
}

// Least returns the least value of dir . x over the shape; minus infinity for a
// half-space, whatever the direction.
func (s *Shape) Least(dir kin.Vec) float64 {
	switch s.Kind {
	case Capsule:
		return math.Min(dir.Dot(s.P), dir.Dot(s.Q)) - s.R*dir.Norm()
	case Box:
		return dir.Dot(s.P) - s.Half.X*math.Abs(dir.Dot(s.Rot.X)) - s.Half.Y*math.Abs(dir.Dot(s.Rot.Y)) - s.Half.Z*math.Abs(dir.Dot(s.Rot.Z))
	case Cylinder:
		x, y := dir.Dot(s.Rot.X), dir.Dot(s.Rot.Y)
		return dir.Dot(s.P) - s.Half.Z*math.Abs(dir.Dot(s.Rot.Z)) - s.R*math.Sqrt(x*x+y*y)
	case Sphere:
		return dir.Dot(s.P) - s.R*dir.Norm()
	default:
		return math.Inf(-1)
	}
}

// core is Support without the radius of a capsule or sphere: the solid that
// the distance functions work on.
func (s *Shape) core(dir kin.Vec) kin.Vec {
	switch s.Kind {
	case Capsule:
		if s.Q.Sub(s.P).Dot(dir) > 0 {
			return s.Q
		}
		return s.P
	case Box:
		x := math.Copysign(s.Half.X, s.Rot.X.Dot(dir))
		y := math.Copysign(s.Half.Y, s.Rot.Y.Dot(dir))
		z := math.Copysign(s.Half.Z, s.Rot.Z.Dot(dir))
		return kin.Vec{
			X: s.P.X + x*s.Rot.X.X + y*s.Rot.Y.X + z*s.Rot.Z.X,
			Y: s.P.Y + x*s.Rot.X.Y + y*s.Rot.Y.Y + z*s.Rot.Z.Y,
			Z: s.P.Z + x*s.Rot.X.Z + y*s.Rot.Y.Z + z*s.Rot.Z.Z,
		}
	case Cylinder:
		z := s.Rot.Z.Dot(dir)
		p := s.P.AddScaled(math.Copysign(s.Half.Z, z), s.Rot.Z)
		// By the cross axes, for dir - z*Z is not quite level where it is short.
		x, y := s.Rot.X.Dot(dir), s.Rot.Y.Dot(dir)
		side := math.Sqrt(x*x + y*y)
		if side <= 1e-14*math.Abs(z) { // along the axis: the whole cap ties, its centre serves
			return p
		}
		k := s.R / side
		return p.AddScaled(k*x, s.Rot.X).AddScaled(k*y, s.Rot.Y)
	default:
		return s.P
	}
}

// radius is what core leaves out.
func (s *Shape) radius() float64 {
	if s.Kind == Capsule || s.Kind == Sphere {
		return s.R
	}
	return 0
}
