package kin

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// The Jacobian against central differences of the forward kinematics. With a step
// of 1e-5 the differences are good to the step squared, 1e-10, times the arm's size.
func TestJacobianIsTheDerivative(t *testing.T) {
	const step, tol = 1e-5, 1e-6
	rapid.Check(t, func(t *rapid.T) {
		c := anyChain(t, true)
		q := anyJoints(t, "q")
		p := anyPose(t, "point").T
		var f Frames
		var j Jacobian
		c.Forward(&q, &f)
		c.JacobianAt(&f, f[6].Apply(p), &j)
		for i := range 6 {
			a, b := q, q
			a[i] -= step
			b[i] += step
			var fa, fb Frames
			c.Forward(&a, &fa)
			c.Forward(&b, &fb)
			v := fb[6].Apply(p).Sub(fa[6].Apply(p)).Scale(1 / (2 * step))
			inv := fa[6].R.Inv()
			r := fb[6].R.Mul(&inv)
			axis, angle := r.AxisAngle()
			w := axis.Scale(angle / (2 * step))
			if !near(v, Vec{j[0][i], j[1][i], j[2][i]}, tol) || !near(w, Vec{j[3][i], j[4][i], j[5][i]}, tol) {
				t.Errorf("axis %d: differences %v %v, Jacobian %v %v %v %v %v %v", i+1, v, w, j[0][i], j[1][i], j[2][i], j[3][i], j[4][i], j[5][i])
			}
		}
	})
}

// Every frame is a rotation, and the base carries all of them.
func TestForwardFrames(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyChain(t, true)
		q := anyJoints(t, "q")
		base := anyPose(t, "other base")
		var f, g Frames
		c.Forward(&q, &f)
		moved := c.WithBase(base)
		moved.Forward(&q, &g)
		inv := c.base.Inv()
		shift := base.Mul(&inv)
		for i := range f {
			r := f[i].R
			ri := r.Inv()
			if one := r.Mul(&ri); !nearRot(one, Identity, 1e-13) || !(r.X.Cross(r.Y).Sub(r.Z).Norm() <= 1e-13) {
				t.Errorf("frame %d is no rotation: %v", i, rows(r))
			}
			want := shift.Mul(&f[i])
			if mm, rot := poseDiff(&g[i], &want); mm > tolMM || rot > tolRot {
				t.Errorf("frame %d does not move with the base: off by %g mm, %g", i, mm, rot)
			}
		}
		if moved.Base() != base || moved.Flange() != c.Flange() || moved.Rows() != c.Rows() {
			t.Error("WithBase changed more than the base")
		}
	})
}

// Whole turns of any axis and of the seed make no difference to the set of
// solutions.
func TestSolveTurnsAround(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := arms[rapid.IntRange(0, len(arms)-1).Draw(t, "arm")].chain
		q := anyJoints(t, "q")
		shifted, seed := q, anyJoints(t, "seed")
		far := seed
		for i := range q {
			shifted[i] += 2 * math.Pi * float64(rapid.IntRange(-2, 2).Draw(t, "turns"))
			far[i] += 2 * math.Pi * float64(rapid.IntRange(-2, 2).Draw(t, "turns"))
		}
		if smallest(c, &q) < 1e-4 {
			t.Skip("near singular")
		}
		var f, g Frames
		c.Forward(&q, &f)
		c.Forward(&shifted, &g)
		var a, b Solutions
		c.Inverse().Solve(&f[6], &seed, &a)
		c.Inverse().Solve(&g[6], &far, &b)
		if a.N != b.N {
			t.Fatalf("%d and %d solutions", a.N, b.N)
		}
		for i := range a.N {
			if d := nearestSolution(&b, &a.Q[i]); d > 1e-7 {
				t.Errorf("solution %d is off by %g after whole turns", i, d)
			}
		}
	})
}

// Hot paths allocate nothing, whichever way the inverse goes.
func TestNoAllocations(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 1))
	var f Frames
	var j Jacobian
	var s Solutions
	seed := randomJoints(rng)
	for _, family := range append([]Family{Numerical}, closedFamilies...) {
		c := randomChain(rng, family)
		q := randomJoints(rng)
		c.Forward(&q, &f)
		there, far := f[6], f[6]
		far.T.X += 1e4
		if n := testing.AllocsPerRun(20, func() {
			c.Forward(&q, &f)
			c.JacobianAt(&f, f[6].T, &j)
			j.Smallest(1000)
			c.Inverse().Room(&q, &f)
			c.Inverse().Solve(&there, &seed, &s)
			c.PointBounds(6, Vec{}, 10, nil)
		}); n != 0 {
			t.Errorf("%v: %g allocations", family, n)
		}
		// The mean is rounded down: one allocation of the runtime's own in the
		// meantime does not count, one in every run does.
		if n := testing.AllocsPerRun(5, func() { c.Inverse().Solve(&far, &seed, &s) }); n != 0 {
			t.Errorf("%v, out of reach: %g allocations", family, n)
		}
	}
	for _, a := range arms {
		q := Joints{0.1, 0.2, 0.3, 0.4, 0, 0.5} // aligned wrist
		a.chain.Forward(&q, &f)
		if n := testing.AllocsPerRun(20, func() { a.chain.Inverse().Solve(&f[6], &seed, &s) }); n != 0 {
			t.Errorf("%s: %g allocations", a.name, n)
		}
	}
}

// An arm of a file that rounds pi/2 keeps its closed form, and its solutions reach
// the pose as those of any other.
func TestRoundedTwists(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	for _, a := range arms {
		dh := a.chain.Rows()
		for i := range dh {
			dh[i].Alpha = math.Round(dh[i].Alpha*1e4) / 1e4
			dh[i].D += 1e-5 * rng.Float64()
		}
		c := NewChain(IdentityPose, dh, IdentityPose)
		if f := c.Inverse().Family(); f != a.family {
			t.Errorf("%s: family %v, want %v", a.name, f, a.family)
		}
		for range 200 {
			q := randomJoints(rng)
			var f Frames
			c.Forward(&q, &f)
			var s Solutions
			c.Inverse().Solve(&f[6], &Joints{}, &s)
			checkReached(t, a.name+" with rounded twists", c, &f[6], &s)
			if d := nearestSolution(&s, &q); smallest(c, &q) > 1e-2 && !(d <= 1e-6) {
				t.Errorf("%s with rounded twists: %v missed by %g rad", a.name, q, d)
			}
		}
	}
}

// An arm given by lines that are not quite parallel and don't quite meet, as files
// with few digits give them: the same.
func TestTiltedAxes(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 7))
	noise := func(size float64) Vec {
		return Vec{size * (2*rng.Float64() - 1), size * (2*rng.Float64() - 1), size * (2*rng.Float64() - 1)}
	}
	for _, a := range arms {
		var zero Frames
		a.chain.Forward(&Joints{}, &zero)
		var axes [6]Axis
		for i := range axes {
			axes[i] = Axis{Point: zero[i].T.Add(noise(1e-5)), Dir: zero[i].R.Z.Add(noise(3e-6))}
		}
		c := FromAxes(axes, zero[6])
		if f := c.Inverse().Family(); f != a.family {
			t.Errorf("%s: family %v, want %v", a.name, f, a.family)
		}
		for range 200 {
			q := randomJoints(rng)
			var f, g Frames
			c.Forward(&q, &f)
			var s Solutions
			c.Inverse().Solve(&f[6], &Joints{}, &s)
			// The rows of such an arm lead far away and back, and the forward
			// kinematics itself is rounded by that.
			for i := range s.N {
				c.Forward(&s.Q[i], &g)
				if mm, rot := poseDiff(&g[6], &f[6]); s.Residual > 0 || !(mm <= 1e-5 && rot <= 1e-9) {
					t.Errorf("%s tilted: misses by %g mm, %g, residual %g", a.name, mm, rot, s.Residual)
				}
			}
			if d := nearestSolution(&s, &q); smallest(c, &q) > 1e-2 && !(d <= 1e-6) {
				t.Errorf("%s tilted: %v missed by %g rad", a.name, q, d)
			}
		}
	}
}

func TestSolveNaN(t *testing.T) {
	for _, a := range arms {
		for _, bad := range []Pose{{R: Identity, T: Vec{X: math.NaN()}}, {R: Rot{X: Vec{Y: math.Inf(1)}}}} {
			var s Solutions
			a.chain.Inverse().Solve(&bad, &Joints{}, &s)
			if !math.IsInf(s.Residual, 1) || s.N != 1 {
				t.Errorf("%s: %d solutions, residual %g for %v", a.name, s.N, s.Residual, bad)
			}
		}
	}
}
