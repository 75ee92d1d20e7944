package kin

import "math"

// pieper is what placeSkew's equations take from the arm alone.
type pieper struct {
	conic      conic
	half       float64 // 1/(2 a1)
	perSine    float64 // 1/sin(alpha1)
	base       float64 // a1^2 + the part of |h|^2 that axis 3 doesn't change
	g0, g1, g2 float64 // |h|^2 = g0 + g1 cos + g2 sin
	x1, x2     float64 // g's x likewise, but for its constant
	y2         float64 // g's y
	z0, z2     float64 // h's z
	rest       float64
	flat       float64 // how flat the wrist centre's velocities lie where its roots are in doubt
}

func newPieper(w *spherical) (k pieper) {
	a1 := w.a[0]
	k.half, k.perSine = 1/(2*a1), 1/w.sa[0]
	k.z0, k.z2 = w.d[1]+w.ca[1]*w.u.Z, w.sa[1]*w.l
	k.g0 = w.a[1]*w.a[1] + w.d[1]*w.d[1] + w.u.Norm2() + 2*w.d[1]*w.ca[1]*w.u.Z
	k.g1, k.g2 = 2*w.a[1]*w.l, 2*w.d[1]*w.sa[1]*w.l
	k.base = a1*a1 + k.g0
	k.flat = max(1e-4, min(1e-2, 1e-5*math.Sqrt(k.base)/math.Abs(a1)))
	k.x1, k.x2 = -k.g1*k.half, -k.g2*k.half
	k.y2 = -w.ca[0] * k.z2 * k.perSine
	yy := k.x2*k.x2 + k.y2*k.y2 + k.z2*k.z2
	k.rest = k.z0*k.z0 - k.g0 + yy
	k.conic = newConic(k.x1*k.x1-yy, 2*k.x1*k.x2)
	return k
}

// offAxis is the square of a distance from an axis, mm^2, next to which closeMM
// vanishes.
const offAxis = 1e-3

// pieperAt is what they take from the place p of the wrist centre: the constant
// parts of g's x and y.
type pieperAt struct{ x0, y0 float64 }

// placeSkew: with no two neighbours parallel or meeting, |p| and p_z give g's x
// and y as linear functions of cos and sin of axis 3; that they belong to the g
// of that axis 3 is a conic in the two (Pieper's quartic).
func (w *spherical) placeSkew(p Vec, seed *Joints, out *[4]placing) int {
	k := &w.pieper
	pp := p.X*p.X + p.Y*p.Y
	at := pieperAt{(pp + p.Z*p.Z - k.base) * k.half, (p.Z - w.ca[0]*k.z0) * k.perSine}
	var psi [4]turn
	m, distinct := k.conic.onCircle(2*at.x0*k.x1-k.g1, 2*(at.x0*k.x2+at.y0*k.y2+k.z0*k.z2)-k.g2, at.x0*at.x0+at.y0*at.y0+k.rest, &psi)
	if !distinct {
		return w.placeClose(at, p, psi[:m], seed, out)
	}
	perPP := 1 / pp
	for i := range m {
		q := &out[i]
		h, g, e := w.parts(at, psi[i])
		// What the turns of axes 2 and 1 can't do is to change a length.
		hh := h.X*h.X + h.Y*h.Y
		long2, long1 := hh-(g.X*g.X+g.Y*g.Y), pp-(e.X*e.X+e.Y*e.Y)
		if !(min(hh, pp) > offAxis && long2*long2*pp+long1*long1*hh <= 2*closeMM*closeMM*hh*pp) {
			w.placeThird(at, p, psi[i], seed, closeMM, q)
			continue
		}
		q.t[2], q.miss, q.front, q.elbow, q.loose = psi[i].minus(w.phi), closeMM, 0, 0, false
		// 1/sqrt(hh (hh - long2)), and the same for axis 1
		f := 1 / hh
		f += f * f * long2 / 2
		q.t[1] = turn{(h.X*g.X + h.Y*g.Y) * f, (h.X*g.Y - h.Y*g.X) * f}
		f = perPP + perPP*perPP*long1/2
		q.t[0] = turn{(e.X*p.X + e.Y*p.Y) * f, (e.X*p.Y - e.Y*p.X) * f}
	}
	return m
}

// parts returns, for the wrist centre's angle psi about axis 3, what axis 2 turns
// into what, h into g, and what axis 1 turns into p, along their axes apart.
func (w *spherical) parts(at pieperAt, psi turn) (h, g, e Vec) {
	k := &w.pieper
	h = Vec{w.a[1] + w.l*psi.c, w.ca[1]*w.l*psi.s - w.sa[1]*w.u.Z, k.z0 + k.z2*psi.s}
	g = Vec{at.x0 + k.x1*psi.c + k.x2*psi.s, at.y0 + k.y2*psi.s, h.Z}
	return h, g, Vec{w.a[0] + g.X, w.ca[0]*g.Y - w.sa[0]*h.Z, 0}
}

// placeThird finds axes 1 and 2 for the wrist centre's angle psi about axis 3, and
// takes away what all three lack beyond what is good enough.
func (w *spherical) placeThird(at pieperAt, p Vec, psi turn, seed *Joints, good float64, q *placing) {
	h, g, e := w.parts(at, psi)
	var free1, free2 bool
	q.t[2] = psi.minus(w.phi)
	q.t[1], free2 = between(h.X, h.Y, g.X, g.Y, w.start(seed, 1))
	q.t[0], free1 = between(e.X, e.Y, p.X, p.Y, w.start(seed, 0))
	q.front, q.elbow, q.loose = 0, 0, free1 || free2
	w.settle(p, q, good)
}

// placeClose is the rest of placeSkew where roots may be about to fall together.
func (w *spherical) placeClose(at pieperAt, p Vec, psi []turn, seed *Joints, out *[4]placing) (n int) {
	add := func(q *placing) {
		// A line that touches the circle is found twice.
		if q.miss <= w.accept && n < len(out) && !q.repeats(out[:n]) {
			out[n] = *q
			n++
		}
	}
	both := func(q *placing) {
		add(q)
		if twins, ok := w.fold(p, q); ok {
			add(&twins[0])
			add(&twins[1])
		}
	}
	for _, t := range psi {
		var q placing
		w.placeThird(at, p, t, seed, settledMM, &q)
		both(&q)
	}
	if w.pieper.flat > 1e-3 {
		// Axes 1 and 2 all but meet: roots then lie in pairs, the closer the more, and
		// are better found from where they would be if they did.
		var near [4]placing
		for i := range w.placeMeet12(p, seed, &near) {
			w.settle(p, &near[i], settledMM)
			both(&near[i])
		}
	}
	return n
}

// fold finds both of two placings that are about to fall together, from a place on or
// between them. There the quartic may show but one of them, or the place between, at
// which Newton's steps stand still. The wrist centre leaves the plane of its
// velocities as the square of the third motion; folded reports whether it does.
func (w *spherical) fold(p Vec, q *placing) (twins [2]placing, folded bool) {
	x, d := w.centre(&q.t)
	n01, n12, n20 := d[0].Cross(d[1]), d[1].Cross(d[2]), d[2].Cross(d[0])
	normal := n01
	for _, n := range [2]Vec{n12, n20} {
		if n.Norm2() > normal.Norm2() {
			normal = n
		}
	}
	size := math.Sqrt(max(d[0].Norm2(), d[1].Norm2(), d[2].Norm2()))
	if q.miss > 1 || math.Abs(n01.Dot(d[2])) > w.pieper.flat*size*normal.Norm() {
		return twins, false
	}
	normal = normal.Unit()
	u := Vec{n12.Dot(normal), n20.Dot(normal), n01.Dot(normal)}.Unit()
	slope := d[0].Scale(u.X).AddScaled(u.Y, d[1]).AddScaled(u.Z, d[2]).Dot(normal)
	const h = 1e-3
	to, fro := q.t, q.t
	if !advance(&to, u.Scale(h)) || !advance(&fro, u.Scale(-h)) {
		return twins, false
	}
	y, _ := w.at(&to)
	z, _ := w.at(&fro)
	bend := y.Add(z).AddScaled(-2, x).Dot(normal) / (h * h)
	// bend s^2/2 + slope s = what is missing
	root := math.Sqrt(max(0, slope*slope+2*bend*p.Sub(x).Dot(normal)))
	for i, side := range [2]float64{root, -root} {
		twins[i] = *q
		if !advance(&twins[i].t, u.Scale((side-slope)/bend)) {
			return twins, false
		}
		w.settle(p, &twins[i], settledMM)
	}
	return twins, true
}

// repeats reports whether the placing is already among others.
func (q *placing) repeats(others []placing) bool {
	for i := range others {
		o := &others[i]
		if q.t[2].differs(o.t[2]) || q.t[1].differs(o.t[1]) || q.t[0].differs(o.t[0]) {
			continue
		}
		return true
	}
	return false
}
