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
