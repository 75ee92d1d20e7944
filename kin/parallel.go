package kin

import "math"

// parallel solves arms whose axes 2, 3 and 4 are parallel. Turning those three
// changes neither the direction of axis 6 nor the place of the wrist along the
// common direction: two conditions on axes 1 and 5 alone. Axis 6 and the sum of
// axes 2 to 4 follow from the orientation, and a planar arm of two links is left
// (A. Elias and J. Wen, IK-Geo, 2022, "three parallel axes").
type parallel struct {
	canonical
	sigma2, sigma float64 // cos(alpha2), cos(alpha2 + alpha3): +1 or -1
	l             float64 // length of the second link
	phi           turn    // its direction in the frame of axis 3: no turn, or pi
	e             float64 // length of the third link, from axis 4 to axis 5's foot
	up, flip      float64 // as for spherical
	accept, tilt  float64 // greatest miss that counts as reached: mm, rad
}

// fitParallel prepares the solution, or reports that the arm has no such axes.
func fitParallel(k *canonical, off5 float64) (w parallel, ok bool) {
	if k.sa[1] != 0 || k.sa[2] != 0 || k.sa[0] == 0 || k.sa[3] == 0 || k.a[1] == 0 || k.a[2] == 0 {
		return w, false
	}
	if k.sa[4] == 0 && k.a[4] == 0 {
		return w, false // axes 5 and 6 are one
	}
	w.canonical, w.accept, w.tilt = *k, reachTol, looseTol
	w.sigma2, w.sigma = k.ca[1], k.ca[1]*k.ca[2]
	w.l, w.phi = math.Abs(k.a[2]), turn{math.Copysign(1, k.a[2]), 0}
	w.e = math.Hypot(math.Abs(k.a[3])+math.Abs(k.a[4]), math.Abs(k.ca[3]*k.a[4])+math.Abs(k.sa[3]*k.d[4]))
	if w.offset() {
		w.accept, w.tilt = 1e-4, 1e-6
	}
	w.up = -math.Copysign(1, k.sa[0]*k.a[1])
	w.flip = 1
	if math.Cos(off5) < -0.5 {
		w.flip = -1
	}
	return w, true
}

// hasSide reports whether the arm has shoulder, elbow and wrist alignments: it
// has when axes 5 and 6 meet.
func (w *parallel) hasSide() bool { return w.a[4] == 0 }

// offset reports whether axes 5 and 6 neither meet nor are parallel. The solution
// then goes through a conic, and has to be polished on the chain.
func (w *parallel) offset() bool { return w.a[4] != 0 && w.sa[4] != 0 }

// solve appends the solutions, in canonical angles, for the core pose t.
func (w *parallel) solve(t *Pose, seed *Joints, out *Solutions) {
	out.HasConfig = w.hasSide()
	p, r := t.T, t.R.Z
	sa, ca := w.sa[0], w.ca[0]
	// Along the common direction, as x cos(th1) + y sin(th1) + z:
	px, py, pz := -sa*p.Y, sa*p.X, ca*p.Z-w.d[1]
	rx, ry, rz := -sa*r.Y, sa*r.X, ca*r.Z
	switch {
	case w.a[4] == 0:
		// Axes 5 and 6 meet: axis 5 can't move their meeting point along the
		// common direction.
		t1, t2, over, free := twoTurns(px, py, w.sigma*w.ca[3]*w.d[4]-pz, onAxisTol)
		if free {
			t1 = turnOf(seed[0])
			t2 = t1
		}
		if over > w.accept {
			return
		}
		for i, first := range [2]turn{t1, t2} {
			z := w.sigma * (rx*first.c + ry*first.s + rz)
			// The sine of the tilt: what lies across the common direction.
			x, y := first.back().apply(r.X, r.Y)
			t5, over := w.axis5(z, math.Hypot(x, ca*y+sa*r.Z))
			if over > w.tilt {
				continue
			}
			w.finish(t, first, t5, free, seed, out)
			if t5.s != 0 {
				w.finish(t, first, t5.back(), free, seed, out)
			}
			if i == 0 && t1 == t2 {
				break
			}
		}
	case w.sa[4] == 0:
		// Axes 5 and 6 are parallel: axis 5 can't tilt axis 6.
		t1, t2, over, free := twoTurns(rx, ry, w.sigma*w.ca[3]*w.ca[4]-rz, looseTol)
		if free {
			t1 = turnOf(seed[0])
			t2 = t1
		}
		if over > w.tilt {
			return
		}
		for i, first := range [2]turn{t1, t2} {
			along := px*first.c + py*first.s + pz
			t5, t6, over, _ := twoTurns(0, w.sa[3]*w.a[4], w.sigma*along-w.ca[3]*w.d[4], 0)
			if over > w.accept {
				continue
			}
			w.finish(t, first, t5, free, seed, out)
			if t5 != t6 {
				w.finish(t, first, t6, free, seed, out)
			}
			if i == 0 && t1 == t2 {
				break
			}
		}
	default:
		w.solveOffset(t, px, py, pz, rx, ry, rz, seed, out)
	}
}

// solveOffset: axes 5 and 6 neither meet nor are parallel. Both conditions, the
// one linear in cos(th5) and the other in sin(th5), leave a conic in cos(th1) and
// sin(th1).
func (w *parallel) solveOffset(t *Pose, px, py, pz, rx, ry, rz float64, seed *Joints, out *Solutions) {
	ss, cc := w.sa[3]*w.sa[4], w.ca[3]*w.ca[4]
	// cos(th5) = k0 + k1 cos(th1) + k2 sin(th1), sin(th5) likewise with m.
	s := w.sigma / ss
	k := Vec{cc/ss - s*rz, -s * rx, -s * ry}
	s = w.sigma / (w.sa[3] * w.a[4])
	m := Vec{s*pz - w.ca[3]*w.d[4]/(w.sa[3]*w.a[4]), s * px, s * py}
	yy := k.Z*k.Z + m.Z*m.Z
	var roots [4]turn
	curve := newConic(k.Y*k.Y+m.Y*m.Y-yy, 2*(k.Y*k.Z+m.Y*m.Z))
	n, _ := curve.onCircle(2*(k.X*k.Y+m.X*m.Y), 2*(k.X*k.Z+m.X*m.Z), k.X*k.X+m.X*m.X-1+yy, &roots)
	var found [8][2]turn
	count := 0
	for _, root := range roots[:n] {
		// The conic squares the equations. Of cos and sin the one that axis 1
		// changes less is known well; the other's sign is tried both ways.
		x, y := k.X+k.Y*root.c+k.Z*root.s, m.X+m.Y*root.c+m.Z*root.s
		byCos := math.Hypot(k.Y, k.Z) <= math.Hypot(m.Y, m.Z)
		for side := 1.0; side >= -1; side -= 2 {
			t1, t5 := root, turn{x, side * math.Sqrt(math.Max(0, 1-x*x))}
			if !byCos {
				t5 = turn{side * math.Sqrt(math.Max(0, 1-y*y)), y}
			}
			t5 = toward(t5.c, t5.s)
			if !w.meet(k, m, &t1, &t5) {
				continue
			}
			known := false
			for _, f := range found[:count] {
				known = known || !f[0].differs(t1) && !f[1].differs(t5)
			}
			if !known {
				found[count] = [2]turn{t1, t5}
				count++
				w.finish(t, t1, t5, false, seed, out)
			}
		}
	}
}

// meet takes axes 1 and 5 to a common solution of the two conditions by Newton
// steps and reports whether they got near: the polish does the rest, and judges.
func (w *parallel) meet(k, m Vec, t1, t5 *turn) bool {
	near := false
	for range 8 {
		e0 := k.X + k.Y*t1.c + k.Z*t1.s - t5.c
		e1 := m.X + m.Y*t1.c + m.Z*t1.s - t5.s
		near = math.Abs(e0)+math.Abs(e1) <= 1e-5
		// a d1 + sin(th5) d5 = -e0, b d1 - cos(th5) d5 = -e1
		a, b := k.Z*t1.c-k.Y*t1.s, m.Z*t1.c-m.Y*t1.s
		det := -a*t5.c - b*t5.s
		d1, d5 := (e0*t5.c+e1*t5.s)/det, (b*e0-a*e1)/det
		size := math.Abs(d1) + math.Abs(d5)
		switch {
		case near && (size < 1e-14 || !(size < 0.05)):
			return true // there, or so near a double root that a step would lead away
		case !(size < 3):
			return false
		case size > 0.3:
			d1, d5 = d1*0.3/size, d5*0.3/size
		}
		*t1, *t5 = t1.nudge(d1), t5.nudge(d5)
	}
	return near
}

// finish adds the solutions for given axes 1 and 5.
func (w *parallel) finish(t *Pose, t1, t5 turn, loose bool, seed *Joints, out *Solutions) {
	// Into the frame after axis 1 and its link.
	in := func(v Vec) Vec {
		x, y := t1.back().apply(v.X, v.Y)
		return Vec{x, w.ca[0]*y + w.sa[0]*v.Z, w.ca[0]*v.Z - w.sa[0]*y}
	}
	rx, ry, rz := in(t.R.X), in(t.R.Y), in(t.R.Z)
	// Axis 6, seen in the plane of the parallel axes, before they have turned it:
	// the difference is the sum of axes 2 to 4.
	vx, vy := w.sa[4]*t5.s, w.sigma*(-w.ca[3]*w.sa[4]*t5.c-w.sa[3]*w.ca[4])
	g := in(t.T)
	front := g.X
	g.X -= w.a[0] // in() turned about axis 1; the link's length comes off after
	// The third link: from axis 4 to axis 6's foot, before it is turned.
	ex, ey := w.a[3]+w.a[4]*t5.c, w.sigma*(w.ca[3]*w.a[4]*t5.s-w.sa[3]*w.d[4])
	var sum turn
	if math.Hypot(rz.X, rz.Y) <= looseTol || math.Hypot(vx, vy) <= looseTol {
		// Axis 6 is parallel to them too: any sum will do.
		loose = true
		sum = w.freeSum(g, ex, ey, seed)
	} else {
		sum = toward(rz.X, rz.Y).minus(toward(vx, vy))
	}
	// x axis of frame 5 against the wanted one: axis 6.
	ux, uy := sum.apply(t5.c, w.sigma*w.ca[3]*t5.s)
	u := Vec{ux, uy, w.sigma * w.sa[3] * t5.s}
	t6 := turn{u.Dot(rx), -u.Dot(ry)}
	dx, dy := sum.apply(ex, ey)
	b := twoLinks(g.X-dx, g.Y-dy, w.a[1], w.l, seed[1])
	if b.miss > w.accept {
		return
	}
	for j, bend := range [2]turn{b.bend, b.bend.back()} {
		t3 := bend.minus(w.phi)
		t4 := sum.minus(b.base[j]).minus(t3)
		t3.s *= w.sigma2
		t4.s *= w.sigma
		q := Joints{t1.angle(), b.base[j].angle(), t3.angle(), t4.angle(), t5.angle(), t6.angle()}
		out.add(&q, w.config(front, bend.s, t5.s), edges(front, bend.s, t5.s), loose || b.free)
		if b.bend.s == 0 {
			break
		}
	}
}

// freeSum chooses the sum of axes 2 to 4 nearest to the seed's for which the
// other two links reach from axis 2 to axis 4.
func (w *parallel) freeSum(g Vec, ex, ey float64, seed *Joints) turn {
	want := seed[1] + w.sigma2*seed[2] + w.sigma*seed[3]
	gg, ee := math.Hypot(g.X, g.Y), math.Hypot(ex, ey)
	if gg*ee == 0 {
		return turnOf(want)
	}
	ahead := math.Atan2(g.Y, g.X) - math.Atan2(ey, ex)
	d := wrapAngle(want - ahead)
	a := math.Abs(w.a[1])
	bound := func(m float64) float64 {
		return math.Acos(math.Max(-1, math.Min(1, (gg*gg+ee*ee-m*m)/(2*gg*ee))))
	}
	near, far := bound(math.Abs(a-w.l)), bound(a+w.l)
	return turnOf(ahead + math.Copysign(math.Max(near, math.Min(far, math.Abs(d))), d))
}

// alignments is as for spherical.
func (w *parallel) alignments(th *Joints) (front, elbow, wrist float64) {
	t2, t3 := turnOf(th[1]), turnOf(w.sigma2*th[2])
	t23 := t2.plus(t3)
	sum := t23.plus(turnOf(w.sigma * th[3]))
	x, _ := sum.apply(w.a[3], -w.sigma*w.sa[3]*w.d[4])
	return w.a[0] + w.a[1]*t2.c + w.a[2]*t23.c + x, t3.plus(w.phi).s, math.Sin(th[4])
}

// config is as for spherical.
func (w *parallel) config(front, elbow, wrist float64) Config {
	return Config{Back: front < 0, Down: w.up*elbow < 0, Flipped: w.flip*wrist < 0}
}
