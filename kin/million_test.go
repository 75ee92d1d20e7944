package kin

import (
	"math"
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"
	"testing"
)

// A million random poses of each built-in arm: the configuration that made a pose
// is among its solutions, all of which reach it to 1e-9 mm. As the configuration
// is random, each solution of a pose is as likely to be the one that made it: if
// one could be missed, some would be.
//
// About 16 s on one core; -short leaves it out.
func TestMillionPoses(t *testing.T) {
	if testing.Short() {
		t.Skip("a million poses an arm")
	}
	const chunk = 10_000
	for _, name := range []string{"hazel", "aspen", "rowan", "alder"} {
		c := armNamed(t, name)
		var next atomic.Uint64
		var wg sync.WaitGroup
		for range runtime.GOMAXPROCS(0) {
			wg.Go(func() {
				for seed := next.Add(1); seed <= millionPoses/chunk; seed = next.Add(1) {
					rng := rand.New(rand.NewPCG(2024, seed))
					for range chunk {
						q := randomJoints(rng)
						if !checkFound(t, name, c, &q) {
							return
						}
					}
				}
			})
		}
		wg.Wait()
	}
}

// checkFound solves for the pose at q and checks every solution.
func checkFound(t reporter, name string, c *Chain, q *Joints) bool {
	var f, g Frames
	var s Solutions
	c.Forward(q, &f)
	c.inv.Solve(&f[6], &Joints{}, &s)
	ok := s.Residual == 0 && s.N > 0
	least := math.Inf(1)
	for i := range s.N {
		c.Forward(&s.Q[i], &g)
		if mm, _ := poseDiff(&g[6], &f[6]); !(mm <= tolMM) {
			t.Errorf("%s at %v: solution %d misses by %g mm", name, *q, i, mm)
			ok = false
		}
		least = math.Min(least, jointDiff(&s.Q[i], q))
	}
	// Rounding in the pose, 1e-15 of it, moves the axes by that over the smallest
	// singular value.
	if !(least <= 1e-9) && !(least*smallest(c, q) <= 1e-11) {
		t.Errorf("%s: %v missed by %g rad among %d solutions", name, *q, least, s.N)
		ok = false
	}
	return ok
}
