package kin

import "math"

// PointBounds bounds the motion of every point x within radius (mm) of the point
// centre, which is given in the frame of link (0 the base, 6 the flange) and
// moves with it: |dx/dq_i| is at most the answer for axis i in any configuration
// whatever (mm/rad, for a prismatic axis mm/mm), and |d2x/dq_i dq_j| at most that
// for the later of both axes. slide holds the greatest |q| of each prismatic axis;
// it is not read for revolute ones and may be nil where there are none.
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
func (c *Chain) PointBounds(link int, centre Vec, radius float64, slide *Joints) Joints {
	var b Joints
	e := c.spread(link, centre, radius, slide)
	for i := range link {
		b[i] = e[i].rho
		if c.rows[i].Prismatic {
			b[i] = 1
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
