package kin

import "math"

// spherical solves arms whose axes 4, 5 and 6 meet in a point, the wrist centre:
// its place fixes axes 1 to 3, the orientation then axes 4 to 6 (D. L. Pieper,
// The Kinematics of Manipulators under Computer Control, 1968). The first three
// axes may lie anyhow.
type spherical struct {
	canonical
	first shape
	// The wrist centre in the frame before axis 3, at th3 = 0. Axis 3 turns it.
	u Vec
	l float64 // its distance from axis 3
	// Angle of u about axis 3.
	phi turn
	// The canonical angles at which the arm's own are zero; none for axes 1 and 6.
	off       [6]float64
	backwards bool    // read from the flange
	zero      [3]turn // of axes 2, 3 and 4

	pieper pieper  // skew
	side   float64 // parallel23: the wrist centre's height along axis 2
	sigma  float64 // cos(alpha2), or cos(alpha1), where that is +1 or -1
	square bool    // axes 4-5 and 5-6 meet at right angles
	s45    float64 // sin(alpha4) sin(alpha5): then +1 or -1
	per45  float64 // 1/s45
	cc45   float64 // cos(alpha4) cos(alpha5)
	up     float64 // sign of the elbow sine that has the elbow up
	flip   float64 // -1 when q5 = 0 stands for th5 = pi
	accept float64 // greatest miss that counts as reached, mm
	tilt   float64 // the same for the orientation, rad
	// Some twist between the first axes is so small that dividing by it loses
	// digits.
	delicate bool
	hasSide  bool // shoulder, elbow and wrist alignments exist
}

// shape is how the first three axes lie.
type shape uint8

const (
	skew       shape = iota // no two neighbours parallel or meeting
	parallel23              // axes 2 and 3 are parallel
	meet23                  // axes 2 and 3 meet
	parallel12
	meet12
)

// fitSpherical prepares the solution, or reports that the arm has no spherical
// wrist or can't place it freely.
func fitSpherical(k *canonical, off *[6]float64) (w spherical, ok bool) {
	if k.a[3] != 0 || k.a[4] != 0 || k.d[4] != 0 || k.sa[3] == 0 || k.sa[4] == 0 {
		return w, false
	}
	w.canonical, w.accept, w.tilt = *k, reachTol, looseTol
	w.u = Vec{k.a[2], -k.sa[2] * k.d[3], k.d[2] + k.ca[2]*k.d[3]}
	w.l = math.Hypot(w.u.X, w.u.Y)
	w.phi = toward(w.u.X, w.u.Y)
	w.off = *off
	for i := range w.zero {
		w.zero[i] = turnOf(off[i+1])
	}
	w.square = k.ca[3] == 0 && k.ca[4] == 0
	w.s45, w.cc45 = k.sa[3]*k.sa[4], k.ca[3]*k.ca[4]
	w.per45 = 1 / w.s45
	for _, s := range w.sa[:3] {
		w.delicate = w.delicate || s != 0 && math.Abs(s) < 0.1
	}
	w.up = -math.Copysign(1, k.sa[0]*k.a[1])
	w.flip = 1
	if math.Cos(off[4]) < -0.5 {
		w.flip = -1
	}
	if w.l == 0 {
		return w, false // the wrist centre lies on axis 3
	}
	switch {
	case k.sa[1] == 0:
		w.first, w.sigma = parallel23, k.ca[1]
		w.side = k.d[1] + w.sigma*w.u.Z
		w.hasSide = true
		return w, k.sa[0] != 0 && k.a[1] != 0
	case k.sa[0] == 0:
		w.first, w.sigma = parallel12, k.ca[0]
		return w, k.a[0] != 0
	case k.a[1] == 0:
		w.first = meet23
		return w, k.a[0] != 0 || k.d[1] != 0
	case k.a[0] == 0:
		w.first = meet12
	default:
		w.pieper = newPieper(&w)
	}
	return w, true
}

// placing is one way to bring the wrist centre to its place.
type placing struct {
	t     [3]turn
	miss  float64 // mm
	front float64 // signed distance of the wrist centre in front of axis 1, mm
	elbow float64 // sine of the elbow
	loose bool    // member of a continuous family
}

// start returns the canonical angle of axis i in a seed.
func (w *spherical) start(seed *Joints, i int) float64 {
	if w.backwards {
		return w.off[i] - seed[5-i]
	}
	return w.off[i] + seed[i]
}

// solve appends the solutions, in the arm's own angles, for the core pose t. Where
// there are none it adds the nearest approach and returns its miss in mm, or a
// negative number when it found none.
func (w *spherical) solve(t *Pose, seed *Joints, out *Solutions) (miss float64) {
	var all [4]placing
	n := w.place(t.T, seed, &all)
	out.HasConfig = w.hasSide
	var q Joints
	var first turn // that q[0] belongs to: two placings often share it
	for i := range n {
		p := &all[i]
		if !(p.miss <= w.accept) {
			continue
		}
		sixth, fourth := w.tilted(&p.t, &t.R)
		if over := math.Abs(w.cc45-sixth.Z) - math.Abs(w.s45); over > w.tilt {
			if over > 1e-9 {
				continue // more than axis 5 can do
			}
			// Or by as much as the placing is off: then it must be as good as can be.
			w.settle(t.T, p, 0)
			sixth, fourth = w.tilted(&p.t, &t.R)
			if math.Abs(w.cc45-sixth.Z) > math.Abs(w.s45)+w.tilt {
				continue
			}
		}
		if p.t[0] != first {
			first = p.t[0]
			q[0] = first.angle()
		}
		q[1], q[2] = w.second(p)
		w.orient(p, sixth, fourth, &t.R, &q, seed, out)
	}
	if out.N > 0 || w.accept > reachTol {
		return 0
	}
	best := placing{miss: math.Inf(1)}
	for i := range n {
		w.approach(t.T, &all[i])
		if all[i].miss < best.miss {
			best = all[i]
		}
	}
	if n == 0 {
		best = w.scan(t.T)
	}
	if best.miss <= reachTol {
		return -1 // the position is reached: it is the orientation that is not
	}
	q[0] = best.t[0].angle()
	q[1], q[2] = w.second(&best)
	w.orientNear(&best, &t.R, &q, seed, out)
	if out.N == 0 {
		return -1
	}
	out.N = 1
	return best.miss
}

// second returns the angles of axes 2 and 3 of a placing.
func (w *spherical) second(p *placing) (q2, q3 float64) {
	return p.t[1].minus(w.zero[0]).angle(), p.t[2].minus(w.zero[1]).angle()
}

// place finds the positions of axes 1 to 3 that bring the wrist centre to p.
// Where there are none, the nearest approaches carry their miss.
func (w *spherical) place(p Vec, seed *Joints, out *[4]placing) int {
	switch w.first {
	case parallel23:
		return w.placeParallel23(p, seed, out)
	case meet23:
		return w.placeMeet23(p, seed, out)
	case parallel12:
		return w.placeParallel12(p, seed, out)
	case meet12:
		return w.placeMeet12(p, seed, out)
	}
	return w.placeSkew(p, seed, out)
}

// placeParallel23: the height along axis 2 fixes axis 1; what remains is a
// planar arm of two links.
func (w *spherical) placeParallel23(p Vec, seed *Joints, out *[4]placing) int {
	side := (w.ca[0]*p.Z - w.side) / w.sa[0]
	plus, minus, over, free := twoTurns(p.Y, -p.X, side, onAxisTol)
	if free {
		plus = turnOf(w.start(seed, 0))
		minus = plus
	}
	n := 0
	for i, t1 := range [2]turn{plus, minus} {
		front := p.X*t1.c + p.Y*t1.s
		gx, gy := front-w.a[0], w.sa[0]*p.Z+w.ca[0]*side
		b := twoLinks(gx, gy, w.a[1], w.l, w.start(seed, 1))
		for j, t3 := range [2]turn{b.bend, b.bend.back()} {
			q := &out[n]
			q.t[0], q.t[1], q.t[2] = t1, b.base[j], t3.minus(w.phi)
			if w.sigma < 0 {
				q.t[2] = t3.plus(w.phi).back() // turned over by axis 2's twist
			}
			q.miss = math.Sqrt(over*over + b.miss*b.miss)
			q.front, q.elbow, q.loose = front, t3.s, free || b.free
			n++
			if b.bend.s == 0 {
				break
			}
		}
		if i == 0 && plus == minus {
			break
		}
	}
	return n
}

// phi3 is the angle of the wrist centre about axis 3, counted as axis 2 turns.
func (w *spherical) phi3() turn { return turn{w.phi.c, w.sigma * w.phi.s} }

// bending is how a planar arm of two links reaches a point: the second link at
// an angle +bend or -bend to the first, which then lies at base[0] or base[1].
type bending struct {
	bend turn
	base [2]turn
	miss float64
	free bool // the first link may point anywhere
}

// twoLinks solves a planar arm with the links a and l > 0 for the point (x, y).
func twoLinks(x, y, a, l, seed float64) (b bending) {
	r := math.Sqrt(x*x + y*y)
	sign := math.Copysign(1, a)
	a = math.Abs(a)
	if l <= onAxisTol {
		b.bend, b.free, b.miss = turn{1, 0}, true, math.Abs(r-a)
		b.base[0] = toward(sign*x, sign*y)
		b.base[1] = b.base[0]
		return b
	}
	// The sine of the bend by Heron's formula: accurate near stretched and
	// folded, where the cosine is not.
	far, near := (a+l)-r, r-math.Abs(a-l)
	switch {
	case far < 0:
		b.bend, b.miss = turn{1, 0}, -far
	case near < 0:
		b.bend, b.miss = turn{-1, 0}, -near
	default:
		d := 1 / (2 * a * l)
		b.bend = turn{((r-a)*(r+a) - l*l) * d, math.Sqrt(far*near*((a+l)+r)*(r+math.Abs(a-l))) * d}
	}
	if r <= onAxisTol && b.miss <= reachTol {
		b.free = true
		b.base[0] = turnOf(seed)
		b.base[1] = b.base[0]
		return b
	}
	// The tip lies at (wx, wy) or (wx, -wy) when the first link lies along x.
	wx, wy := a+l*b.bend.c, l*b.bend.s
	tip := toward(wx, wy)
	at := turn{1, 0}
	if r > 0 {
		at = turn{x / r, y / r}
	}
	b.base[0], b.base[1] = at.minus(tip), at.plus(tip)
	if sign < 0 {
		// A negative first link: the same arm with its base turned by pi and
		// the bend counted from the other side.
		for i := range b.base {
			b.base[i] = turn{-b.base[i].c, -b.base[i].s}
		}
		b.bend = turn{-b.bend.c, -b.bend.s}
	}
	return b
}

// alignments returns the three signed measures whose zeros are the arm's
// alignments: the wrist centre's distance in front of axis 1 (mm), and the sines
// of the elbow and of axis 5. th holds canonical angles.
func (w *spherical) alignments(th *Joints) (front, elbow, wrist float64) {
	bend := turnOf(w.sigma * th[2]).plus(w.phi3())
	s2, c2 := math.Sincos(th[1])
	front = w.a[0] + c2*(w.a[1]+w.l*bend.c) - s2*w.l*bend.s
	return front, bend.s, math.Sin(th[4])
}

// config names the signs of the alignments. The elbow is up when it lies above
// the line from axis 2 to the wrist centre while the arm reaches to the front.
func (w *spherical) config(front, elbow, wrist float64) Config {
	return Config{Back: front < 0, Down: w.up*elbow < 0, Flipped: w.flip*wrist < 0}
}
