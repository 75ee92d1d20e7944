package shape

import (
	"math"

	"posework/kin"
)

// pointCylinder measures the sphere a against the cylinder b.
func pointCylinder(a, b *Shape, c *Contact) {
	x := b.Rot.ApplyInv(a.P.Sub(b.P))
	z, rho := x.Z, math.Sqrt(x.X*x.X+x.Y*x.Y)
	out := b.Rot.X // unit, away from the axis
	if rho > touching {
		out = b.Rot.X.Scale(x.X/rho).AddScaled(x.Y/rho, b.Rot.Y)
	}
	up := b.Rot.Z.Scale(sign(z))
	dz, dr := math.Abs(z)-b.Half.Z, rho-b.R
	var n kin.Vec
	var d float64
	switch {
	case dz > 0 && dr > 0:
		d = math.Sqrt(dz*dz + dr*dr)
		n = up.Scale(dz/d).AddScaled(dr/d, out)
	case dz > dr:
		n, d = up, dz
	default:
		n, d = out, dr
	}
	c.set(a.P, a.P.AddScaled(-d, n), n, d, a.R, 0)
}

// segmentCylinder measures the capsule a against the cylinder b.
//
// The squared distance of the axis point x + t*d to the cylinder is convex and
// once differentiable in t; the root of its derivative is bracketed and found
// by false position with halving (the Illinois rule), and by bisection where
// that does not close in.
func segmentCylinder(a, b *Shape, c *Contact) {
	var p Contact
	pointCylinder(&Shape{Kind: Sphere, P: rodTo(a, b)}, b, &p)
	if p.Distance <= touching {
		general(a, b, c)
		return
	}
	c.set(p.A, p.B, p.Normal, p.Distance, a.R, 0)
}

// rodTo returns the point of the axis of the capsule a nearest the cylinder b.
func rodTo(a, b *Shape) kin.Vec {
	along := a.Q.Sub(a.P)
	s := rod{b.Rot.ApplyInv(a.P.Sub(b.P)), b.Rot.ApplyInv(along), b.R, b.Half.Z}
	return a.P.AddScaled(s.nearest(), along)
}

// rod is a segment x + t*d, 0 <= t <= 1, in the frame of a cylinder of radius r
// and half height h.
type rod struct {
	x, d kin.Vec
	r, h float64
}

// slope is half the derivative of the squared distance at t.
func (s *rod) slope(t float64) float64 {
	g := beyond(s.x.Z+t*s.d.Z, s.h) * s.d.Z
	x, y := s.x.X+t*s.d.X, s.x.Y+t*s.d.Y
	if rho := math.Sqrt(x*x + y*y); rho > s.r {
		g += (1 - s.r/rho) * (x*s.d.X + y*s.d.Y)
	}
	return g
}

func (s *rod) nearest() float64 {
	lo, hi := 0.0, 1.0
	glo := s.slope(0)
	if glo >= 0 {
		return 0
	}
	ghi := s.slope(1)
	if ghi <= 0 {
		return 1
	}
	width, side := 1.0, 0
	for i := range 200 {
		t := lo - glo*(hi-lo)/(ghi-glo)
		if i%3 == 2 {
			if hi-lo > 0.5*width {
				t = 0.5 * (lo + hi)
			}
			width = hi - lo
		}
		if !(t > lo && t < hi) {
			t = 0.5 * (lo + hi)
			if t <= lo || t >= hi {
				break
			}
		}
		g := s.slope(t)
		switch {
		case g == 0:
			return t
		case g > 0:
			hi, ghi = t, g
			if side > 0 {
				glo *= 0.5
			}
			side = 1
		default:
			lo, glo = t, g
			if side < 0 {
				ghi *= 0.5
			}
			side = -1
		}
	}
	return 0.5 * (lo + hi)
}

// general measures a pair of which the second at least is a cylinder.
func general(a, b *Shape, c *Contact) {
	ca, _ := a.Bounds()
	var g search
	g.a, g.b = a, b
	dir := ca.Sub(b.P)
	if dir.Norm2() == 0 {
		dir = kin.Vec{Z: 1}
	}
	apart := g.run(dir)
	if apart && (!g.rough || g.v.Norm2() > 1e-6) {
		g.contactRadius(a.radius(), c)
		return
	}
	var e hull
	e.a, e.b = a, b
	e.depth = math.Inf(1)
	if apart {
		e.both(g.v)
	}
	e.run()
	e.contact(c)
}
