package shape

import (
	"math"
	"testing"

	"posework/kin"
)

func v(x, y, z float64) kin.Vec { return kin.Vec{X: x, Y: y, Z: z} }

// TestByHand checks pairs whose distance is plain from a drawing.
func TestByHand(t *testing.T) {
	cube := func(at kin.Vec) Shape { return Shape{Kind: Box, P: at, Rot: kin.Identity, Half: v(10, 10, 10)} }
	can := func(at kin.Vec) Shape {
		return Shape{Kind: Cylinder, P: at, Rot: kin.Identity, R: 10, Half: v(0, 0, 20)}
	}
	ball := func(at kin.Vec) Shape { return Shape{Kind: Sphere, P: at, R: 5} }
	rod := func(p, q kin.Vec) Shape { return Shape{Kind: Capsule, P: p, Q: q, R: 5} }
	floor := Shape{Kind: HalfSpace, P: v(7, 7, 0), Rot: kin.Identity}
	turned := turn(kin.Identity, 2, math.Pi/4)
	lying := Shape{Kind: Cylinder, Rot: turn(kin.Identity, 0, math.Pi/2), R: 10, Half: v(0, 0, 20)}
	for _, c := range []struct {
		name string
		a, b Shape
		want float64
	}{
		{"cubes side by side", cube(v(0, 0, 0)), cube(v(25, 0, 0)), 5},
		{"cubes corner to corner", cube(v(0, 0, 0)), cube(v(23, 24, 32)), 13},
		{"cubes face to face", cube(v(0, 0, 0)), cube(v(20, 3, 0)), 0},
		{"cubes in one another", cube(v(0, 0, 0)), cube(v(0, 0, 0)), -20},
		{"cubes 1 mm deep", cube(v(0, 0, 0)), cube(v(1, 19, 2)), -1},
		{"edge over a face", cube(v(0, 0, 0)), Shape{Kind: Box, P: v(30, 0, 0), Rot: turned, Half: v(10, 10, 10)}, 20 - 10*math.Sqrt2},
		{"ball over a face", ball(v(0, 3, 20)), cube(v(0, 0, 0)), 5},
		{"ball in the middle", ball(v(0, 0, 0)), cube(v(0, 0, 0)), -15},
		{"ball off a corner", ball(v(12, 13, 16)), cube(v(0, 0, 0)), 7 - 5},
		{"rods crossing", rod(v(-50, 0, 0), v(50, 0, 0)), rod(v(0, -50, 0), v(0, 50, 0)), -10},
		{"rods crossing 12 mm above", rod(v(-50, 0, 0), v(50, 0, 0)), rod(v(0, -50, 12), v(0, 50, 12)), 2},
		{"rods in line", rod(v(0, 0, 0), v(50, 0, 0)), rod(v(70, 0, 0), v(90, 0, 0)), 10},
		{"rods on one line, overlapping", rod(v(0, 0, 0), v(50, 0, 0)), rod(v(20, 0, 0), v(90, 0, 0)), -10},
		{"rods side by side", rod(v(0, 0, 0), v(50, 0, 0)), rod(v(20, 12, 0), v(90, 12, 0)), 2},
		{"one rod twice", rod(v(0, 0, 0), v(50, 0, 0)), rod(v(0, 0, 0), v(50, 0, 0)), -10},
		{"rods without length", rod(v(0, 0, 0), v(0, 0, 0)), rod(v(0, 0, 12), v(0, 0, 12)), 2},
		{"rod through a box", rod(v(-50, 0, 0), v(50, 0, 0)), cube(v(0, 0, 0)), -15},
		{"rod along a face", rod(v(-50, 0, 18), v(50, 0, 18)), cube(v(0, 0, 0)), 3},
		{"rod on a face", rod(v(-50, 0, 15), v(50, 0, 15)), cube(v(0, 0, 0)), 0},
		{"rod across an edge", rod(v(15, -50, 15), v(15, 50, 15)), cube(v(0, 0, 0)), 5*math.Sqrt2 - 5},
		{"cans side by side", can(v(0, 0, 0)), can(v(23, 0, 5)), 3},
		{"cans stacked", can(v(0, 0, 0)), can(v(3, 2, 44)), 4},
		{"cans rim to rim", can(v(0, 0, 0)), can(v(23, 0, 44)), 5},
		{"cans in one another", can(v(0, 0, 0)), can(v(0, 0, 0)), -20},
		{"cans crossed", can(v(0, 0, 31)), lying, 1},
		{"can beside a box", can(v(21, 0, 0)), cube(v(0, 0, 0)), 1},
		{"can over a box", can(v(0, 0, 32)), cube(v(0, 0, 0)), 2},
		{"can off an edge", can(v(10+6+8, 10+8+6, 0)), cube(v(0, 0, 0)), math.Hypot(14, 14) - 10},
		{"ball in a can", ball(v(8, 0, 0)), can(v(0, 0, 0)), -7},
		{"ball on the axis over a can", ball(v(0, 0, 30)), can(v(0, 0, 0)), 5},
		{"ball off a rim", ball(v(16, 0, 28)), can(v(0, 0, 0)), 5},
		{"rod down a can's axis", rod(v(0, 0, -50), v(0, 0, 50)), can(v(0, 0, 0)), -15},
		{"rod beside a can", rod(v(18, 0, -50), v(18, 0, 50)), can(v(0, 0, 0)), 3},
		{"rod over a can", rod(v(-50, 3, 26), v(50, 3, 26)), can(v(0, 0, 0)), 1},
		{"cube on the floor", cube(v(0, 0, 10)), floor, 0},
		{"cube over the floor", cube(v(0, 0, 13)), floor, 3},
		{"can in the floor", can(v(0, 0, 15)), floor, -5},
		{"rod lying over the floor", rod(v(0, 0, 9), v(50, 0, 9)), floor, 4},
		{"ball under the floor", ball(v(0, 0, -2)), floor, -7},
	} {
		var got Contact
		Between(&c.a, &c.b, &got)
		if !(math.Abs(got.Distance-c.want) <= 1e-9) {
			t.Errorf("%s: distance %.12g, want %.12g", c.name, got.Distance, c.want)
		}
		checkContact(t, &c.a, &c.b, &got)
		if d := Distance(&c.b, &c.a); !(math.Abs(d-c.want) <= 1e-9) {
			t.Errorf("%s, the other way: distance %.12g, want %.12g", c.name, d, c.want)
		}
	}
	if d := Distance(&floor, &floor); !math.IsNaN(d) {
		t.Errorf("distance of two half-spaces = %v, want NaN", d)
	}
}

// TestLevel checks that evidence lies in the middle where a solid lies level.
func TestLevel(t *testing.T) {
	a := Shape{Kind: Box, P: v(1, 2, 15), Rot: kin.Identity, Half: v(10, 10, 10)}
	b := Shape{Kind: HalfSpace, Rot: kin.Identity}
	var c Contact
	Between(&a, &b, &c)
	if want := v(1, 2, 5); !(c.A.Sub(want).Norm() <= 1e-12) {
		t.Errorf("point %v, want the middle of the face %v", c.A, want)
	}
	b = Shape{Kind: Box, P: v(16, 2, 0), Rot: kin.Identity, Half: v(10, 10, 6)}
	Between(&a, &b, &c)
	if want := v(8.5, 2, 6); c.Distance != -1 || !(c.B.Sub(want).Norm() <= 1e-12) {
		t.Errorf("distance %v, point %v, want -1, the middle of what the faces share %v", c.Distance, c.B, want)
	}
}

// TestNearlyParallel turns two long capsules by ever less against each other;
// the distance of the crossing axes stays 0.
func TestNearlyParallel(t *testing.T) {
	for _, angle := range []float64{1, 1e-2, 1e-4, 1e-6, 1e-8, 1e-10, 1e-12, 0} {
		s, c := math.Sincos(angle)
		a := Shape{Kind: Capsule, P: v(-500, 0, 0), Q: v(400, 0, 0), R: 1}
		b := Shape{Kind: Capsule, P: v(-300*c, -300*s, 3), Q: v(700*c, 700*s, 3), R: 1}
		if d := Distance(&a, &b); !(math.Abs(d-1) <= 1e-9) {
			t.Errorf("turned by %g: distance %.12g, want 1", angle, d)
		}
	}
}

func TestBoundsHoldSupport(t *testing.T) {
	for _, s := range []Shape{
		{Kind: Capsule, P: v(1, 2, 3), Q: v(40, 5, 6), R: 7},
		{Kind: Sphere, P: v(1, 2, 3), R: 7},
		{Kind: Box, P: v(1, 2, 3), Rot: turn(kin.Identity, 1, 0.4), Half: v(5, 6, 7)},
		{Kind: Cylinder, P: v(1, 2, 3), Rot: turn(kin.Identity, 1, 0.4), R: 7, Half: v(0, 0, 9)},
	} {
		centre, radius := s.Bounds()
		for i := range 200 {
			dir := v(math.Cos(float64(i)), math.Sin(2*float64(i)), math.Sin(3*float64(i)))
			p := s.Support(dir)
			if !(math.Abs(outside(&s, p)) <= 1e-9) {
				t.Errorf("%s: support %v is not on the surface", names[s.Kind], p)
			}
			if d := s.Least(dir) - dir.Dot(s.Support(dir.Scale(-1))); !(math.Abs(d) <= 1e-9) {
				t.Errorf("%s: least value is off the support by %v", names[s.Kind], d)
			}
			if !(p.Sub(centre).Norm() <= radius+1e-9) {
				t.Errorf("%s: support %v outside the bounding sphere", names[s.Kind], p)
			}
		}
	}
	floor := Shape{Kind: HalfSpace, Rot: kin.Identity}
	if !math.IsInf(floor.Least(v(0, 0, 1)), -1) {
		t.Error("a half-space has no least value")
	}
	if _, r := floor.Bounds(); !math.IsInf(r, 1) {
		t.Errorf("radius of a half-space %v, want infinite", r)
	}
}

func TestNoAllocation(t *testing.T) {
	eachPair(t, func(t *testing.T, ka, kb Kind) {
		a, b := pool(ka, kb)
		var c Contact
		if n := testing.AllocsPerRun(10, func() {
			for i := range a[:32] {
				Between(&a[i], &b[i], &c)
			}
		}); n != 0 {
			t.Errorf("%v allocations", n)
		}
	})
}
