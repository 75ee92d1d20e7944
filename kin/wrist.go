package kin

import "math"

// clearTilt is the square of the sine of the angle between axes 4 and 6 above which
// they are told apart well enough to find the turn of each without the other.
const clearTilt = 1e-4

// tilted returns axis 6 in frame 3, whose z is axis 4, and axis 4 in frame 6, whose
// z is axis 6, when axes 1 to 3 are turned by t and the core's orientation is r: the
// last column and the last row of the wrist's rotation.
func (w *spherical) tilted(t *[3]turn, r *Rot) (sixth, fourth Vec) {
	m := r.Z
	for i := range 3 {
		ca, sa, c, s := w.ca[i], w.sa[i], t[i].c, t[i].s
		y := c*m.Y - s*m.X
		m = Vec{c*m.X + s*m.Y, ca*y + sa*m.Z, ca*m.Z - sa*y}
	}
	z := Vec{t[2].s * w.sa[2], -t[2].c * w.sa[2], w.ca[2]}
	for i := 1; i >= 0; i-- {
		ca, sa, c, s := w.ca[i], w.sa[i], t[i].c, t[i].s
		y := ca*z.Y - sa*z.Z
		z = Vec{c*z.X - s*y, s*z.X + c*y, sa*z.Y + ca*z.Z}
	}
	return m, Vec{z.Dot(r.X), z.Dot(r.Y), m.Z}
}

// orient adds the solutions for axes 4 to 6 to a placing, whose angles q has
// already: those that give the core the orientation r, and thus axes 6 and 4 the
// directions that tilted returns.
func (w *spherical) orient(p *placing, sixth, fourth Vec, r *Rot, q, seed *Joints, out *Solutions) {
	h2 := sixth.X*sixth.X + sixth.Y*sixth.Y
	if h2 <= clearTilt {
		w.orientNear(p, r, q, seed, out)
		return
	}
	if w.square {
		w.orientSquare(p, sixth, fourth, math.Sqrt(h2), q, out)
		return
	}
	c := (w.cc45 - sixth.Z) * w.per45
	s2 := (1 - c) * (1 + c)
	if s2 <= clearTilt {
		w.orientNear(p, r, q, seed, out)
		return
	}
	w.orientOblique(p, sixth, fourth, turn{c, math.Sqrt(s2)}, 1/h2, q, out)
}

// orientSquare: the tilt of axis 6 against axis 4, with the sine h, is axis 5.
func (w *spherical) orientSquare(p *placing, sixth, fourth Vec, h float64, q *Joints, out *Solutions) {
	f := 1 / h
	g := w.sa[3] * f
	f *= w.sa[4]
	q4 := turn{f * sixth.X, f * sixth.Y}.minus(w.zero[2]).angle()
	q5 := turn{-w.s45 * sixth.Z, h}.angle()
	q6 := turn{g * fourth.X, -g * fourth.Y}.angle()
	plus, minus := w.fifth(q5)
	c, edge := w.side5(p, h)
	a := out.next(c, edge, p.loose)
	a[0], a[1], a[2], a[3], a[4], a[5] = q[0], q[1], q[2], q4, plus, q6
	c.Flipped = !c.Flipped
	a = out.next(c, edge, p.loose)
	a[0], a[1], a[2], a[3], a[4], a[5] = q[0], q[1], q[2], opposite(q4), minus, opposite(q6)
}

// orientOblique: the wrist's axes meet at any angles, axis 5 is turned by t5 or back
// by it. per is 1/h^2 for the sine h of the angle between axes 4 and 6.
func (w *spherical) orientOblique(p *placing, sixth, fourth Vec, t5 turn, per float64, q *Joints, out *Solutions) {
	// What the two directions would be without the turns of axes 4 and 6.
	vx, vy := w.sa[4]*t5.s, -w.ca[3]*w.sa[4]*t5.c-w.sa[3]*w.ca[4]
	ux, uy := w.sa[3]*t5.s, w.sa[3]*w.ca[4]*t5.c+w.ca[3]*w.sa[4]
	x, y := w.zero[2].back().apply(sixth.X*per, sixth.Y*per)
	a, b, c, d := x*vx, y*vy, y*vx, x*vy
	x, y = fourth.X*per, fourth.Y*per
	e, f, g, h := x*ux, y*uy, x*uy, y*ux
	plus, minus := w.fifth(t5.angle())
	side, edge := w.side5(p, t5.s)
	to := out.next(side, edge, p.loose)
	to[0], to[1], to[2] = q[0], q[1], q[2]
	to[3], to[4], to[5] = turn{b + a, c - d}.angle(), plus, turn{f + e, g - h}.angle()
	side.Flipped = !side.Flipped
	to = out.next(side, edge, p.loose)
	to[0], to[1], to[2] = q[0], q[1], q[2]
	to[3], to[4], to[5] = turn{b - a, -c - d}.angle(), minus, turn{f - e, g + h}.angle()
}

// fifth returns the arm's own angles of axis 5 for the canonical ones a and -a, a in
// (0, pi).
func (w *spherical) fifth(a float64) (plus, minus float64) {
	if w.off[4] == 0 {
		return a, -a
	}
	return less(a, w.off[4]), less(-a, w.off[4])
}

// side5 returns the configuration of a placing with the sine wrist of axis 5, and the
// alignments on which it lies.
func (w *spherical) side5(p *placing, wrist float64) (c, edge Config) {
	if !w.hasSide {
		return c, edge
	}
	return w.config(p.front, p.elbow, wrist), edges(p.front, p.elbow, wrist)
}

// addNear adds a solution whose wrist is in canonical angles.
func (w *spherical) addNear(p *placing, q *Joints, wrist float64, loose bool, out *Solutions) {
	q[3], q[4] = less(q[3], w.off[3]), less(q[4], w.off[4])
	c, edge := w.side5(p, wrist)
	out.add(q, c, edge, loose)
}

// orientNear is orient where axes 4 and 6 are near a line, or a wrist of oblique axes
// near the end of what it can do.
func (w *spherical) orientNear(p *placing, r *Rot, q, seed *Joints, out *Solutions) {
	x3, y3 := w.frame3(&p.t)
	if !w.square {
		w.orientNearEnd(p, x3, y3, r, *q, seed, out)
		return
	}
	mx, my := x3.Dot(r.Z), y3.Dot(r.Z)
	mz := x3.Cross(y3).Dot(r.Z)
	h := math.Sqrt(mx*mx + my*my)
	c5 := -w.s45 * mz
	if h <= looseTol {
		w.orientAligned(p, x3, y3, c5, r, *q, seed, out)
		return
	}
	f := w.sa[4] / h
	t4 := turn{f * mx, f * my}
	// Axis 6's angle from the direction of axis 5, not from the small entries of
	// the third row: near alignment axes 4 and 6 must err together.
	y4 := y3.Scale(t4.c).AddScaled(-t4.s, x3)
	t6 := turn{-w.s45 * y4.Dot(r.Y), -w.s45 * y4.Dot(r.X)}
	q4, q5, q6 := t4.angle(), turn{c5, h}.angle(), t6.angle()
	minus5 := -q5
	if q5 == math.Pi {
		minus5 = q5
	}
	w.addNear(p, &Joints{q[0], q[1], q[2], q4, q5, q6}, h, p.loose, out)
	w.addNear(p, &Joints{q[0], q[1], q[2], opposite(q4), minus5, opposite(q6)}, -h, p.loose, out)
}

// opposite returns a + pi in (-pi, pi] for a in the same range.
func opposite(a float64) float64 {
	b := a + math.Pi
	if a > 0 {
		b = a - math.Pi
	}
	if b <= -math.Pi || b > math.Pi {
		return math.Pi // rounded past it
	}
	return b
}

// frame3 returns the x and y axes of the frame before axis 4.
func (w *spherical) frame3(t *[3]turn) (x, y Vec) {
	x = Vec{t[2].c, t[2].s, 0}
	y = Vec{-t[2].s, t[2].c, 0}
	for i := 1; i >= 0; i-- {
		ca, sa, c, s := w.ca[i], w.sa[i], t[i].c, t[i].s
		xy := ca*x.Y - sa*x.Z
		yy := ca*y.Y - sa*y.Z
		x = Vec{c*x.X - s*xy, s*x.X + c*xy, sa*x.Y + ca*x.Z}
		y = Vec{c*y.X - s*yy, s*y.X + c*yy, sa*y.Y + ca*y.Z}
	}
	return x, y.Scale(w.ca[2]).AddScaled(w.sa[2], x.Cross(y))
}

// orientAligned: axes 4 and 6 lie on one line, so only the sum or difference of
// their angles is fixed. The member nearest the seed shares the change equally.
func (w *spherical) orientAligned(p *placing, x3, y3 Vec, c5 float64, r *Rot, q Joints, seed *Joints, out *Solutions) {
	sixth := func(th4 float64) float64 {
		t4 := turnOf(th4)
		y4 := y3.Scale(t4.c).AddScaled(-t4.s, x3)
		return turn{-w.s45 * y4.Dot(r.Y), -w.s45 * y4.Dot(r.X)}.angle()
	}
	// With axis 4 at the seed, axis 6 is off by rest; turning axis 4 by half of
	// it takes half of it off axis 6.
	rest := wrapAngle(sixth(w.start(seed, 3)) - w.start(seed, 5))
	q[3] = wrapAngle(w.start(seed, 3) - w.s45*math.Copysign(rest/2, rest*c5))
	q[5] = sixth(q[3])
	q[4] = math.Atan2(0, c5)
	w.addNear(p, &q, 0, true, out)
}

// orientNearEnd: the wrist's axes meet at any angles. Some orientations are then
// out of reach.
func (w *spherical) orientNearEnd(p *placing, x3, y3 Vec, r *Rot, q Joints, seed *Joints, out *Solutions) {
	z3 := x3.Cross(y3)
	mx, my, mz := x3.Dot(r.Z), y3.Dot(r.Z), z3.Dot(r.Z)
	fifth, over := w.axis5(mz, math.Sqrt(mx*mx+my*my))
	if over > w.tilt {
		return
	}
	for i, t5 := range [2]turn{fifth, fifth.back()} {
		// Axis 6 before axis 4 has turned it.
		vx, vy := w.sa[4]*t5.s, -w.ca[3]*w.sa[4]*t5.c-w.sa[3]*w.ca[4]
		t4 := toward(mx, my).minus(toward(vx, vy))
		loose := p.loose
		if mx*mx+my*my <= looseTol*looseTol {
			t4, loose = turnOf(w.start(seed, 3)), true
		}
		// Axis 5's x direction, in frame 3 and then in the core.
		ux, uy := t4.apply(t5.c, w.ca[3]*t5.s)
		x5 := x3.Scale(ux).AddScaled(uy, y3).AddScaled(w.sa[3]*t5.s, z3)
		q[3], q[4] = t4.angle(), t5.angle()
		q[5] = turn{x5.Dot(r.X), -x5.Dot(r.Y)}.angle()
		w.addNear(p, &q, t5.s, loose, out)
		if i == 0 && fifth.s == 0 {
			return
		}
	}
}

// axis5 returns axis 5, up to its sign, for a tilt of axis 6 against axis 4 with
// the cosine z and the sine h; over is how far z lies outside what axis 5 can do.
func (k *canonical) axis5(z, h float64) (t turn, over float64) {
	// z = ca4 ca5 - sa4 sa5 c5, between cos(alpha4 + alpha5) and cos(alpha4 - alpha5)
	ss, cc := k.sa[3]*k.sa[4], k.ca[3]*k.ca[4]
	c := (cc - z) / ss
	end := math.Copysign(1, c)
	short := 1 - math.Abs(c) // how far c is from the end
	if h < 0.3 && math.Abs(short) < 0.1 {
		// Where axes 4 and 6 are near a line, both at the end and here, the sines
		// say how near; the cosines have lost it.
		sine := k.sa[3]*k.ca[4] + end*k.ca[3]*k.sa[4]
		side := math.Copysign(1, z)
		short = side * end * (sine*sine/(1+math.Abs(cc-end*ss)) - h*h/(1+math.Abs(z))) / ss
	}
	over = math.Max(0, -short*math.Abs(ss))
	short = math.Max(0, short)
	return turn{end * (1 - short), math.Sqrt(short * (2 - short))}, over
}
