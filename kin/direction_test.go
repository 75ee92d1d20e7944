package kin

import (
	"math"
	"math/rand/v2"
	"testing"
)

// angle against math.Atan2, everywhere and on the edges of the eighths.
func TestAngle(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	check := func(a float64) {
		s, c := math.Sincos(a)
		want := math.Atan2(s, c)
		if want <= -math.Pi {
			want = math.Pi
		}
		if got := (turn{c, s}).angle(); !(math.Abs(got-want) <= 5e-16) {
			t.Errorf("angle of (%g, %g) = %.17g, want %.17g", c, s, got, want)
		}
	}
	for range 200000 {
		check((2*rng.Float64() - 1) * math.Pi)
	}
	for k := -8; k <= 8; k++ {
		for e := -18; e < 0; e++ {
			d := math.Pow(10, float64(e))
			check(float64(k)*math.Pi/4 + d)
			check(float64(k)*math.Pi/4 - d)
		}
	}
	for _, c := range []struct {
		t    turn
		want float64
	}{
		{turn{1, 0}, 0}, {turn{1, math.Copysign(0, -1)}, 0}, {turn{0, 1}, math.Pi / 2}, {turn{0, -1}, -math.Pi / 2},
		{turn{-1, 0}, math.Pi}, {turn{-1, math.Copysign(0, -1)}, math.Pi}, {turn{-1, -1e-300}, math.Pi},
	} {
		if got := c.t.angle(); got != c.want {
			t.Errorf("angle of %v = %.17g, want %.17g", c.t, got, c.want)
		}
	}
	if got := (turn{math.NaN(), math.NaN()}).angle(); !math.IsNaN(got) {
		t.Errorf("angle of NaN = %g", got)
	}
}
