package kin

import (
	"math"
	"math/rand/v2"
	"testing"
)

// turnOf against math.Sincos: within and beyond the range of its own reduction, at
// and around the directions of the compass.
func TestTurnOf(t *testing.T) {
	check := func(a float64) {
		s, c := math.Sincos(a)
		if got := turnOf(a); !(math.Abs(got.s-s) <= 3e-16 && math.Abs(got.c-c) <= 3e-16) {
			t.Errorf("at %g: %.17g %.17g, want %.17g %.17g", a, got.c, got.s, c, s)
		}
	}
	rng := rand.New(rand.NewPCG(1, 2))
	for range 300000 {
		check((2*rng.Float64() - 1) * 2 * math.Pi)
		check((2*rng.Float64() - 1) * 1e5)
	}
	for k := -200; k <= 200; k++ {
		for e := -18; e < 0; e++ {
			d := math.Pow(10, float64(e))
			check(float64(k)*math.Pi/32 + d)
			check(float64(k)*math.Pi/32 - d)
		}
	}
	for _, a := range []float64{0, math.Copysign(0, -1), 1e-300, 102943, 102944, 1e6, -1e9, 1e15} {
		check(a)
	}
	for _, a := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got := turnOf(a); !math.IsNaN(got.c) || !math.IsNaN(got.s) {
			t.Errorf("at %g: %v, want NaN", a, got)
		}
	}
}
