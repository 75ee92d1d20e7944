package kin

import "math"

// canonical is a chain of revolute axes in the form that the closed solutions
// work on:
//
//	core = Rz(th1) Tx(a1) Rx(alpha1) Rz(th2) Tz(d2) Tx(a2) Rx(alpha2) ... Rz(th6)
//
// with th = q + off and outer = pre * core * post. Base, flange, the first
// offset along axis 1, the zero positions of axes 1 and 6 and all that follows axis 6
// sit in pre and post. An offset
// along an axis that is parallel to the one before it is carried back to that
// one, so the remaining d are properties of the geometry and not of how the rows
// were written: axes i and i+1 meet when a_i = 0, three consecutive axes meet in
// one point when a_i = a_(i+1) = d_(i+1) = 0.
type canonical struct {
	a, d [5]float64 // a[i], alpha[i] lie between axes i and i+1 (from 0); d[0] = 0
	ca   [5]float64 // cos and sin of alpha
	sa   [5]float64
}

// casing is what lies around the core: the core's target is left * outer * right, or
// left * outer^-1 * right where the arm is read backwards.
type casing struct {
	left, right           Pose
	plainLeft, plainRight bool // they don't turn
	inverse               bool
	off                   [6]float64 // 0 for axes 1 and 6
}

func newCasing(left, right Pose, inverse bool, off [6]float64) casing {
	return casing{left, right, left.R == Identity, right.R == Identity, inverse, off}
}

// newCanonical returns the canonical form of a chain. snapped says that lengths
// or angles within the tolerances, but beyond rounding, were set to zero: the form
// then differs from the arm by so much, and solutions have to be polished.
func newCanonical(c *Chain) (k canonical, forth, back casing, snapped bool) {
	var d, off [6]float64
	for i := range c.rows {
		r := &c.rows[i]
		d[i], off[i] = r.D, wrapAngle(r.Offset)
		if i == 5 {
			break
		}
		k.a[i], k.ca[i], k.sa[i] = r.A, c.ca[i], c.sa[i]
		snapped = snap(&k.a[i], meetTol, lengthRounding) || snapped
		snapped = snap(&k.sa[i], parallelTol, angleRounding) || snapped
		snapped = snap(&k.ca[i], parallelTol, angleRounding) || snapped
		if k.sa[i] == 0 {
			k.ca[i] = math.Copysign(1, k.ca[i])
		}
		if k.ca[i] == 0 {
			k.sa[i] = math.Copysign(1, k.sa[i])
		}
	}
	for i := 5; i > 0; i-- {
		if k.sa[i-1] == 0 {
			d[i-1] += k.ca[i-1] * d[i]
			d[i] = 0
		}
	}
	lift := Pose{aboutZ(off[0]), Vec{0, 0, d[0]}}
	tail := Pose{
		Rot{Vec{1, 0, 0}, Vec{0, c.ca[5], c.sa[5]}, Vec{0, -c.sa[5], c.ca[5]}},
		Vec{c.rows[5].A, 0, d[5]},
	}
	zero := Pose{R: aboutZ(off[5])}
	tail = zero.Mul(&tail)
	off[0], off[5] = 0, 0
	pre, post := c.base.Mul(&lift), tail.Mul(&c.flange)
	forth = newCasing(pre.Inv(), post.Inv(), false, off)
	back = newCasing(post, pre, true, off)
	d[0] = 0
	copy(k.d[:], d[:5])
	for i := range k.d {
		snapped = snap(&k.d[i], meetTol, lengthRounding) || snapped
	}
	return k, forth, back, snapped
}

// aboutZ is the rotation about z by an angle; right angles are exact, as in a chain's
// twists.
func aboutZ(a float64) Rot {
	s, c := math.Sincos(a)
	if math.Abs(c) < 1e-15 {
		c = 0
	}
	if math.Abs(s) < 1e-15 {
		s = 0
	}
	return Rot{Vec{c, s, 0}, Vec{-s, c, 0}, Vec{0, 0, 1}}
}

// straightened returns the chain with axes that are all but parallel made so. Their
// common normal may lie far away, and its length says nothing about how far apart
// they are where the arm is; so the rows are found anew from the axes as lines.
func (c *Chain) straightened() (s *Chain, changed bool) {
	for _, sa := range c.sa[:5] {
		changed = changed || sa != 0 && math.Abs(sa) <= parallelTol
	}
	if !changed {
		return c, false
	}
	var f Frames
	c.Forward(&Joints{}, &f)
	var axes [6]Axis
	for i := range axes {
		// The point of the axis nearest to the base, not the frame's far origin.
		p, z := f[i].T, f[i].R.Z
		axes[i] = Axis{p.AddScaled(-p.Sub(c.base.T).Dot(z), z), z, c.rows[i].Prismatic}
	}
	base, rows, flange := denavitHartenberg(axes, f[6], parallelTol)
	return bareChain(base, rows, flange), true
}

// rounding is what may be left of a zero, in mm and rad, in rows that were computed
// from axes: five such angles at the end of two metres move the flange by a tenth of
// what counts as reached.
const (
	lengthRounding = 1e-11
	angleRounding  = 1e-14
)

// snap sets x to zero when it is smaller than tol and says whether more than
// rounding was lost.
func snap(x *float64, tol, rounding float64) bool {
	size := math.Abs(*x)
	if size > tol {
		return false
	}
	*x = 0
	return size > rounding
}

// core strips base and flange off a target.
func (o *casing) core(worldFlange, t *Pose) {
	f, r := worldFlange, &o.right
	if o.inverse {
		t.T = f.ApplyInv(r.T)
		t.R.X, t.R.Y, t.R.Z = f.R.ApplyInv(r.R.X), f.R.ApplyInv(r.R.Y), f.R.ApplyInv(r.R.Z)
	} else {
		t.T, t.R = f.Apply(r.T), f.R
		if !o.plainRight {
			t.R.X, t.R.Y, t.R.Z = f.R.Apply(r.R.X), f.R.Apply(r.R.Y), f.R.Apply(r.R.Z)
		}
	}
	l := &o.left
	if o.plainLeft {
		t.T = t.T.Add(l.T)
		return
	}
	t.T = l.Apply(t.T)
	t.R.X, t.R.Y, t.R.Z = l.R.Apply(t.R.X), l.R.Apply(t.R.Y), l.R.Apply(t.R.Z)
}

// remove takes the offsets off canonical angles in (-pi, pi]; what is left is in
// the same range.
func (o *casing) remove(q []Joints) {
	for a, off := range o.off {
		if off == 0 {
			continue
		}
		for i := range q {
			q[i][a] = less(q[i][a], off)
		}
	}
}

// less returns a - b in (-pi, pi] for a and b in the same range, without a branch to
// guess wrong.
func less(a, b float64) float64 {
	const rounder = 1.5 * (1 << 52) // adding it rounds to an integer
	a -= b
	turns := float64(a*(1/(2*math.Pi))) + rounder - rounder
	a -= turns * (2 * math.Pi)
	if a <= -math.Pi || a > math.Pi {
		return math.Pi // rounded past it
	}
	return a
}

// link is the constant part after axis i.
func (k *canonical) link(i int) Pose {
	return Pose{
		Rot{Vec{1, 0, 0}, Vec{0, k.ca[i], k.sa[i]}, Vec{0, -k.sa[i], k.ca[i]}},
		Vec{k.a[i], 0, k.d[i]},
	}
}

// reversed returns the same arm seen from the flange: it reaches the inverse of
// a target with th'_i = -th_(7-i). All it takes is reading the links backwards
// and negating them, for Tz commutes with Rz.
func (k *canonical) reversed() canonical {
	var r canonical
	for i := range 5 {
		r.a[i], r.ca[i], r.sa[i] = -k.a[4-i], k.ca[4-i], -k.sa[4-i]
		if i > 0 {
			r.d[i] = -k.d[5-i]
		}
	}
	r.carryBack()
	return r
}

// carryBack moves offsets along parallel axes to the first of them, as far as
// axis 2; beyond that they would leave the core.
func (k *canonical) carryBack() {
	for i := 4; i > 1; i-- {
		if k.sa[i-1] == 0 {
			k.d[i-1] += k.ca[i-1] * k.d[i]
			k.d[i] = 0
		}
	}
}

// shifted returns the arm that one gets by cutting the closed loop of arm and
// target before axis 6 instead of before axis 1:
//
//	Rz(th6) t^-1 Rz(th1) K1 ... Rz(th4) K4 Rz(th5) = K5^-1
//
// where K_i is the link after axis i. Its first link is t^-1, brought to
// Denavit-Hartenberg form. The turns first and second are what that form adds to
// th6 and th1.
//
// Axes 6 and 1 of the loop may be almost parallel, or almost meet. Digits are
// then lost on the way to their common normal and back, and below almostParallel
// it does less harm to take them as parallel (as meeting). Either way the
// solutions have to be polished on the chain. delicate says that some may be
// missing.
func (k *canonical) shifted(t *Pose, size float64) (s canonical, target Pose, first, second float64, delicate bool) {
	g := t.Inv()
	z := g.R.Z
	sine := math.Sqrt(z.X*z.X + z.Y*z.Y)
	var x turn // direction of the common normal, seen along th6's axis
	if sine > almostParallel {
		x = turn{-z.Y / sine, z.X / sine}
		second = math.Atan2(g.R.X.Z, g.R.Y.Z)
		s.ca[0], s.sa[0] = z.Z, sine
		s.d[1] = (g.T.X*x.s - g.T.Y*x.c) / sine
	} else {
		x = toward(g.T.X, g.T.Y)
		s.ca[0] = math.Copysign(1, z.Z)
		// What is left of the rotation after Rz(first) Rx(alpha).
		second = math.Atan2(s.ca[0]*(g.R.X.Y*x.c-g.R.X.X*x.s), g.R.X.X*x.c+g.R.X.Y*x.s)
	}
	first = math.Atan2(x.s, x.c)
	s.a[0] = g.T.X*x.c + g.T.Y*x.s
	delicate = sine < 1e-2 || math.Abs(s.a[0]) < 1e-2*size
	snap(&s.a[0], almostParallel*size, 0)
	lift := g.T.Z - s.d[1]*z.Z
	for i := 1; i < 5; i++ {
		s.a[i], s.ca[i], s.sa[i] = k.a[i-1], k.ca[i-1], k.sa[i-1]
		if i > 1 {
			s.d[i] = k.d[i-1]
		}
	}
	s.carryBack()
	l := k.link(4)
	target = l.Inv()
	target.T.Z -= lift
	return s, target, first, second, delicate && sine > 1e-12
}

// almostParallel is the sine below which shifted takes two axes as parallel.
const almostParallel = 3e-5

// wrapAngle brings an angle into (-pi, pi].
func wrapAngle(a float64) float64 {
	if a > math.Pi || a <= -math.Pi {
		a = math.Remainder(a, 2*math.Pi)
		if a <= -math.Pi {
			a = math.Pi
		}
	}
	return a
}
