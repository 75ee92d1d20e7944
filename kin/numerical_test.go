package kin

import (
	"math/rand/v2"
	"testing"
)

// solveRate solves reachable poses of random arms without a closed form and
// returns the share that is found, from starts that know nothing of the answer.
func solveRate(t *testing.T, arm func(*rand.Rand) *Chain, n int) float64 {
	t.Helper()
	rng := rand.New(rand.NewPCG(5, 1))
	found := 0
	for range n {
		c := arm(rng)
		if f := c.Inverse().Family(); f != Numerical {
			t.Fatalf("family %v, want none", f)
		}
		q := randomJoints(rng)
		for i := range q {
			if c.Prismatic(i) {
				q[i] *= 100
			}
		}
		var f Frames
		c.Forward(&q, &f)
		var s Solutions
		c.Inverse().Solve(&f[6], &Joints{}, &s)
		if s.Residual == 0 {
			found++
			checkReached(t, "numerical", c, &f[6], &s)
		}
		if s.N != 1 || s.Complete {
			t.Errorf("%d solutions, complete is %v", s.N, s.Complete)
		}
	}
	return float64(found) / float64(n)
}

// The rates that [Inverse.Solve] states.
func TestNumericalSuccessRate(t *testing.T) {
	n := 2000
	if testing.Short() {
		n = 200
	}
	general := func(rng *rand.Rand) *Chain { return randomChain(rng, Numerical) }
	if rate := solveRate(t, general, n); rate < 0.999 {
		t.Errorf("six revolute axes: %.4f found, want 0.999", rate)
	} else {
		t.Logf("six revolute axes: %.4f found", rate)
	}
	mixed := func(rng *rand.Rand) *Chain {
		for {
			if c := randomMixed(rng); c.inv.family == Numerical {
				return c
			}
		}
	}
	if rate := solveRate(t, mixed, n); rate < 0.99 {
		t.Errorf("with prismatic axes: %.4f found, want 0.99", rate)
	} else {
		t.Logf("with prismatic axes: %.4f found", rate)
	}
}

func BenchmarkNumerical(b *testing.B) {
	rng := rand.New(rand.NewPCG(11, 3))
	c := randomChain(rng, Numerical)
	_, f := benchPoses(c)
	inv := c.Inverse()
	var s Solutions
	var seed Joints
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		inv.Solve(&f[i&63][6], &seed, &s)
		i++
	}
}
