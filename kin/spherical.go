package kin

import "math"

// sphericalWrist solves arms whose axes 4, 5 and 6 meet in a point, the wrist
// centre: its place fixes axes 1 to 3, the orientation then axes 4 to 6 (D. L.
// Pieper, The kinematics of manipulators under computer control, 1968).
type sphericalWrist struct {
	sigma  float64 // cos(alpha2): +1 or -1
	ux, uy float64 // wrist centre from axis 3, turned into the plane of axis 2 at th3 = 0
	l, phi float64 // the same as length and angle
	e      float64 // side offset of the wrist centre, constant part
	cb, sb float64 // cos and sin of alpha2 + alpha3
	s4, s5 float64 // sin of alpha4 and alpha5, +1 or -1
	flip   float64 // -1 when q5 = 0 stands for th5 = pi
	up     float64 // sign of the elbow sine that has the elbow up
}

// fits classifies the chain and prepares the constants.
func (w *sphericalWrist) fits(k *canonical) bool {
	meet := math.Abs(k.a[3]) <= meetTol && math.Abs(k.a[4]) <= meetTol && math.Abs(k.d[4]) <= meetTol
	square := k.ca[3] == 0 && k.ca[4] == 0
	if !meet || !square || math.Abs(k.sa[1]) > parallelTol || math.Abs(k.sa[0]) <= parallelTol {
		return false
	}
	w.sigma = k.ca[1]
	w.ux = k.a[2]
	w.uy = -w.sigma * k.sa[2] * k.d[3]
	uz := w.sigma * (k.d[2] + k.ca[2]*k.d[3])
	w.e = k.d[1] + uz
	w.l, w.phi = math.Hypot(w.ux, w.uy), math.Atan2(w.uy, w.ux)
	w.cb = k.ca[1]*k.ca[2] - k.sa[1]*k.sa[2]
	w.sb = k.sa[1]*k.ca[2] + k.ca[1]*k.sa[2]
	w.s4, w.s5 = k.sa[3], k.sa[4]
	w.flip = 1
	w.up = -math.Copysign(1, k.sa[0]*k.a[1])
	if math.Abs(math.Abs(k.off[4])-math.Pi) < 1 {
		w.flip = -1
	}
	return w.l > meetTol && math.Abs(k.a[1]) > meetTol
}

// alignments returns the three signed measures whose zeros are the arm's
// singularities: the wrist centre's distance in front of axis 1 (mm), and the
// sines of the elbow and of axis 5.
func (w *sphericalWrist) alignments(k *canonical, q *Joints) (x, elbow, wrist float64) {
	s2, c2 := math.Sincos(q[1] + k.off[1])
	s3, c3 := math.Sincos(w.sigma*(q[2]+k.off[2]) + w.phi)
	x = k.a[0] + c2*(k.a[1]+w.l*c3) - s2*w.l*s3
	return x, s3, math.Sin(q[4] + k.off[4])
}

// config names the signs of the alignments. The elbow is up when it lies above
// the line from axis 2 to the wrist centre while the arm reaches to the front.
func (w *sphericalWrist) config(x, elbow, wrist float64) Config {
	return Config{Back: x < 0, Down: w.up*elbow < 0, Flipped: w.flip*wrist < 0}
}

func (w *sphericalWrist) solve(k *canonical, t *Pose, seed *Joints, out *Solutions) {
	p := t.T
	// The wrist centre's coordinate along axis 2 fixes axis 1: in the frame
	// turned by axis 1 it has the side offset side and, in front of or behind
	// axis 1, the distance x.
	side := (k.ca[0]*p.Z - w.e) / k.sa[0]
	rho2 := p.X*p.X + p.Y*p.Y
	rho := math.Sqrt(rho2)
	out.HasConfig = true
	loose := rho <= onAxisTol && math.Abs(side) <= onAxisTol
	x := 0.0
	if x2 := (rho - math.Abs(side)) * (rho + math.Abs(side)); x2 > 0 {
		x = math.Sqrt(x2)
	}
	miss := math.Max(0, math.Abs(side)-rho)
	reached := false
	best, bestMiss := out.Q[0], math.Inf(1)
	for front := 1.0; front >= -1; front -= 2 {
		var s1, c1, th1 float64
		if loose || rho == 0 {
			th1 = seed[0] + k.off[0]
			s1, c1 = math.Sincos(th1)
		} else {
			hx, hy := front*x, side
			if n := math.Hypot(hx, hy); n > 0 {
				c1, s1 = (p.X*hx+p.Y*hy)/(rho*n), (p.Y*hx-p.X*hy)/(rho*n)
			}
			th1 = math.Atan2(s1, c1)
		}
		gx := front*x - k.a[0]
		gy := k.sa[0]*p.Z + k.ca[0]*side
		m := w.bend(k, gx, gy, s1, c1, th1, t, seed, loose, miss, out, &best, &bestMiss)
		reached = reached || m
		if loose || x == 0 {
			break
		}
	}
	if !reached {
		out.N = 1
		out.Q[0] = best
		x, s3, s5 := w.alignments(k, &best)
		out.Config[0] = w.config(x, s3, s5)
		out.Residual = bestMiss
	}
}

// bend finds axes 2 and 3 as a planar arm of two links and adds the wrist.
func (w *sphericalWrist) bend(k *canonical, gx, gy, s1, c1, th1 float64, t *Pose, seed *Joints, loose bool, miss float64, out *Solutions, best *Joints, bestMiss *float64) bool {
	a, l := k.a[1], w.l
	r2 := gx*gx + gy*gy
	r := math.Sqrt(r2)
	// sin of the elbow by Heron's formula: accurate near stretched and folded,
	// where a cosine is not.
	far, near := (a+l)-r, r-math.Abs(a-l)
	c3 := (r2 - a*a - l*l) / (2 * a * l)
	s3 := 0.0
	short := 0.0
	switch {
	case far < 0:
		c3, short = 1, -far
	case near < 0:
		c3, short = -1, -near
	default:
		s3 = math.Sqrt(far*near*((a+l)+r)*(r+math.Abs(a-l))) / (2 * a * l)
	}
	short = math.Hypot(short, miss)
	psi := math.Atan2(s3, c3)
	for bent := 1.0; bent >= -1; bent -= 2 {
		wx, wy := a+l*c3, bent*l*s3
		th2 := math.Atan2(gy, gx) - math.Atan2(wy, wx)
		s2, c2 := math.Sincos(th2)
		ss, cs := math.Sincos(bent*psi - w.phi)
		var q Joints
		q[0] = k.joint(0, th1)
		q[1] = k.joint(1, th2)
		q[2] = k.joint(2, w.sigma*(bent*psi-w.phi))
		// frame 3 in the core frame
		sin, cos := s2*cs+c2*ss, c2*cs-s2*ss
		turn := func(v Vec) Vec {
			y, z := v.Y*k.ca[0]-v.Z*k.sa[0], v.Y*k.sa[0]+v.Z*k.ca[0]
			return Vec{c1*v.X - s1*y, s1*v.X + c1*y, z}
		}
		x3 := turn(Vec{cos, sin, 0})
		y3 := turn(Vec{-sin * w.cb, cos * w.cb, w.sb})
		z3 := x3.Cross(y3)
		ok := short <= reachTol
		if !ok && short >= *bestMiss {
			continue
		}
		n := out.N
		w.turnWrist(k, x3, y3, z3, &t.R, seed, q, gx+k.a[0], bent*s3, out)
		if !ok {
			*best, *bestMiss = out.Q[n], short
			out.N = n
		} else if loose {
			out.Singular = true
			for i := n; i < out.N; i++ {
				out.Loose[i] = true
			}
		}
		if s3 == 0 {
			break
		}
	}
	return short <= reachTol
}

// turnWrist adds the two sets of wrist angles for the orientation r when frame 3
// has the axes x3, y3, z3.
func (w *sphericalWrist) turnWrist(k *canonical, x3, y3, z3 Vec, r *Rot, seed *Joints, q Joints, x, elbow float64, out *Solutions) {
	m13, m23, m33 := x3.Dot(r.Z), y3.Dot(r.Z), z3.Dot(r.Z)
	h := math.Sqrt(m13*m13 + m23*m23)
	s45 := w.s4 * w.s5
	c5 := -s45 * m33
	if h <= looseTol {
		// Axes 4 and 6 lie on one line: only the sum (difference) of their
		// angles is fixed. The pair nearest the seed shares the change.
		th4 := seed[3] + k.off[3]
		s4, c4 := math.Sincos(th4)
		y4 := x3.Scale(-s4).AddScaled(c4, y3)
		q6 := k.joint(5, math.Atan2(-s45*y4.Dot(r.X), -s45*y4.Dot(r.Y)))
		half := wrapAngle(q6-seed[5]) / 2
		// Turning axis 4 by +half must be undone by axis 6.
		dir := s45 * math.Copysign(1, c5)
		q[3] = wrapAngle(seed[3] + dir*half)
		s4, c4 = math.Sincos(q[3] + k.off[3])
		y4 = x3.Scale(-s4).AddScaled(c4, y3)
		q[5] = k.joint(5, math.Atan2(-s45*y4.Dot(r.X), -s45*y4.Dot(r.Y)))
		q[4] = k.joint(4, math.Atan2(0, c5))
		out.Singular = true
		out.Loose[out.N] = true
		out.add(q, w.config(x, elbow, 0))
		return
	}
	c4, s4 := w.s5*m13/h, w.s5*m23/h
	y4 := x3.Scale(-s4).AddScaled(c4, y3)
	c6, s6 := -s45*y4.Dot(r.Y), -s45*y4.Dot(r.X)
	q[3] = k.joint(3, math.Atan2(s4, c4))
	q[4] = k.joint(4, math.Atan2(h, c5))
	q[5] = k.joint(5, math.Atan2(s6, c6))
	out.Loose[out.N] = false
	out.add(q, w.config(x, elbow, h))
	q[3] = k.joint(3, math.Atan2(-s4, -c4))
	q[4] = k.joint(4, math.Atan2(-h, c5))
	q[5] = k.joint(5, math.Atan2(-s6, -c6))
	out.Loose[out.N] = false
	out.add(q, w.config(x, elbow, -h))
}

func (s *Solutions) add(q Joints, c Config) {
	s.Q[s.N], s.Config[s.N] = q, c
	s.N++
}
