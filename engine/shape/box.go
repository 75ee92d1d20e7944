package shape

import (
	"math"

	"posework/kin"
)

// pointBox measures the sphere a against the box b.
func pointBox(a, b *Shape, c *Contact) {
	x := b.Rot.ApplyInv(a.P.Sub(b.P))
	h := &b.Half
	r := kin.Vec{X: beyond(x.X, h.X), Y: beyond(x.Y, h.Y), Z: beyond(x.Z, h.Z)}
	d := r.Norm()
	if d > touching {
		n := b.Rot.Apply(r.Scale(1 / d))
		c.set(a.P, a.P.AddScaled(-d, n), n, d, a.R, 0)
		return
	}
	// Inside: out through the nearest face.
	n, d := b.Rot.X.Scale(sign(x.X)), math.Abs(x.X)-h.X
	if y := math.Abs(x.Y) - h.Y; y > d {
		n, d = b.Rot.Y.Scale(sign(x.Y)), y
	}
	if z := math.Abs(x.Z) - h.Z; z > d {
		n, d = b.Rot.Z.Scale(sign(x.Z)), z
	}
	c.set(a.P, a.P.AddScaled(-d, n), n, d, a.R, 0)
}

// beyond is how far x lies outside [-h, h], with the sign of x.
func beyond(x, h float64) float64 {
	if x > h {
		return x - h
	}
	if x < -h {
		return x + h
	}
	return 0
}

func sign(x float64) float64 { return math.Copysign(1, x) }

// segmentBox measures the capsule a against the box b.
//
// In the box's frame the squared distance of the axis point x + t*d to the box
// is the sum over the coordinates of beyond(x+t*d, h)^2: convex in t, with a
// derivative that is piecewise linear. The six places where it bends bracket
// its root, and between two of them the root is exact.
func segmentBox(a, b *Shape, c *Contact) {
	along := a.Q.Sub(a.P)
	s := slab{b.Rot.ApplyInv(a.P.Sub(b.P)), b.Rot.ApplyInv(along), b.Half}
	t := s.nearest()
	x := s.x.AddScaled(t, s.d)
	r := kin.Vec{X: beyond(x.X, s.h.X), Y: beyond(x.Y, s.h.Y), Z: beyond(x.Z, s.h.Z)}
	d2 := r.Norm2()
	if d2 <= touching*touching {
		segmentInBox(a, b, &s, d2, c)
		return
	}
	d := math.Sqrt(d2)
	n := b.Rot.Apply(r.Scale(1 / d))
	p := a.P.AddScaled(t, along)
	c.set(p, p.AddScaled(-d, n), n, d, a.R, 0)
}

// slab is a segment x + t*d, 0 <= t <= 1, in the frame of a box of half lengths h.
type slab struct{ x, d, h kin.Vec }

// slope is half the derivative of the squared distance at t.
func (s *slab) slope(t float64) float64 {
	return beyond(s.x.X+t*s.d.X, s.h.X)*s.d.X +
		beyond(s.x.Y+t*s.d.Y, s.h.Y)*s.d.Y +
		beyond(s.x.Z+t*s.d.Z, s.h.Z)*s.d.Z
}

// nearest returns the t of a point of the segment closest to the box.
func (s *slab) nearest() float64 {
	lo, hi := 0.0, 1.0
	glo := s.slope(0)
	if glo >= 0 {
		return 0
	}
	ghi := s.slope(1)
	if ghi <= 0 {
		return 1
	}
	bend := func(t float64) {
		if t <= lo || t >= hi {
			return
		}
		if g := s.slope(t); g > 0 {
			hi, ghi = t, g
		} else {
			lo, glo = t, g
		}
	}
	if s.d.X != 0 {
		inv := 1 / s.d.X
		bend((s.h.X - s.x.X) * inv)
		bend((-s.h.X - s.x.X) * inv)
	}
	if s.d.Y != 0 {
		inv := 1 / s.d.Y
		bend((s.h.Y - s.x.Y) * inv)
		bend((-s.h.Y - s.x.Y) * inv)
	}
	if s.d.Z != 0 {
		inv := 1 / s.d.Z
		bend((s.h.Z - s.x.Z) * inv)
		bend((-s.h.Z - s.x.Z) * inv)
	}
	return lo - glo*(hi-lo)/(ghi-glo)
}

// segmentInBox measures a capsule whose axis meets the box. The difference of
// box and segment is a polyhedron whose faces are normal to the box's axes and
// to the products of those with the segment: the least of their depths counts.
// d2 is the squared distance found, zero but for rounding or a hair's breadth.
func segmentInBox(a, b *Shape, s *slab, d2 float64, c *Contact) {
	half := s.d.Scale(0.5)
	mid := s.x.Add(half)
	m, e, h := coords(mid), coords(half), coords(s.h)
	best, axis, edge := math.Inf(-1), 0, false
	for i := range 3 {
		if d := math.Abs(m[i]) - h[i] - math.Abs(e[i]); d > best {
			best, axis = d, i
		}
	}
	var n [3]float64
	n[axis] = sign(m[axis])
	long := s.d.Norm2()
	for i := range 3 {
		j, k := (i+1)%3, (i+2)%3
		size := math.Sqrt(e[j]*e[j] + e[k]*e[k])
		if size*size <= 1e-20*long {
			continue
		}
		nj, nk := -e[k]/size, e[j]/size
		d := m[j]*nj + m[k]*nk
		if d < 0 {
			d, nj, nk = -d, -nj, -nk
		}
		d -= h[j]*math.Abs(nj) + h[k]*math.Abs(nk)
		if d > best+1e-12 {
			best, axis, edge = d, i, true
			n[i], n[j], n[k] = 0, nj, nk
		}
	}
	t := 0.0
	if edge {
		t = s.atEdge(&m, &e, &h, &n, axis, best)
	} else {
		t = s.atFace(&m, &e, &h, n[axis], axis)
	}
	if best > 0 {
		best = math.Max(best, math.Sqrt(d2))
	}
	world := b.Rot.Apply(kin.Vec{X: n[0], Y: n[1], Z: n[2]})
	p := a.P.AddScaled(t, a.Q.Sub(a.P))
	c.set(p, p.AddScaled(-best, world), world, best, a.R, 0)
}

// atEdge returns the t of the deepest point below the edge along axis i.
func (s *slab) atEdge(m, e, h, n *[3]float64, i int, depth float64) float64 {
	j, k := (i+1)%3, (i+2)%3
	oj := sign(n[j])*h[j] + depth*n[j] - m[j]
	ok := sign(n[k])*h[k] + depth*n[k] - m[k]
	return clamp01(0.5 + 0.5*(oj*e[j]+ok*e[k])/(e[j]*e[j]+e[k]*e[k]))
}

// atFace returns the t of the deepest point below a face normal to axis i: an
// end of the segment, or where it lies level the middle of what is below the face.
func (s *slab) atFace(m, e, h *[3]float64, n float64, i int) float64 {
	if math.Abs(e[i]) > 1e-10 {
		return 0.5 - 0.5*sign(n)*sign(e[i])
	}
	lo, hi := -1.0, 1.0
	for j := range 3 {
		if j == i || e[j] == 0 {
			continue
		}
		u, v := (-h[j]-m[j])/e[j], (h[j]-m[j])/e[j]
		lo, hi = max(lo, min(u, v)), min(hi, max(u, v))
	}
	return clamp01(0.5 + 0.25*(lo+hi))
}

func coords(v kin.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }
