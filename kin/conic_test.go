package kin

import (
	"math"
	"sort"
	"testing"

	"pgregory.net/rapid"
)

// meet returns the unit vectors on a c^2 + b c s + d c + e s + f = 0.
func meet(a, b, d, e, f float64, out *[4]turn) int {
	k := newConic(a, b)
	n, _ := k.onCircle(d, e, f, out)
	return n
}

// Conics built from two straight lines that cut the unit circle at known angles:
// all four intersections must be found.
func TestOnCircleFindsAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		angle := rapid.Float64Range(-math.Pi, math.Pi)
		var want [4]float64
		for i := range want {
			want[i] = angle.Draw(t, "root")
		}
		sort.Float64s(want[:])
		for i := range want {
			if math.Abs(math.Remainder(want[i]-want[(i+1)%4], 2*math.Pi)) < 1e-3 {
				t.Skip("roots too close to tell apart")
			}
		}
		// The line through the points at u and v has the normal at (u+v)/2.
		line := func(u, v float64) (x, y, k float64) {
			s, c := math.Sincos((u + v) / 2)
			return c, s, math.Cos((u - v) / 2)
		}
		x1, y1, k1 := line(want[0], want[2])
		x2, y2, k2 := line(want[1], want[3])
		// (x1 c + y1 s - k1)(x2 c + y2 s - k2), with s^2 = 1 - c^2
		a := x1*x2 - y1*y2
		b := x1*y2 + x2*y1
		d := -(x1*k2 + x2*k1)
		e := -(y1*k2 + y2*k1)
		f := k1*k2 + y1*y2
		var out [4]turn
		n := meet(a, b, d, e, f, &out)
		if n != 4 {
			t.Fatalf("%d roots, want 4: %v", n, out[:n])
		}
		for i := range want {
			least := math.Inf(1)
			for _, r := range out[:n] {
				least = math.Min(least, math.Abs(math.Remainder(r.angle()-want[i], 2*math.Pi)))
			}
			// The slope at a root is the product of the distances to the others.
			slope := 1.0
			for j := range want {
				if j != i {
					slope *= math.Abs(math.Sin((want[i] - want[j]) / 2))
				}
			}
			if least > 1e-12+1e-13/slope {
				t.Errorf("root %.15g missed by %g", want[i], least)
			}
		}
	})
}

func TestOnCircleDegenerate(t *testing.T) {
	for _, c := range []struct {
		name          string
		a, b, d, e, f float64
		want          int
	}{
		{"nothing at all", 0, 0, 0, 0, 0, 0},
		{"a straight line", 0, 0, 1, 0, -0.5, 2},
		{"a line that touches", 0, 0, 1, 0, -1, 1},
		{"a line that misses", 0, 0, 1, 0, -1.5, 0},
		{"two parallel lines", 1, 0, 0, 0, -0.25, 4},
		{"two upright lines", 1, 0, 0.2, 0, -0.3, 4},
		{"two level lines", 1, 0, 0, 0.2, -0.7, 4},
		{"two level lines, one outside", 1, 0, 0, 2, 0.5, 2},
		{"two level lines outside", 1, 0, 0, -2.5, 2.6, 0},
		{"two level lines but for rounding", 1, 0, 1e-17, -0.2, -0.7, 4},
		{"two upright lines but for rounding", 1, 0, 0.2, -1e-17, -0.3, 4},
		{"a product that never vanishes", 1, 0, 0, 0, 1, 0},
		{"c*s = 0", 0, 1, 0, 0, 0, 4},
		{"a double line", 1, 0, 0, 0, 0, 2},
	} {
		var out [4]turn
		if n := meet(c.a, c.b, c.d, c.e, c.f, &out); n != c.want {
			t.Errorf("%s: %d roots %v, want %d", c.name, n, out[:n], c.want)
		}
	}
	// (1 - s)^2 = 0, a contact of fourth order at the top: the fourth root of
	// rounding is all that can be asked.
	var out [4]turn
	n := meet(-1, 0, 0, -2, 2, &out)
	if n == 0 {
		t.Error("fourfold root missed")
	}
	for _, r := range out[:n] {
		if !(math.Abs(r.c) <= 1e-3) {
			t.Errorf("fourfold root at %v, want the top", r)
		}
	}
}
