package kin

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Arms whose first three axes lie anyhow, a part of their lengths and angles of the
// kind that drawings prefer, read from either end: no solution is missed and none is
// wrong. The seed is fixed.
func TestSkewArms(t *testing.T) {
	arms, poses := 1000, 300
	if testing.Short() {
		arms, poses = 200, 50
	}
	rng := rand.New(rand.NewPCG(13, 1))
	for range arms {
		c := skewChain(rng)
		if c.inv.polish || c.inv.ball.first != skew {
			continue
		}
		for range poses {
			q := randomJoints(rng)
			if !checkFound(t, c.inv.family.String(), c, &q) {
				t.Fatalf("rows %v", c.rows)
			}
		}
	}
}

// skewChain draws an arm with a spherical wrist or shoulder.
func skewChain(rng *rand.Rand) *Chain {
	angles := []float64{0, math.Pi / 2, -math.Pi / 2, 0.4, 1.2, math.Pi}
	c := randomChain(rng, SphericalWrist)
	if rng.IntN(2) == 0 {
		rows := c.rows
		for i := range rows {
			if rng.IntN(2) == 0 {
				rows[i].D = 0
			}
			if rng.IntN(2) == 0 {
				rows[i].Offset = angles[rng.IntN(6)]
			}
			if rng.IntN(2) == 0 {
				rows[i].Alpha = angles[1+rng.IntN(4)]
			}
		}
		c = NewChain(IdentityPose, rows, IdentityPose)
	}
	if rng.IntN(2) == 0 {
		c = turnedRound(c)
	}
	return c
}

// The arms of BenchmarkSolveSpherical: first axes of every kind, wrists square and
// oblique, read from either end. That their rows are computed from lines, with
// rounding where zeros were, does not cost them their closed form.
func TestSphericalShapes(t *testing.T) {
	n := 2000
	if testing.Short() {
		n = 200
	}
	rng := rand.New(rand.NewPCG(13, 2))
	for _, name := range []string{"parallel23", "meet23", "parallel12", "meet12", "skew"} {
		for _, c := range []*Chain{shapedChain(name), obliqueChain(name)} {
			for _, end := range []*Chain{c, turnedRound(c), turnedRound(turnedRound(c))} {
				if end.inv.polish {
					t.Errorf("%s, %v: solutions are polished for nothing but rounding", name, end.inv.family)
				}
				for range n {
					q := randomJoints(rng)
					checkFound(t, name+", "+end.inv.family.String(), end, &q)
				}
			}
		}
	}
}

// Axes 4 and 6 all but on a line where axis 5 is at the end of what it can do, but not
// quite: the orientation is kept to the last digits there too.
func TestObliqueWristNearItsEnd(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 3))
	for k := range 12 {
		rows := shapedRows("skew")
		rows[3][1], rows[4][1] = 77, 77+math.Pow(10, 1-float64(k))
		c := chainDeg(rows)
		if c.inv.polish {
			t.Fatal("polished")
		}
		for n := range 200 {
			q := randomJoints(rng)
			q[4] = wrapAngle(math.Pi*float64(n%2) + math.Pow(10, -8*rng.Float64()))
			var f Frames
			var s Solutions
			c.Forward(&q, &f)
			c.inv.Solve(&f[6], &q, &s)
			checkReached(t, "oblique wrist", c, &f[6], &s)
		}
	}
}

// The wrist centre next to axis 1 and two solutions within rounding of falling
// together: the quartic shows one root, at which it does not quite reach zero, and
// neither solution is within Newton's grasp from there.
func TestTouchingRoot(t *testing.T) {
	c := NewChain(IdentityPose, [6]DH{
		{Alpha: -0.38851185567931185, D: 159.40724698564463, Offset: -1.1720366483227593},
		{Alpha: 0.3962947781110399, Offset: -0.2708142313628867},
		{A: 103.34493760720827, Alpha: 2.242821700101682, D: -17.520898420408912, Offset: 1.7466533101613324},
		{A: 106.39507924884592, Alpha: 0.9951835044013526, D: 129.0628193403131, Offset: 0.2627136855389641},
		{A: 1.4613558062863987, Alpha: -1.9319689178325934, D: -108.92948621938459, Offset: -0.2849027134110639},
		{D: 75.6956306839164},
	}, IdentityPose)
	q := Joints{-1.3834534067694289, -0.29709368998097796, 2.1676530947651753, 1.8799310146170067, 2.959420055454555, -0.7542430220212786}
	var f Frames
	var s Solutions
	c.Forward(&q, &f)
	c.inv.Solve(&f[6], &Joints{}, &s)
	checkReached(t, "touching root", c, &f[6], &s)
	if d := nearestSolution(&s, &q); !(d <= 1e-6) {
		t.Errorf("missed by %g rad among %d solutions", d, s.N)
	}
}
