package kin

import "math"

// The ways to place the wrist centre when axes 2 and 3 are not parallel. In each
// of them one angle follows from a condition that the other two can't touch, and
// the rest from the two that are left. In the frames of the canonical form the
// wrist centre is
//
//	f = Rz(th3) u                             before axis 3
//	g = Rz(th2) h, h = (a2, 0, d2) + Rx(alpha2) f   before axis 2
//	p = Rz(th1) ((a1, 0, 0) + Rx(alpha1) g)   before axis 1

// third returns f's x and y, and h, for an angle of axis 3.
func (w *spherical) third(t3 turn) (fx float64, h Vec) {
	fx, fy := t3.apply(w.u.X, w.u.Y)
	return fx, Vec{
		w.a[1] + fx,
		w.ca[1]*fy - w.sa[1]*w.u.Z,
		w.d[1] + w.sa[1]*fy + w.ca[1]*w.u.Z,
	}
}

// between returns the turn from the direction (x, y) to the direction (u, v);
// free says that one of them vanishes, so that any turn will do: then it is the
// turn by seed.
func between(x, y, u, v, seed float64) (t turn, free bool) {
	if x*x+y*y <= onAxisTol*onAxisTol || u*u+v*v <= onAxisTol*onAxisTol {
		return turnOf(seed), true
	}
	return toward(x*u+y*v, x*v-y*u), false
}

// placeMeet23: turning axes 2 and 3 keeps the wrist centre at the distance |u|
// from the point where they meet; that fixes axis 1.
func (w *spherical) placeMeet23(p Vec, seed *Joints, out *[4]placing) int {
	c := Vec{w.a[0], -w.sa[0] * w.d[1], w.ca[0] * w.d[1]}
	k := (p.Norm2()+c.Norm2()-w.u.Norm2())/2 - p.Z*c.Z
	tol := onAxisTol * (c.Norm() + w.l)
	first, second, over, free := twoTurns(p.X*c.X+p.Y*c.Y, p.Y*c.X-p.X*c.Y, k, tol)
	if free {
		first = turnOf(w.start(seed, 0))
		second = first
	}
	n := 0
	for i, t1 := range [2]turn{first, second} {
		x, y := t1.back().apply(p.X, p.Y)
		x -= w.a[0]
		g := Vec{x, w.ca[0]*y + w.sa[0]*p.Z, w.ca[0]*p.Z - w.sa[0]*y}
		fy := (g.Z - w.d[1] - w.ca[1]*w.u.Z) / w.sa[1]
		a, b, over3, _ := twoTurns(w.u.Y, w.u.X, fy, 0)
		for j, t3 := range [2]turn{a, b} {
			_, h := w.third(t3)
			t2, free2 := between(h.X, h.Y, g.X, g.Y, w.start(seed, 1))
			out[n] = placing{t: [3]turn{t1, t2, t3}, loose: free || free2}
			if over > 0 || over3 > 0 || w.delicate {
				w.settle(p, &out[n], settledMM)
			}
			n++
			if j == 0 && a == b {
				break
			}
		}
		if i == 0 && first == second {
			break
		}
	}
	return n
}

// placeParallel12: only axis 3 changes the height along axis 1; axes 1 and 2 are
// a planar arm.
func (w *spherical) placeParallel12(p Vec, seed *Joints, out *[4]placing) int {
	fy := (w.sigma*p.Z - w.d[1] - w.ca[1]*w.u.Z) / w.sa[1]
	a, b, over3, _ := twoTurns(w.u.Y, w.u.X, fy, 0)
	n := 0
	for j, t3 := range [2]turn{a, b} {
		_, h := w.third(t3)
		k := twoLinks(p.X, p.Y, w.a[0], math.Hypot(h.X, h.Y), w.start(seed, 0))
		tip := toward(h.X, w.sigma*h.Y)
		for i, bend := range [2]turn{k.bend, k.bend.back()} {
			t2 := bend.minus(tip)
			t2.s *= w.sigma
			out[n] = placing{t: [3]turn{k.base[i], t2, t3}, loose: k.free}
			if over3 > 0 || k.miss > 0 || w.delicate {
				w.settle(p, &out[n], settledMM)
			}
			n++
			if k.bend.s == 0 {
				break
			}
		}
		if j == 0 && a == b {
			break
		}
	}
	return n
}

// placeMeet12: turning axes 1 and 2 keeps the wrist centre's distance from the
// point where they meet, here the origin; that fixes axis 3.
func (w *spherical) placeMeet12(p Vec, seed *Joints, out *[4]placing) int {
	e := w.d[1] * w.sa[1]
	k := (p.Norm2()-w.a[1]*w.a[1]-w.d[1]*w.d[1]-w.u.Norm2())/2 - w.d[1]*w.ca[1]*w.u.Z
	first, second, over3, free := twoTurns(w.a[1]*w.u.X+e*w.u.Y, e*w.u.X-w.a[1]*w.u.Y, k, 0)
	if free {
		first = turnOf(w.start(seed, 2))
		second = first
	}
	n := 0
	for i, t3 := range [2]turn{first, second} {
		_, h := w.third(t3)
		gy := (p.Z - w.ca[0]*h.Z) / w.sa[0]
		a, b, over2, free2 := twoTurns(h.Y, h.X, gy, onAxisTol)
		if free2 {
			a = turnOf(w.start(seed, 1))
			b = a
		}
		for j, t2 := range [2]turn{a, b} {
			gx, gy := t2.apply(h.X, h.Y)
			t1, free1 := between(gx, w.ca[0]*gy-w.sa[0]*h.Z, p.X, p.Y, w.start(seed, 0))
			out[n] = placing{t: [3]turn{t1, t2, t3}, loose: free || free1 || free2}
			if over2 > 0 || over3 > 0 || w.delicate {
				w.settle(p, &out[n], settledMM)
			}
			n++
			if j == 0 && a == b {
				break
			}
		}
		if i == 0 && first == second {
			break
		}
	}
	return n
}

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

// lift takes a vector from the frame after axis i and its link to the one before.
func (w *spherical) lift(i int, t turn, v Vec) Vec {
	y, z := w.ca[i]*v.Y-w.sa[i]*v.Z, w.sa[i]*v.Y+w.ca[i]*v.Z
	x, y := t.apply(v.X, y)
	return Vec{x, y, z}
}

// at returns the wrist centre for three turns, g on the way to it.
func (w *spherical) at(t *[3]turn) (p, g Vec) {
	_, h := w.third(t[2])
	x, y := t[1].apply(h.X, h.Y)
	g = Vec{x, y, h.Z}
	p = w.lift(0, t[0], g)
	return Vec{p.X + w.a[0]*t[0].c, p.Y + w.a[0]*t[0].s, p.Z}, g
}

// centre returns the wrist centre for three turns, and its derivatives by them.
func (w *spherical) centre(t *[3]turn) (p Vec, d [3]Vec) {
	p, g := w.at(t)
	fx, fy := t[2].apply(w.u.X, w.u.Y)
	d[0] = Vec{-p.Y, p.X, 0}
	d[1] = w.lift(0, t[0], Vec{-g.Y, g.X, 0})
	d[2] = w.lift(0, t[0], w.lift(1, t[1], Vec{-fy, fx, 0}))
	return p, d
}

// settledMM is the miss at which a placing is as good as rounding lets it be, and
// closeMM that at which it is good enough: a tenth of what counts as reached.
const (
	settledMM = 2e-11
	closeMM   = 1e-10
)

// settle measures by how much a placing misses p and takes away rounding, or
// what a conic's root lacks, by Newton steps, until it is good enough.
func (w *spherical) settle(p Vec, q *placing, good float64) {
	x, _ := w.at(&q.t)
	q.miss = p.Sub(x).Norm()
	for range 8 {
		if q.miss <= good || q.miss > 1 {
			return
		}
		x, d := w.centre(&q.t)
		next := q.t
		if !advance(&next, solveSteps(&d, p.Sub(x))) {
			return
		}
		x, _ = w.at(&next)
		m := p.Sub(x).Norm()
		if !(m < q.miss) {
			return
		}
		q.t, q.miss = next, m
	}
}

// advance adds small angles to three turns. It reports false for steps too large
// to be improvements of a solution.
func advance(t *[3]turn, step Vec) bool {
	for i, s := range [3]float64{step.X, step.Y, step.Z} {
		if !(math.Abs(s) < 0.3) {
			return false
		}
		t[i] = t[i].nudge(s)
	}
	return true
}

// solveSteps solves d[0]*x + d[1]*y + d[2]*z = e, in the sense of least squares
// with a little damping where the columns are nearly dependent.
func solveSteps(d *[3]Vec, e Vec) Vec {
	n01, n12, n20 := d[0].Cross(d[1]), d[1].Cross(d[2]), d[2].Cross(d[0])
	det := n01.Dot(d[2])
	size := math.Max(d[0].Norm2(), math.Max(d[1].Norm2(), d[2].Norm2()))
	if math.Abs(det) > 1e-7*size*math.Sqrt(size) {
		return Vec{n12.Dot(e), n20.Dot(e), n01.Dot(e)}.Scale(1 / det)
	}
	// (D^T D + lambda) s = D^T e by Cramer's rule.
	lambda := 1e-12 * size
	a, b, c := d[0].Norm2()+lambda, d[1].Norm2()+lambda, d[2].Norm2()+lambda
	u, v, w := d[0].Dot(d[1]), d[1].Dot(d[2]), d[2].Dot(d[0])
	r := Vec{d[0].Dot(e), d[1].Dot(e), d[2].Dot(e)}
	c0, c1, c2 := Vec{a, u, w}, Vec{u, b, v}, Vec{w, v, c}
	k := c0.Dot(c1.Cross(c2))
	if k == 0 {
		return Vec{}
	}
	return Vec{r.Dot(c1.Cross(c2)), r.Dot(c2.Cross(c0)), r.Dot(c0.Cross(c1))}.Scale(1 / k)
}

// approach takes a placing to the nearest approach to p that is near it, by
// damped Gauss-Newton steps.
func (w *spherical) approach(p Vec, q *placing) {
	x, d := w.centre(&q.t)
	e := p.Sub(x)
	q.miss = e.Norm()
	lambda := 1e-6
	for range 300 {
		var n [3]Vec // normal equations, with damping on the diagonal
		size := math.Max(d[0].Norm2(), math.Max(d[1].Norm2(), d[2].Norm2()))
		n[0] = Vec{d[0].Norm2() + lambda*size, d[0].Dot(d[1]), d[0].Dot(d[2])}
		n[1] = Vec{n[0].Y, d[1].Norm2() + lambda*size, d[1].Dot(d[2])}
		n[2] = Vec{n[0].Z, n[1].Z, d[2].Norm2() + lambda*size}
		step := solveSteps(&n, Vec{d[0].Dot(e), d[1].Dot(e), d[2].Dot(e)})
		next := q.t
		if !advance(&next, step) {
			lambda *= 10
			continue
		}
		y, dy := w.centre(&next)
		m := p.Sub(y).Norm()
		if !(m < q.miss) {
			if lambda *= 10; lambda > 1e6 {
				break
			}
			continue
		}
		done := q.miss-m <= 1e-15*m
		q.t, q.miss, e, d = next, m, p.Sub(y), dy
		lambda = math.Max(lambda/10, 1e-12)
		if done {
			break
		}
	}
}

// scan looks for the nearest approach from a grid of starts.
func (w *spherical) scan(p Vec) placing {
	best := placing{miss: math.Inf(1)}
	for i := range 64 {
		var q placing
		for a := range q.t {
			q.t[a] = turnOf(float64(i>>(2*a)&3)*math.Pi/2 + 0.4)
		}
		if w.approach(p, &q); q.miss < best.miss {
			best = q
		}
	}
	return best
}
