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

// MaxSolutions is the greatest number of isolated solutions of any arm with six
// revolute axes (E. J. F. Primrose, 1986; H.-Y. Lee and C.-G. Liang, 1988).
const MaxSolutions = 16

// Solutions holds the answers of [Inverse.Solve].
type Solutions struct {
	N int
	Q [MaxSolutions]Joints // revolute axes in (-pi, pi]
	// Config of each solution, where HasConfig is true. A solution that lies on
	// an alignment belongs to both of its sides: Edge marks those sides.
	Config    [MaxSolutions]Config
	Edge      [MaxSolutions]Config
	HasConfig bool
	// Complete says that these are all solutions: every closed form's answer is.
	Complete bool
	// Singular says that at least one solution belongs to a continuous family:
	// two or more axes can turn against each other with the flange at rest.
	// Loose marks those solutions; Q then holds a member near the seed: with
	// axis 1 aligned the one with the seed's axis 1, with axes 4 and 6 aligned
	// the one nearest to the seed.
	Singular bool
	Loose    [MaxSolutions]bool
	// Residual is 0 when the pose is reached. Otherwise N is 1, Q[0] is the
	// nearest approach that was found with the orientation kept, and Residual
	// the distance in mm by which it misses. Where no answer keeps the
	// orientation, its error in rad counts as so many times the sum of the arm's
	// link lengths. A pose with a NaN in it is out of reach by infinitely much.
	Residual float64
}

// Tolerances of the classification and of the solutions. Lengths are mm for an
// arm of about a metre.
const (
	parallelTol = 1e-5  // sine of the angle between axes that count as parallel (square)
	meetTol     = 1e-3  // distance between axes that count as meeting, mm
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
	shift    bool // the closed loop is cut before axis 6: see canonical.shifted
	polish   bool // the core is not exactly the chain
	size     float64
	ball     spherical // for the spherical families that don't shift
	planar   parallel  // for the parallel ones
}

// NewInverse classifies the geometry of c and prepares its solution.
//
// Axes count as parallel, square or meeting within 1e-5 rad and 1e-3 mm, so that
// an arm whose file rounds pi/2 to 1.5708 keeps its closed form; where a
// difference is left, every solution is polished on the chain itself and must
// then reach the pose like any other.
func NewInverse(c *Chain) *Inverse {
	v := &Inverse{chain: c}
	prismatic := false
	for i := range c.rows {
		r := &c.rows[i]
		v.size += math.Abs(r.A) + math.Abs(r.D)
		prismatic = prismatic || r.Prismatic
	}
	v.size += c.flange.T.Norm()
	if prismatic {
		return v
	}
	core, casing, snapped := newCanonical(c)
	back := core.reversed()
	v.casing, v.polish = casing, snapped
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
		v.core, v.reversed, v.shift = core, try.reversed, try.shift
		if try.reversed {
			v.core = back
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
	off5 := v.casing.off[4]
	ok := false
	switch f {
	case SphericalWrist, SphericalShoulder:
		v.ball, ok = fitSpherical(&v.core, off5)
	case Parallel234, Parallel345:
		v.planar, ok = fitParallel(&v.core, off5)
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
	miss := 0.0
	switch v.family {
	case Numerical:
		v.search(worldFlange, seed, out)
		return
	case SphericalWrist:
		t := v.casing.core(worldFlange)
		th := v.canonical(seed)
		miss = v.ball.solve(&t, &th, out)
	case Parallel234:
		t := v.casing.core(worldFlange)
		th := v.canonical(seed)
		v.planar.solve(&t, &th, out)
	default:
		miss = v.solveTurned(worldFlange, seed, out)
	}
	v.casing.remove(out.Q[:out.N])
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
func (v *Inverse) solveTurned(worldFlange *Pose, seed *Joints, out *Solutions) (miss float64) {
	t := v.casing.core(worldFlange)
	th := v.canonical(seed)
	if v.reversed {
		t = t.Inv()
		th = mirrored(&th)
	}
	var first, second float64
	if v.shift {
		core, target, f, s, delicate := v.core.shifted(&t, v.size)
		first, second = f, s
		out.Complete = !delicate
		th = Joints{th[5] + first, th[0] + second, th[1], th[2], th[3], th[4]}
		v.solveShifted(&core, &target, &th, out)
	} else if v.family == SphericalShoulder {
		miss = v.ball.solve(&t, &th, out)
	} else {
		v.planar.solve(&t, &th, out)
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
	return miss
}

func (v *Inverse) solveShifted(core *canonical, target *Pose, th *Joints, out *Solutions) {
	if v.family == Spherical345 || v.family == Spherical234 {
		if w, ok := fitSpherical(core, 0); ok {
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

// hasSide reports whether the arm has the three alignments that Config and Room
// speak of.
func (v *Inverse) hasSide() bool {
	return v.family == SphericalWrist && v.ball.hasSide || v.family == Parallel234 && v.planar.hasSide()
}

// Is reports whether solution i has the configuration c, on either side of an
// alignment on which it lies. It is true for an arm without configurations.
func (s *Solutions) Is(i int, c Config) bool {
	own, edge := s.Config[i], s.Edge[i]
	return !s.HasConfig || (own.Back == c.Back || edge.Back) && (own.Down == c.Down || edge.Down) && (own.Flipped == c.Flipped || edge.Flipped)
}

// edges marks the alignments on which the measures of a solution lie.
func edges(front, elbow, wrist float64) Config {
	return Config{Back: math.Abs(front) <= reachTol, Down: math.Abs(elbow) <= edgeTol, Flipped: math.Abs(wrist) <= looseTol}
}

// ConfigOf returns the configuration at q, false when the arm has none.
func (v *Inverse) ConfigOf(q *Joints) (Config, bool) {
	if !v.hasSide() {
		return Config{}, false
	}
	th := v.canonical(q)
	if v.family == Parallel234 {
		return v.planar.config(v.planar.alignments(&th)), true
	}
	return v.ball.config(v.ball.alignments(&th)), true
}

// Room is the distance of a configuration to the arm's alignments, for arms
// whose geometry has them.
type Room struct {
	Wrist    float64 // rad: axis 5 to the angle at which axis 6 lines up with axis 4, or with axes 2 to 4 where those are parallel
	Elbow    float64 // rad: axis 3 to stretched or folded
	Shoulder float64 // mm: wrist centre to the plane through axis 1 and the direction of axis 2

	HasWrist, HasElbow, HasShoulder bool
}

// Room measures the distance to each alignment at q, with the frames f that
// belong to it.
func (v *Inverse) Room(q *Joints, f *Frames) Room {
	th5 := q[4] + v.casing.off[4]
	if !v.hasSide() {
		if v.family == SphericalWrist {
			return Room{Wrist: toMultipleOfPi(th5), HasWrist: true}
		}
		return Room{}
	}
	r := Room{Wrist: toMultipleOfPi(th5), HasWrist: true, HasElbow: true, HasShoulder: true}
	elbow := q[2] + v.casing.off[2]
	centre := &f[5].T // where axes 5 and 6 meet
	if v.family == SphericalWrist {
		elbow += v.ball.phi.angle()
	}
	r.Elbow = toMultipleOfPi(elbow)
	r.Shoulder = math.Abs(centre.Sub(f[0].T).Dot(f[1].R.X))
	return r
}

// RoomRate bounds how fast the measures of [Inverse.Room] change: between two
// configurations a measure differs by at most the sum over the axes of
// rate[i] * |change of q[i]|. Where the arm lacks a measure its rates are 0.
//
// Wrist and elbow are distances of one angle to a fixed set of angles, which
// change by no more than the angle. The signed shoulder measure is
//
//	a1 + a2 cos(th2) + l cos(th2 +- th3 + const)                          spherical wrist
//	a1 + a2 cos(th2) + a3 cos(th2 +- th3) + e cos(th2 +- th3 +- th4 + const)  axes 2, 3, 4 parallel
//
// with l and e the lengths of the last link in the arm's plane, so its derivative
// by an axis is at most the sum of the lengths beyond that axis.
func (v *Inverse) RoomRate() (wrist, elbow, shoulder Joints) {
	switch {
	case v.family == SphericalWrist:
		wrist[4] = 1
		if v.hasSide() {
			elbow[2] = 1
			shoulder[1] = math.Abs(v.core.a[1]) + v.ball.l
			shoulder[2] = v.ball.l
		}
	case v.hasSide():
		wrist[4], elbow[2] = 1, 1
		shoulder[3] = v.planar.e
		shoulder[2] = v.planar.e + v.planar.l
		shoulder[1] = v.planar.e + v.planar.l + math.Abs(v.core.a[1])
	}
	return wrist, elbow, shoulder
}

// toMultipleOfPi returns the distance of an angle to the nearest multiple of pi.
func toMultipleOfPi(a float64) float64 { return math.Abs(math.Remainder(a, math.Pi)) }
