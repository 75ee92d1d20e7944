package kin

import "math"

// PointBounds holds magnitudes that the derivatives of the place x of a point
// carried by the arm do not exceed in any configuration whatever.
type PointBounds struct {
	First  Joints    // |dx/dq_i|: mm/rad, for a prismatic axis mm/mm
	Second [6]Joints // |d2x/dq_i dq_j|
}

// PointBounds bounds the motion of every point within radius (mm) of the point
// centre, which is given in the frame of link (0 the base, 6 the flange) and
// moves with it. slide holds the greatest |q| of each prismatic axis; it is not
// read for revolute ones and may be nil where there are none.
//
// # Why it holds
//
// A revolute axis i moves x along the circle about it, so |dx/dq_i| is the
// distance rho_i of x from that axis. To bound rho_i over all configurations,
// the possible places of x are followed from the carrying link towards the base
// as a solid of revolution about each axis in turn: all that is kept is how far
// they lie from the axis, between which heights along it, and how far from the
// frame's origin. Turning the axis in between changes none of the three; the
// constant part of the link transform enlarges them by the triangle inequality.
//
// With i <= j, d2x/dq_i dq_j = z_i x (z_j x (x - p_j)) (a turn about i carries
// axis j along, a turn about j leaves axis i where it is), whose length is at
// most rho_j. For prismatic axes dx/dq = z, and z_i x z_j has length at most 1.
func (c *Chain) PointBounds(link int, centre Vec, radius float64, slide *Joints) PointBounds {
	var b PointBounds
	e := c.spread(link, centre, radius, slide)
	for i := range link {
		b.First[i] = e[i].rho
		if c.rows[i].Prismatic {
			b.First[i] = 1
		}
	}
	for i := range link {
		for j := i; j < link; j++ {
			s := b.First[j]
			if c.rows[i].Prismatic {
				s = 0 // sliding does not turn anything: z_i is constant under it and under all later axes
			}
			b.Second[i][j], b.Second[j][i] = s, s
		}
	}
	return b
}

// extent is where a set of points lies relative to an axis: at most rho from it,
// between the heights lo and hi along it, and at most far from the origin on it.
type extent struct{ rho, lo, hi, far float64 }

// spread returns, for each axis up to the link that carries the ball, the extent
// of the ball relative to that axis over all configurations. Heights count from
// the origin of the frame before the axis.
func (c *Chain) spread(link int, centre Vec, radius float64, slide *Joints) [6]extent {
	var e [6]extent
	if link == 0 {
		return e
	}
	if link == 6 {
		centre = c.flange.Apply(centre)
	}
	now := extent{math.Hypot(centre.X, centre.Y) + radius, centre.Z - radius, centre.Z + radius, centre.Norm() + radius}
	for i := link - 1; i >= 0; i-- {
		r := &c.rows[i]
		sa, ca := math.Abs(c.sa[i]), c.ca[i]
		var next extent
		if i == link-1 {
			// The place in the carrying link is known, not just its extent.
			y, z := centre.Y*ca-centre.Z*c.sa[i], centre.Y*c.sa[i]+centre.Z*ca
			v := Vec{centre.X + r.A, y, z + r.D}
			next = extent{math.Hypot(v.X, v.Y) + radius, v.Z - radius, v.Z + radius, v.Norm() + radius}
		} else {
			z := math.Max(math.Abs(now.lo), math.Abs(now.hi))
			// Seen along the axis: the sideways part of a tilted solid.
			side := math.Abs(ca)*now.rho + sa*z
			next.rho = math.Hypot(math.Abs(r.A)+now.rho, side)
			next.rho = math.Min(next.rho, math.Abs(r.A)+math.Min(now.far, now.rho+sa*z))
			up := math.Min(ca*now.lo, ca*now.hi) - sa*now.rho
			top := math.Max(ca*now.lo, ca*now.hi) + sa*now.rho
			next.lo = r.D + math.Max(up, -now.far)
			next.hi = r.D + math.Min(top, now.far)
			next.far = math.Hypot(r.A, r.D) + now.far
		}
		if r.Prismatic && slide != nil {
			next.lo -= slide[i]
			next.hi += slide[i]
			next.far += slide[i]
		}
		z := math.Max(math.Abs(next.lo), math.Abs(next.hi))
		next.far = math.Min(next.far, math.Hypot(next.rho, z))
		e[i], now = next, next
	}
	return e
}

// JacobianRates bounds how fast the Jacobian of a tool point changes with the
// axes, in any configuration. Linear rows count divided by a length; see
// [Chain.JacobianRates].
type JacobianRates struct {
	// Matrix: the spectral norm of J(q') - J(q) is at most the sum over the
	// axes of Matrix[k] * |q'[k] - q[k]|.
	Matrix Joints
	// Singular: every singular value changes by at most the sum over the axes of
	// Singular[k] * |q'[k] - q[k]|.
	Singular Joints
}

// JacobianRates returns the rates for the Jacobian at the point tool (flange
// frame) with its linear rows divided by lengthMM. slide is as in
// [Chain.PointBounds].
//
// # Why it holds
//
// Let column i be (z_i x r_i / L, z_i) with r_i = x - p_i. A turn about axis k
// carries all later columns along as a rigid body, and moves x under the earlier
// ones:
//
//	i >  k: d/dq_k = (z_k x (z_i x r_i) / L, z_k x z_i)
//	i <= k: d/dq_k = (z_i x (z_k x r_k) / L, 0)
//
// The Frobenius norm, a bound on the spectral norm, follows column by column
// from |z_i x r_i| <= rho_i (see [Chain.PointBounds]). Along a straight segment
// between two configurations the rates integrate to the sum claimed, and by
// Weyl's inequality (H. Weyl, 1912; G. Golub and C. Van Loan, Matrix
// Computations, 8.6) each singular value changes by no more.
//
// For singular values more is true: they do not see a common rotation of all
// columns, so the rotation about any axis w may be taken off first,
// dJ/dq_k - diag([w], [w]) J. With w = z_k the later columns drop out, and
//
//	i < k: (z_i x z_k) x r_k / L - z_k x (z_i x (p_k - p_i)) / L,  -(z_k x z_i)
//
// remains; the column of k itself is zero. The smaller of the two is taken. In
// particular axis 1 changes no singular value.
func (c *Chain) JacobianRates(tool Vec, lengthMM float64, slide *Joints) JacobianRates {
	var r JacobianRates
	e := c.spread(6, tool, 0, slide)
	for k := range 6 {
		if c.rows[k].Prismatic {
			// x and the later axes shift together: only earlier columns change,
			// by z_i x z_k / L.
			n := 0.0
			for i := range k {
				if !c.rows[i].Prismatic {
					n += sq(c.sineBound(i, k) / lengthMM)
				}
			}
			r.Matrix[k] = math.Sqrt(n)
			r.Singular[k] = r.Matrix[k]
			continue
		}
		still, turned := 0.0, 0.0 // squared, with w = 0 and with w = z_k
		origin := c.spread(k, Vec{}, 0, slide)
		for i := range 6 {
			s := c.sineBound(i, k)
			switch {
			case i > k && c.rows[i].Prismatic:
				still += sq(s / lengthMM)
			case i > k:
				still += sq(e[i].rho/lengthMM) + s*s
			case c.rows[i].Prismatic:
				turned += sq(s / lengthMM)
			default:
				still += sq(e[k].rho / lengthMM)
				if i < k {
					turned += sq((s*e[k].far+origin[i].rho)/lengthMM) + s*s
				}
			}
		}
		r.Matrix[k] = math.Sqrt(still)
		r.Singular[k] = math.Sqrt(math.Min(still, turned))
	}
	return r
}

// sineBound bounds the sine of the angle between axes i and k (from 0). It is
// exact where at most one link between them is twisted.
func (c *Chain) sineBound(i, k int) float64 {
	if i > k {
		i, k = k, i
	}
	s := 0.0
	for n := i; n < k; n++ {
		if t := math.Abs(c.sa[n]); s == 0 {
			s = t
		} else if t != 0 {
			return 1
		}
	}
	return s
}

func sq(x float64) float64 { return x * x }
