package kin

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// familyChain draws an arm of a family: the three axes that make the family as
// they must be, all else at random, with special values often.
func familyChain(t *rapid.T, f Family) *Chain {
	length := rapid.SampledFrom([]float64{0, 0, 35, 120, -80, 410})
	twist := rapid.SampledFrom([]float64{0, math.Pi / 2, -math.Pi / 2, math.Pi / 2, -math.Pi / 2, math.Pi, 0.4, -1.1})
	bent := rapid.SampledFrom([]float64{math.Pi / 2, -math.Pi / 2, math.Pi / 2, -math.Pi / 2, 0.7, -1.2})
	long := rapid.SampledFrom([]float64{300, 410, 262, -350})
	var dh [6]DH
	for i := range dh {
		dh[i] = DH{
			A: length.Draw(t, "a"), Alpha: twist.Draw(t, "alpha"), D: length.Draw(t, "d"),
			Offset: rapid.SampledFrom([]float64{0, math.Pi / 2, -math.Pi / 2, math.Pi, 0.3, -2}).Draw(t, "offset"),
		}
	}
	meet := func(i int) {
		dh[i].A, dh[i+1].A, dh[i+1].D = 0, 0, 0
		dh[i].Alpha, dh[i+1].Alpha = bent.Draw(t, "bent"), bent.Draw(t, "bent")
	}
	along := func(i int) {
		dh[i].A, dh[i+1].A = long.Draw(t, "long"), long.Draw(t, "long")
		dh[i].Alpha = rapid.SampledFrom([]float64{0, math.Pi}).Draw(t, "parallel")
		dh[i+1].Alpha = rapid.SampledFrom([]float64{0, math.Pi}).Draw(t, "parallel")
	}
	switch f {
	case SphericalShoulder:
		meet(0)
	case Spherical234:
		meet(1)
	case Spherical345:
		meet(2)
	case SphericalWrist:
		meet(3)
	case Parallel123:
		along(0)
	case Parallel234:
		along(1)
	case Parallel345:
		along(2)
	case Parallel456:
		along(3)
	}
	return NewChain(anyPose(t, "base"), dh, anyPose(t, "flange"))
}

var closedFamilies = []Family{
	SphericalWrist, SphericalShoulder, Spherical234, Spherical345,
	Parallel234, Parallel345, Parallel123, Parallel456,
}

// smallest returns the smallest singular value with lengths in units of the
// arm's size.
func smallest(c *Chain, q *Joints) float64 {
	var f Frames
	var j Jacobian
	c.Forward(q, &f)
	c.JacobianAt(&f, f[6].T, &j)
	s, _ := j.Smallest(math.Max(1, c.inv.size))
	return s
}

// FK(IK(T)) = T for every solution, and the configuration that a pose was made
// from is among its solutions: as every solution of a pose can be the one that
// it was made from, none is missed.
func TestSolveFindsEverySolution(t *testing.T) {
	for _, f := range closedFamilies {
		t.Run(f.String(), func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				c := familyChain(t, f)
				inv := c.Inverse()
				if inv.Family() == Numerical {
					t.Skip("degenerate arm")
				}
				q := anyJoints(t, "q")
				if smallest(c, &q) < 1e-3 {
					t.Skip("near singular: tested apart")
				}
				var frames Frames
				c.Forward(&q, &frames)
				var s Solutions
				inv.Solve(&frames[6], &Joints{}, &s)
				checkReached(t, inv.Family().String(), c, &frames[6], &s)
				if d := nearestSolution(&s, &q); s.Complete && !(d <= 1e-7) {
					t.Errorf("%v: %v missed by %g rad among %d solutions", inv.Family(), q, d, s.N)
				}
				for i := range s.N {
					for k := range i {
						if d := jointDiff(&s.Q[i], &s.Q[k]); d < 1e-9 && !s.Loose[i] {
							t.Errorf("%v: solutions %d and %d are the same", inv.Family(), k, i)
						}
					}
				}
			})
		})
	}
}

// The same with continuous random numbers, which come near no special case, on
// arms with the family's axes and nothing else special. The seed is fixed.
func TestSolveRandom(t *testing.T) {
	n := 200
	if testing.Short() {
		n = 20
	}
	for i, f := range closedFamilies {
		rng := rand.New(rand.NewPCG(3, uint64(i)))
		for range n {
			c := randomChain(rng, f)
			inv := c.Inverse()
			if inv.Family() != f {
				t.Fatalf("family %v, want %v", inv.Family(), f)
			}
			for range 20 {
				q := randomJoints(rng)
				if smallest(c, &q) < 1e-4 {
					continue
				}
				var frames Frames
				c.Forward(&q, &frames)
				var s Solutions
				inv.Solve(&frames[6], &Joints{}, &s)
				checkReached(t, f.String(), c, &frames[6], &s)
				if d := nearestSolution(&s, &q); !(d <= 1e-7) {
					t.Errorf("%v: %v missed by %g rad among %d solutions", f, q, d, s.N)
				}
			}
		}
	}
}

func randomJoints(rng *rand.Rand) Joints {
	var q Joints
	for i := range q {
		q[i] = (2*rng.Float64() - 1) * math.Pi
	}
	return q
}

// randomChain draws an arm of a family with everything else skew.
func randomChain(rng *rand.Rand, f Family) *Chain {
	var dh [6]DH
	for i := range dh {
		dh[i] = DH{
			A: 400*rng.Float64() - 200, Alpha: math.Copysign(0.3+2.5*rng.Float64(), rng.Float64()-0.5),
			D: 400*rng.Float64() - 200, Offset: 6*rng.Float64() - 3,
		}
	}
	first := map[Family]int{
		SphericalShoulder: 0, Spherical234: 1, Spherical345: 2, SphericalWrist: 3,
		Parallel123: 0, Parallel234: 1, Parallel345: 2, Parallel456: 3,
	}[f]
	switch f {
	case SphericalShoulder, Spherical234, Spherical345, SphericalWrist:
		dh[first].A, dh[first+1].A, dh[first+1].D = 0, 0, 0
	case Numerical:
	default:
		dh[first].Alpha, dh[first+1].Alpha = 0, 0
	}
	return NewChain(IdentityPose, dh, IdentityPose)
}

// randomMixed draws an arm of revolute and prismatic axes.
func randomMixed(rng *rand.Rand) *Chain {
	var dh [6]DH
	for i := range dh {
		dh[i] = DH{
			A: 400*rng.Float64() - 200, Alpha: 6*rng.Float64() - 3,
			D: 400*rng.Float64() - 200, Offset: 6*rng.Float64() - 3,
			Prismatic: rng.IntN(3) == 0,
		}
	}
	return NewChain(IdentityPose, dh, IdentityPose)
}

// At every distance from a singular configuration of any kind, down to none: the
// solutions that are given reach the pose, and the one it was made from is found as
// well as its conditioning allows.
func TestSolveNearSingular(t *testing.T) {
	n := 25
	if testing.Short() {
		n = 5
	}
	rng := rand.New(rand.NewPCG(3, 99))
	var chains []*Chain
	for _, name := range []string{"meet23", "parallel12", "meet12", "skew"} {
		chains = append(chains, shapedChain(name))
	}
	for _, a := range arms {
		chains = append(chains, a.chain)
	}
	for _, f := range closedFamilies {
		chains = append(chains, randomChain(rng, f), randomChain(rng, f))
	}
	for _, c := range chains {
		for range n {
			q, axis, ok := singularOn(rng, c)
			if !ok {
				continue
			}
			for k := range 14 {
				r := q
				if k < 13 {
					r[axis] += math.Pow(10, -float64(k))
				}
				checkNearSingular(t, c, &r, k)
			}
		}
	}
}

func checkNearSingular(t *testing.T, c *Chain, q *Joints, k int) {
	t.Helper()
	var f Frames
	c.Forward(q, &f)
	var s Solutions
	c.Inverse().Solve(&f[6], q, &s)
	if s.Residual > 0 {
		t.Errorf("%v, 1e-%d from singular at %v: residual %g mm", c.inv.Family(), k, *q, s.Residual)
		return
	}
	checkReached(t, c.inv.Family().String(), c, &f[6], &s)
	// Rounding of the pose, over the smallest singular value; or its square root,
	// where two solutions are about to part. The rounding of an arm of 1 to 2 m is
	// some 3e-13 mm, which the conditioning of the closed form's own steps multiplies.
	if d := nearestSolution(&s, q); s.Complete && !s.Singular && !(d*smallest(c, q) <= 1e-10) && !(d <= 1e-5) {
		t.Errorf("%v, 1e-%d from singular: %v missed by %g rad among %d solutions, smallest singular value %g", c.inv.Family(), k, *q, d, s.N, smallest(c, q))
	}
}

// singularOn looks for a singular configuration by turning one axis until the
// Jacobian's determinant changes its sign.
func singularOn(rng *rand.Rand, c *Chain) (q Joints, axis int, ok bool) {
	q = randomJoints(rng)
	axis = 1 + rng.IntN(4)
	at := func(x float64) float64 {
		r := q
		r[axis] = x
		return det(c, r)
	}
	lo := -math.Pi
	for hi := lo + 0.1; hi < math.Pi; hi += 0.1 {
		if at(lo)*at(hi) >= 0 {
			lo = hi
			continue
		}
		for range 60 {
			if mid := (lo + hi) / 2; at(lo)*at(mid) < 0 {
				hi = mid
			} else {
				lo = mid
			}
		}
		q[axis] = lo
		return q, axis, true
	}
	return q, axis, false
}
