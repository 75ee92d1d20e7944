package shape

import (
	"math"

	"posework/kin"
)

// pointPoint measures two spheres.
func pointPoint(p, q kin.Vec, rp, rq float64, c *Contact) {
	r := p.Sub(q)
	d := r.Norm()
	n := kin.Vec{Z: 1}
	if d > touching {
		n = r.Scale(1 / d)
	}
	c.set(p, q, n, d, rp, rq)
}

// pointSegment measures the sphere a against the capsule b.
func pointSegment(a, b *Shape, c *Contact) {
	d := b.Q.Sub(b.P)
	r := a.P.Sub(b.P)
	t, e := 0.0, d.Norm2()
	if e > 0 {
		t = clamp01(r.Dot(d) / e)
	}
	q := b.P.AddScaled(t, d)
	r = a.P.Sub(q)
	dist := r.Norm()
	n := r.Scale(1 / dist)
	if dist <= touching {
		n = across(d)
	}
	c.set(a.P, q, n, dist, a.R, b.R)
}

// segmentSegment measures two capsules: closest points of their axes as in
// C. Ericson, Real-Time Collision Detection (2005), 5.1.9, but with the part of
// one axis across the other taken as a vector: the usual determinant
// a*e - b*b loses all its digits where the axes are nearly parallel.
func segmentSegment(a, b *Shape, c *Contact) {
	d1, d2 := a.Q.Sub(a.P), b.Q.Sub(b.P)
	r := a.P.Sub(b.P)
	aa, ee := d1.Norm2(), d2.Norm2()
	var s, t float64
	switch {
	case aa == 0 && ee == 0:
	case ee == 0:
		s = clamp01(-d1.Dot(r) / aa)
	case aa == 0:
		t = clamp01(d2.Dot(r) / ee)
	default:
		inv := 1 / ee
		bb, f := d1.Dot(d2)*inv, d2.Dot(r)*inv
		across1 := d1.AddScaled(-bb, d2)
		den := across1.Norm2()
		if den > 1e-28*aa {
			s = clamp01(-r.AddScaled(-f, d2).Dot(across1) / den)
		}
		t = bb*s + f
		if t < 0 {
			t = 0
			s = clamp01(-d1.Dot(r) / aa)
		} else if t > 1 {
			t = 1
			s = clamp01((bb*ee - d1.Dot(r)) / aa)
		}
	}
	p, q := a.P.AddScaled(s, d1), b.P.AddScaled(t, d2)
	r = p.Sub(q)
	d := r.Norm()
	if d <= touching {
		crossing(d1, d2, p, q, d, a.R, b.R, c)
		return
	}
	c.set(p, q, r.Scale(1/d), d, a.R, b.R)
}

// crossing is the case of two capsules whose axes meet: the difference of the
// axes is flat, so the shortest way out is across both.
func crossing(d1, d2, p, q kin.Vec, d, ra, rb float64, c *Contact) {
	n := d1.Cross(d2)
	if m := n.Norm(); m > 1e-10*math.Sqrt(d1.Norm2()*d2.Norm2()) {
		n = n.Scale(1 / m)
	} else if d1.Norm2() > d2.Norm2() {
		n = across(d1)
	} else {
		n = across(d2)
	}
	if n.Dot(p.Sub(q)) < 0 {
		n = n.Scale(-1)
	}
	c.set(p, q, n, d, ra, rb)
}

func clamp01(t float64) float64 {
	if t > 1 {
		return 1
	}
	if t > 0 {
		return t
	}
	return 0
}
