package kin

import "math"

// canonical is a chain of revolute axes in the form that the closed solutions
// work on:
//
//	core = Rz(th1) Tz(d1) Tx(a1) Rx(alpha1) ... Rz(th5) Tz(d5) Tx(a5) Rx(alpha5) Rz(th6)
//
// with d1 = 0, th = q + off, and outer = pre * core * post. Base, flange, the
// first offset along axis 1 and all that follows axis 6 sit in pre and post. An
// offset along an axis that is parallel to the one before it is carried back to
// that one, so the remaining d are properties of the geometry and not of how
// the rows were written.
type canonical struct {
	a, d, off    [6]float64
	ca, sa       [6]float64
	pre, post    Pose // outer to core's first frame; core's last frame to flange
	preInv       Pose
	postInv      Pose
	size         float64 // sum of all lengths, mm; the scale for tolerances
	anyPrismatic bool
}

func newCanonical(c *Chain) canonical {
	var k canonical
	for i := range c.rows {
		r := &c.rows[i]
		k.a[i], k.d[i], k.off[i] = r.A, r.D, wrapAngle(r.Offset)
		k.ca[i], k.sa[i] = c.ca[i], c.sa[i]
		k.anyPrismatic = k.anyPrismatic || r.Prismatic
		k.size += math.Abs(r.A) + math.Abs(r.D)
	}
	for i := 5; i > 0; i-- {
		if math.Abs(k.sa[i-1]) <= parallelTol {
			k.d[i-1] += math.Copysign(k.d[i], k.ca[i-1]*k.d[i])
			k.d[i] = 0
		}
	}
	lift := Pose{Identity, Vec{0, 0, k.d[0]}}
	k.pre = c.base.Mul(&lift)
	k.d[0] = 0
	tail := Pose{
		Rot{Vec{1, 0, 0}, Vec{0, k.ca[5], k.sa[5]}, Vec{0, -k.sa[5], k.ca[5]}},
		Vec{k.a[5], 0, k.d[5]},
	}
	k.post = tail.Mul(&c.flange)
	k.preInv, k.postInv = k.pre.Inv(), k.post.Inv()
	return k
}

// core strips base and flange off a target.
func (k *canonical) core(worldFlange *Pose) Pose {
	t := k.preInv.Mul(worldFlange)
	return t.Mul(&k.postInv)
}

// joint turns the canonical angle of axis i into the chain's own, in (-pi, pi].
func (k *canonical) joint(i int, theta float64) float64 { return wrapAngle(theta - k.off[i]) }

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
