package kin

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// anyChain draws an arm: right-angled, parallel and skew axes, some of them
// prismatic when asked for.
func anyChain(t *rapid.T, prismatic bool) *Chain {
	var dh [6]DH
	for i := range dh {
		dh[i] = DH{
			A:      rapid.SampledFrom([]float64{0, 0, 35, 120, -80, 410}).Draw(t, "a"),
			Alpha:  rapid.SampledFrom([]float64{0, math.Pi / 2, -math.Pi / 2, math.Pi, 0.4, -1.1}).Draw(t, "alpha"),
			D:      rapid.SampledFrom([]float64{0, 0, 90, -60, 300}).Draw(t, "d"),
			Offset: rapid.Float64Range(-3, 3).Draw(t, "offset"),
		}
		dh[i].Prismatic = prismatic && rapid.IntRange(0, 3).Draw(t, "prismatic") == 0
	}
	return NewChain(anyPose(t, "base"), dh, anyPose(t, "flange"))
}

func anyPose(t *rapid.T, label string) Pose {
	a := rapid.Float64Range(-3, 3)
	d := rapid.Float64Range(-200, 200)
	return Pose{
		FromRPY(a.Draw(t, label+" roll"), a.Draw(t, label+" pitch"), a.Draw(t, label+" yaw")),
		Vec{d.Draw(t, label+" x"), d.Draw(t, label+" y"), d.Draw(t, label+" z")},
	}
}

func anyJoints(t *rapid.T, label string) Joints {
	var q Joints
	for i := range q {
		q[i] = rapid.Float64Range(-math.Pi, math.Pi).Draw(t, label)
	}
	return q
}

// linkPoint evaluates a point of a link.
func linkPoint(c *Chain, q Joints, link int, p Vec) Vec {
	var f Frames
	c.Forward(&q, &f)
	return f[link].Apply(p)
}

func TestPointBoundsHold(t *testing.T) {
	const step = 1e-3
	rapid.Check(t, func(t *rapid.T) {
		c := anyChain(t, true)
		link := rapid.IntRange(0, 6).Draw(t, "link")
		centre := anyPose(t, "point").T
		radius := rapid.Float64Range(0, 100).Draw(t, "radius")
		slide := Joints{math.Pi, math.Pi, math.Pi, math.Pi, math.Pi, math.Pi}
		b := c.PointBounds(link, centre, radius, &slide)
		q := anyJoints(t, "q")
		p := centre.Add(anyPose(t, "ball").R.X.Scale(radius))
		at := func(di, dj float64, i, j int) Vec {
			r := q
			r[i] += di
			r[j] += dj
			return linkPoint(c, r, link, p)
		}
		for i := range 6 {
			d := at(step, 0, i, i).Sub(at(-step, 0, i, i)).Scale(1 / (2 * step)).Norm()
			if d > b[i]*(1+1e-6)+1e-6 {
				t.Fatalf("link %d: |dx/dq%d| is %g, bound %g", link, i+1, d, b[i])
			}
			for j := range 6 {
				// Mixed central difference; for i = j it has twice the step.
				dd := at(step, step, i, j).Sub(at(step, -step, i, j)).Sub(at(-step, step, i, j)).Add(at(-step, -step, i, j)).Scale(1 / (4 * step * step)).Norm()
				if dd > b[max(i, j)]*(1+1e-5)+1e-4 {
					t.Fatalf("link %d: |d2x/dq%d dq%d| is %g, bound %g", link, i+1, j+1, dd, b[max(i, j)])
				}
			}
		}
	})
}

// For hazel the bounds on the wrist centre are attained: stretched level, it is
// a1 + a2 + l from axis 1, a2 + l from axis 2 and l from axis 3.
func TestPointBoundsAreTight(t *testing.T) {
	c := armNamed(t, "hazel")
	b := c.PointBounds(4, Vec{}, 0, nil)
	l := math.Hypot(30, 440)
	for i, want := range []float64{490 + l, 450 + l, l, 0, 0, 0} {
		if !(math.Abs(b[i]-want) <= 1e-9) {
			t.Errorf("axis %d: bound %g, want %g", i+1, b[i], want)
		}
	}
}
