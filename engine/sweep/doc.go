// Package sweep examines a whole trajectory without gaps: each answer is an
// interval [Lo, Hi] that provably holds the true extreme of a quantity, however
// briefly it is reached. Nothing is sampled at a rate; work is spent only where
// the extreme can lie.
//
// It judges nothing: what is asked and what is allowed is package grader's
// business. It plans nothing either; [motion.Plan] makes the trajectory.
//
// [New] prepares the examination of a trajectory; a [Span] is a stretch of one of
// its pieces. What it can be asked, over spans of the trajectory (lengths mm,
// angles rad, speeds mm/s or rad/s, world frame, axes counted from 0):
//
//	AxisRoom(spans, axis)                 least room of an axis to its limits
//	SingularityRoom(spans, alignment)     least room to an alignment
//	ToolSpeed(spans), SlowestTool(spans)  greatest and least speed of the tool centre point
//	PointSpeed(spans)                     greatest speed of any point of arm, tool and held part
//	AxisSpeed(spans, axis)                greatest speed that an axis reaches
//	AxisDemand(spans, axis)               speed and acceleration that the programmed tool speed asks of an axis
//	SpeedNear(spans, thing, within)       greatest tool speed while the tool is near a solid or a loose part
//	Clearance(spans, need)                least distance by pair of bodies
//	ZoneClearance(spans, zone, need)      least distance of every body from a zone
//	ZoneSpeed(spans, zone)                greatest speed of a point inside a zone
//	Deviation(spans, figure)              greatest distance of the tool centre point from a figure
//	Nearest(spans, point)                 least distance of the tool centre point from a point
//	Gap(spans, figure)                    greatest distance of a point of a figure from the path
//	Tilt(spans, direction)                greatest angle of the tool axis from a direction
//
// Answers are as narrow as [TolMM], [TolRad], [TolMMS] and [TolRadS]. A question
// that would take more work than [Options] allows gets a wider interval, still
// sound, with Done false. The same trajectory gets the same answers to the last
// bit, whatever was asked before and however many processors there are: a Sweep
// works in one goroutine, and callers may run several.
//
// # The argument
//
// All geometry depends on the path parameter s alone. In the middle s0 of an
// interval [s0-h, s0+h] the path is evaluated: axes, their first and second
// derivatives by s, and by a recursion outwards over the links the place,
// velocity and acceleration of every body (function links). Over the whole
// interval [motion.Path] bounds the axes' derivatives: |q'| <= b, |q"| <= c,
// |q"'| <= d by axis.
//
// Let x be a point of link k, and f_i the greatest distance that it can have
// from axis i ([kin.Chain.PointBounds] proves one for all configurations). A
// turn about axis i carries all later axes along, so a derivative of x by
// several axes is a product of unit vectors with the lever of the outermost:
//
//	|d^n x / dq_i ... dq_m| <= f_m   for i <= ... <= m.
//
// Summed up, with B_m and C_m the sums of b and c over the axes up to m,
//
//	|x'|   <= sum f_m b_m
//	|x"|   <= sum f_m (c_m + B_m^2 - B_(m-1)^2)
//	|x"'|  <= sum f_m (d_m + 3 (C_m B_m - C_(m-1) B_(m-1)) + B_m^3 - B_(m-1)^3),
//
// three products of six numbers for each body (type powers). What the tool
// carries is also bounded by the tool's own motion, which on a line is calm
// where the axes are not: |x"| <= |p"| + (|w'| + |w|^2) r and so on for a point at
// most r from the tool centre point p. A Taylor step from the middle with these
// remainders encloses x(s), x'(s), and whatever is made of them:
//
//   - Distance of a body A from a solid B. The distance, the negative depth in
//     overlap included, is the greatest separation along any unit direction, so
//     the direction n between the closest points in the middle gives a lower
//     bound anywhere: min over A of n . x(s) - max over B of n . y. With
//     x(s) = x + t x' + t^2/2 x" + (third-order remainder), t = s - s0, the least
//     n . (x + t x') over a convex body is one support evaluation of the body in
//     its middle place, along n + t (n x w); as a minimum of functions linear in
//     t it is concave in t and lies above its chord between t = -h and t = h. The
//     least n . x" is one support evaluation more. What remains is the minimum of
//     a parabola (function along). The bound closes in with the square of h also
//     where a body slides along a wall, and with the cube where n stays put.
//     Before it come the cheaper ones: bounding spheres, and the distance in the
//     middle less how far a point can move.
//   - Two bodies of the arm are seen from the one nearer the base, which then
//     stands still: only the axes between them move anything.
//   - Speed of a point is |x'(s)| ds/dt. For an observer on the body the velocity
//     of a point is linear in the place of the point and changes nearly linearly
//     with s; its greatest size over a convex body is reached at an extreme point
//     (for a ball of radius r: sqrt(|u|^2 + 2 r |u x w| + r^2 |w|^2)) and is convex
//     in s, hence below its chord. The chord times ds/dt is a polynomial of time
//     in every phase of the time law, and departs from its own chord by its
//     second derivative (law.product).
//   - Axes, tilt, and distances from figures and points are Taylor steps of the
//     same kind, each stated where it is used.
//
// Branch and bound (E. Hansen and G. Walster, Global Optimization Using Interval
// Analysis, 2004) does the rest: an interval whose bound can't better the best
// value measured, by more than the tolerance, is dropped; others are halved, all
// intervals of one width before any narrower one. Every value measured bounds
// the extreme from one side, every bound kept from the other.
//
// The idea of stepping along a motion by proven bounds on it is conservative
// advancement: B. Mirtich, Impulse-based Dynamic Simulation of Rigid Body
// Systems, 1996. For arms: F. Schwarzer, M. Saha and J.-C. Latombe, Adaptive
// dynamic collision checking for single and multiple articulated robots in
// complex environments, IEEE Trans. Robotics 21(3), 2005, who bound the length
// that any point travels by levers times axis motions. For convex shapes in
// arbitrary motion: S. Redon, Y. Kim, M. Lin and D. Manocha, Fast continuous
// collision detection for articulated models, 2004. Their bounds are of first
// order; the second-order ones here are what makes exact minima affordable. The
// sources are named from memory.
//
// # Rounding
//
// Bounds are computed in floating point, not in interval arithmetic. What
// rounding can do to them is covered by a slack of 1e-9 (mm, mm/s, rad) on the
// safe side of every bound and of every value measured: places are evaluated to
// about 1e-10 mm, and all other terms have relative errors of some 1e-15. So a
// motion exactly at a limit is never taken for one beyond it, nor touching a
// zone for entering it. Distances of cylinders count as uncertain by 1e-4 mm
// (see package shape).
package sweep
