package kin

import "math"

// Family says which solution an arm's geometry allows.
type Family uint8

// The families.
const (
	Numerical      Family = iota // none of the closed forms: damped least squares
	SphericalWrist               // axes 4, 5, 6 meet in a point
)

// String names the family in words.
func (f Family) String() string {
	switch f {
	case SphericalWrist:
		return "spherical wrist"
	}
	return "numerical"
}

// MaxSolutions is the greatest number of isolated solutions of any arm with
// six revolute axes (E. J. F. Primrose, 1986; H.-Y. Lee and C.-G. Liang, 1988).
const MaxSolutions = 16

// Solutions holds the answers of [Inverse.Solve].
type Solutions struct {
	N int
	Q [MaxSolutions]Joints // revolute axes in (-pi, pi]
	// Config of each solution, where HasConfig is true.
	Config    [MaxSolutions]Config
	HasConfig bool
	// Singular says that at least one solution belongs to a continuous family:
	// two or more axes can turn against each other with the flange at rest.
	// Loose marks those solutions; Q then holds the member nearest the seed.
	Singular bool
	Loose    [MaxSolutions]bool
	// Residual is 0 when the pose is reached. Otherwise Q[0] is the nearest
	// answer found, and Residual the distance in mm by which it misses.
	Residual float64
}

// Tolerances of the classification and of the solutions. Lengths are mm for an
// arm of about a metre.
const (
	parallelTol = 1e-9  // sine of the angle between axes that count as parallel
	meetTol     = 1e-9  // distance between axes that count as meeting, mm
	reachTol    = 1e-9  // a target this far outside the reach counts as on its edge, mm
	looseTol    = 1e-12 // sine of axis 5 below which axes 4 and 6 count as aligned
	onAxisTol   = 1e-10 // distance from axis 1 at which its angle counts as free, mm
)

// Inverse solves the inverse kinematics of one chain. It is immutable and safe
// for concurrent use.
type Inverse struct {
	chain  *Chain
	k      canonical
	family Family
	sw     sphericalWrist
}

// NewInverse classifies the geometry of c and prepares its solution.
func NewInverse(c *Chain) *Inverse {
	v := &Inverse{chain: c, k: newCanonical(c)}
	k := &v.k
	if !k.anyPrismatic && v.sw.fits(k) {
		v.family = SphericalWrist
	}
	return v
}

// Family returns the solution that fits the arm.
func (v *Inverse) Family() Family { return v.family }

// Solve fills out with all solutions mod 2 pi for the flange pose worldFlange.
// seed chooses among a continuous family of solutions, and starts the numerical
// solver. It allocates nothing.
func (v *Inverse) Solve(worldFlange *Pose, seed *Joints, out *Solutions) {
	out.N, out.HasConfig, out.Singular, out.Residual = 0, false, false, 0
	if v.family == SphericalWrist {
		t := v.k.core(worldFlange)
		v.sw.solve(&v.k, &t, seed, out)
		return
	}
	v.solveNumerical(worldFlange, seed, out)
}

// ConfigOf returns the configuration at q, false when the arm has none.
func (v *Inverse) ConfigOf(q *Joints) (Config, bool) {
	if v.family != SphericalWrist {
		return Config{}, false
	}
	x, s3, s5 := v.sw.alignments(&v.k, q)
	return v.sw.config(x, s3, s5), true
}

// Room is the distance of a configuration to the arm's alignments, for arms
// whose geometry has them.
type Room struct {
	Wrist    float64 // rad: axis 5 to the angle at which axes 4 and 6 align
	Elbow    float64 // rad: axis 3 to stretched or folded
	Shoulder float64 // mm: wrist centre to the plane through axis 1 parallel to axis 2

	HasWrist, HasElbow, HasShoulder bool
}

// Room measures the distance to each alignment at q, with the frames f that
// belong to it.
func (v *Inverse) Room(q *Joints, f *Frames) Room {
	if v.family != SphericalWrist {
		return Room{}
	}
	x := f[4].T.Sub(f[0].T).Dot(f[1].R.X)
	return Room{
		Wrist:    toMultipleOfPi(q[4] + v.k.off[4]),
		Elbow:    toMultipleOfPi(q[2] + v.k.off[2] + v.sw.sigma*v.sw.phi),
		Shoulder: math.Abs(x),
		HasWrist: true, HasElbow: true, HasShoulder: true,
	}
}

// RoomRate bounds how fast the measures of [Inverse.Room] change: between two
// configurations a measure differs by at most the sum over the axes of
// rate[i] * |change of q[i]|.
//
// Wrist and elbow are distances of one angle to a fixed set. The signed
// shoulder measure is a1 + a2 cos(th2) + l cos(th2 + th3 + const), with l the
// distance of the wrist centre from axis 3, so its derivatives are at most
// a2 + l and l.
func (v *Inverse) RoomRate() (wrist, elbow, shoulder Joints) {
	if v.family == SphericalWrist {
		wrist[4], elbow[2] = 1, 1
		shoulder[1] = math.Abs(v.k.a[1]) + v.sw.l
		shoulder[2] = v.sw.l
	}
	return wrist, elbow, shoulder
}

// toMultipleOfPi returns the distance of an angle to the nearest multiple of pi.
func toMultipleOfPi(a float64) float64 { return math.Abs(math.Remainder(a, math.Pi)) }
