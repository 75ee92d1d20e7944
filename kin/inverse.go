package kin

import "math"

// Family says which solution an arm's geometry allows.
type Family uint8

// The families: three consecutive axes that meet in a point or are parallel, or
// none of these.
const (
	Numerical         Family = iota // damped least squares
	SphericalWrist                  // axes 4, 5, 6 meet
	SphericalShoulder               // axes 1, 2, 3 meet
	Spherical234
	Spherical345
	Parallel234 // axes 2, 3, 4 are parallel, the wrist is offset
	Parallel345
	Parallel123
	Parallel456
)

var familyNames = [...]string{
	"numerical", "spherical wrist (axes 4, 5, 6 meet)", "spherical shoulder (axes 1, 2, 3 meet)",
	"axes 2, 3, 4 meet", "axes 3, 4, 5 meet", "axes 2, 3, 4 parallel", "axes 3, 4, 5 parallel",
	"axes 1, 2, 3 parallel", "axes 4, 5, 6 parallel",
}

// String names the family in words.
func (f Family) String() string { return familyNames[f] }

// Tolerances of the classification and of the solutions. Lengths are mm for an
// arm of about a metre.
const (
	parallelTol = 1e-5  // sine of the angle between axes that count as parallel (square)
	meetTol     = 1e-2  // distance between axes that count as meeting, mm: parallelTol at the end of a metre
	reachTol    = 1e-9  // a target this far outside the reach counts as on its edge, mm
	looseTol    = 5e-13 // sine of axis 5 below which axes 4 and 6 count as aligned
	onAxisTol   = 1e-10 // distance from an axis at which its angle counts as free, mm
	edgeTol     = 1e-7  // sine of the elbow below which it counts as stretched or folded
)

// Inverse solves the inverse kinematics of one chain. It is immutable and safe
// for concurrent use.
type Inverse struct {
	chain    *Chain
	family   Family
	casing   casing
	core     canonical // seen from the flange where reversed
	reversed bool
	shift    bool    // the closed loop is cut before axis 6: see canonical.shifted
	polish   bool    // the core is not exactly the chain
	size     float64 // sum of the link lengths, mm
	// reached is the greatest miss that counts as reached, mm: reachTol and the
	// rounding of the chain itself, which matters where axes are all but parallel
	// and the rows of the chain lead far away and back.
	reached float64
	ball    spherical // for the spherical families that don't shift
	planar  parallel  // for the parallel ones
}

// NewInverse classifies the geometry of c and prepares its solution.
//
// Axes count as parallel, square or meeting within 1e-5 rad and 1e-2 mm, so that
// an arm whose file rounds pi/2 to 1.5708 keeps its closed form; where a
// difference is left, every solution is polished on the chain itself and must
// then reach the pose like any other.
func NewInverse(c *Chain) *Inverse {
	v := &Inverse{chain: c, reached: reachTol}
	for i := range c.rows {
		v.reached += 1e-15 * (math.Abs(c.rows[i].A) + math.Abs(c.rows[i].D))
	}
	prismatic := false
	c, moved := c.straightened()
	for i := range c.rows {
		r := &c.rows[i]
		v.size += math.Abs(r.A) + math.Abs(r.D)
		prismatic = prismatic || r.Prismatic
	}
	v.size = math.Max(1, v.size+c.flange.T.Norm())
	if prismatic {
		return v
	}
	core, forth, back, snapped := newCanonical(c)
	turned := core.reversed()
	v.polish = snapped || moved
	for _, try := range [...]struct {
		family   Family
		reversed bool
		shift    bool
	}{
		{SphericalWrist, false, false}, {SphericalShoulder, true, false},
		{Parallel234, false, false}, {Parallel345, true, false},
		{Spherical345, false, true}, {Spherical234, true, true},
		{Parallel123, false, true}, {Parallel456, true, true},
	} {
		v.core, v.casing, v.reversed, v.shift = core, forth, try.reversed, try.shift
		if try.reversed {
			v.core, v.casing = turned, back
		}
		if v.fits(try.family) {
			v.family = try.family
			v.polish = v.polish || v.shift || v.planar.offset()
			return v
		}
	}
	v.reversed, v.shift, v.polish = false, false, false
	return v
}

// fits prepares the solver of a family for the core as it stands.
func (v *Inverse) fits(f Family) bool {
	ok := false
	switch f {
	case SphericalWrist:
		v.ball, ok = fitSpherical(&v.core, &v.casing.off)
	case SphericalShoulder:
		off := Joints(v.casing.off)
		off = mirrored(&off)
		v.ball, ok = fitSpherical(&v.core, (*[6]float64)(&off))
		v.ball.hasSide, v.ball.backwards = false, true
	case Parallel234, Parallel345:
		v.planar, ok = fitParallel(&v.core, v.casing.off[4])
	case Spherical345, Spherical234:
		k := &v.core
		return k.a[2] == 0 && k.a[3] == 0 && k.d[3] == 0 && k.sa[2] != 0 && k.sa[3] != 0
	case Parallel123, Parallel456:
		k := &v.core
		return k.sa[0] == 0 && k.sa[1] == 0 && k.a[0] != 0 && k.a[1] != 0
	}
	return ok
}

// Family returns the solution that fits the arm.
func (v *Inverse) Family() Family { return v.family }

// Solve fills out with all solutions mod 2 pi for the flange pose worldFlange.
// seed chooses among a continuous family of solutions, and starts the numerical
// solver. It allocates nothing.
func (v *Inverse) Solve(worldFlange *Pose, seed *Joints, out *Solutions) {
	out.N, out.HasConfig, out.Singular, out.Residual = 0, false, false, 0
	out.Complete = v.family != Numerical
	if r := &worldFlange.R; !worldFlange.T.Add(r.X).Add(r.Y).Add(r.Z).Finite() {
		out.N, out.Q[0], out.Residual = 1, *seed, math.Inf(1)
		out.Config[0], out.Edge[0], out.Loose[0] = Config{}, Config{}, false
		return
	}
	if v.family == Numerical {
		v.search(worldFlange, seed, out)
		return
	}
	var t Pose
	v.casing.core(worldFlange, &t)
	miss := 0.0
	switch v.family {
	case SphericalWrist:
		miss = v.ball.solve(&t, seed, out)
	case SphericalShoulder:
		miss = v.ball.solve(&t, seed, out)
		for i := range out.N {
			mirror(&out.Q[i])
		}
	case Parallel234:
		th := v.canonical(seed)
		v.planar.solve(&t, &th, out)
		v.casing.remove(out.Q[:out.N])
	default:
		v.solveTurned(&t, v.canonical(seed), out)
		v.casing.remove(out.Q[:out.N])
	}
	v.conclude(worldFlange, seed, miss, out)
}

// conclude polishes what the closed form found where that is not exactly the
// chain's, and looks elsewhere when it found nothing. miss is by how much its
// nearest approach misses, 0 when there is none.
func (v *Inverse) conclude(worldFlange *Pose, seed *Joints, miss float64, out *Solutions) {
	if v.polish {
		if miss > 0 {
			out.N = 0 // near its edges the core's reach is not quite the chain's
		}
		v.polishAll(worldFlange, out)
		if !out.Complete {
			v.gather(worldFlange, seed, out)
		}
		if out.N == 0 {
			v.search(worldFlange, seed, out)
		}
		return
	}
	if miss > 0 {
		out.Residual = miss
		if m, ok := v.slide(worldFlange, &out.Q[0]); ok {
			v.wrap(&out.Q[0])
			if out.Residual = m; m <= v.reached {
				// Next to a singularity, where the closed form fell short.
				out.Residual, out.Complete = 0, false
			}
		}
		out.Config[0], _ = v.ConfigOf(&out.Q[0])
		out.Edge[0], out.Loose[0], out.Singular = Config{}, false, false
	} else if out.N == 0 {
		v.approach(worldFlange, seed, out)
	}
}

// canonical returns the canonical angles of q.
func (v *Inverse) canonical(q *Joints) Joints {
	th := *q
	for i := range th {
		th[i] += v.casing.off[i]
	}
	return th
}

// solveTurned solves by way of the reversed or the shifted arm.
// t is the target for the core and th the seed.
func (v *Inverse) solveTurned(t *Pose, th Joints, out *Solutions) {
	if v.reversed {
		th = mirrored(&th)
	}
	var first, second float64
	if v.shift {
		core, target, f, s, delicate := v.core.shifted(t, v.size)
		first, second = f, s
		out.Complete = !delicate
		th = Joints{th[5] + first, th[0] + second, th[1], th[2], th[3], th[4]}
		v.solveShifted(&core, &target, &th, out)
	} else {
		v.planar.solve(t, &th, out)
	}
	out.HasConfig = false
	for i := range out.N {
		q := &out.Q[i]
		if v.shift {
			*q = Joints{q[1] - second, q[2], q[3], q[4], q[5], q[0] - first}
		}
		if v.reversed {
			*q = mirrored(q)
		}
		for a := range q {
			q[a] = wrapAngle(q[a])
		}
	}
}

func (v *Inverse) solveShifted(core *canonical, target *Pose, th *Joints, out *Solutions) {
	if v.family == Spherical345 || v.family == Spherical234 {
		if w, ok := fitSpherical(core, &[6]float64{}); ok {
			w.accept, w.tilt = almostParallel*v.size, almostParallel
			w.solve(target, th, out)
		}
		return
	}
	if w, ok := fitParallel(core, 0); ok {
		w.accept, w.tilt = almostParallel*v.size, almostParallel
		w.solve(target, th, out)
	}
}

// mirrored returns the angles of the reversed arm.
func mirrored(q *Joints) Joints {
	return Joints{-q[5], -q[4], -q[3], -q[2], -q[1], -q[0]}
}

// mirror does the same in place, for angles in (-pi, pi], and keeps them there.
func mirror(q *Joints) {
	for i := range 3 {
		a, b := -q[i], -q[5-i]
		if a == -math.Pi {
			a = math.Pi
		}
		if b == -math.Pi {
			b = math.Pi
		}
		q[i], q[5-i] = b, a
	}
}
