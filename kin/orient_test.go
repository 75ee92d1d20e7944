package kin

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// tolOrient is what all conversions and their round trips keep.
const tolOrient = 1e-12

func rows(r Rot) [3][3]float64 {
	return [3][3]float64{{r.X.X, r.Y.X, r.Z.X}, {r.X.Y, r.Y.Y, r.Z.Y}, {r.X.Z, r.Y.Z, r.Z.Z}}
}

func rotFromRows(m [3][3]float64) Rot {
	return Rot{Vec{m[0][0], m[1][0], m[2][0]}, Vec{m[0][1], m[1][1], m[2][1]}, Vec{m[0][2], m[1][2], m[2][2]}}
}

func near(a, b Vec, tol float64) bool { return a.Sub(b).Norm() <= tol }

func nearRot(a, b Rot, tol float64) bool {
	pa, pb := Pose{R: a}, Pose{R: b}
	_, d := poseDiff(&pa, &pb)
	return d <= tol
}

// rotations about one axis, as the handbooks name them
func rx(deg float64) Rot { return FromRPY(deg*degree, 0, 0) }
func ry(deg float64) Rot { return FromRPY(0, deg*degree, 0) }
func rz(deg float64) Rot { return FromRPY(0, 0, deg*degree) }

// Worked examples of EXAMPLES E1, printed there to 6 decimals.
func TestOrientationExamples(t *testing.T) {
	const tol = 1e-6
	// E1.1, J. Craig, Introduction to Robotics, ch. 2 (from memory; recalculated).
	z30 := rz(30)
	if got := z30.Apply(Vec{0, 2, 0}); !near(got, Vec{-1, 1.732051, 0}, tol) {
		t.Errorf("E1.1: %v", got)
	}
	// E1.2, the same chapter (from memory; recalculated).
	frame := Pose{z30, Vec{10, 5, 0}}
	if got := frame.Apply(Vec{3, 7, 0}); !near(got, Vec{9.098076, 12.562178, 0}, tol) {
		t.Errorf("E1.2: %v", got)
	}
	// E1.3 to E1.6: Rz(30) Ry(20) Rx(10), after Craig and Corke (own numbers).
	r := FromRPY(10*degree, 20*degree, 30*degree)
	want := rotFromRows([3][3]float64{{0.813798, -0.440970, 0.378522}, {0.469846, 0.882564, 0.018028}, {-0.342020, 0.163176, 0.925417}})
	if !nearRot(r, want, tol) {
		t.Errorf("E1.3: %v", rows(r))
	}
	y20, x10 := ry(20), rx(10)
	zy := z30.Mul(&y20)
	if zyx := zy.Mul(&x10); !nearRot(r, zyx, tolOrient) {
		t.Errorf("E1.3: product of the three is %v", rows(zyx))
	}
	if roll, pitch, yaw := r.RPY(); !(math.Abs(roll-10*degree)+math.Abs(pitch-20*degree)+math.Abs(yaw-30*degree) <= tolOrient) {
		t.Errorf("E1.4: %g %g %g deg", roll/degree, pitch/degree, yaw/degree)
	}
	if axis, angle := r.AxisAngle(); !near(axis, Vec{0.124015, 0.615638, 0.778209}, tol) || !(math.Abs(angle/degree-35.817101) <= tol) {
		t.Errorf("E1.5: axis %v, angle %.6f deg", axis, angle/degree)
	}
	if q := quatOf(&r); !(math.Abs(q.W-0.951549) <= tol) || !near(Vec{q.X, q.Y, q.Z}, Vec{0.038135, 0.189308, 0.239298}, tol) {
		t.Errorf("E1.6: %v", q)
	}
	// E1.7, the representation's singular case (P. Corke, Robotics, Vision and
	// Control, 2.2): two triples, one rotation.
	a, b := FromRPY(10*degree, math.Pi/2, 30*degree), FromRPY(0, math.Pi/2, 20*degree)
	want = rotFromRows([3][3]float64{{0, -0.342020, 0.939693}, {0, 0.939693, 0.342020}, {-1, 0, 0}})
	if !nearRot(a, want, tol) || !nearRot(b, want, tol) {
		t.Errorf("E1.7: %v and %v", rows(a), rows(b))
	}
	if roll, pitch, yaw := a.RPY(); roll != 0 || !(math.Abs(pitch-math.Pi/2) <= 1e-8) || !(math.Abs(yaw-20*degree) <= tolOrient) {
		t.Errorf("E1.7: back to %g %g %g deg, want 0 90 20", roll/degree, pitch/degree, yaw/degree)
	}
	// E1.8, order matters (textbook).
	z90, x90 := rz(90), rx(90)
	zx, xz := z90.Mul(&x90), x90.Mul(&z90)
	if got := zx.Apply(Vec{0, 0, 1}); !near(got, Vec{1, 0, 0}, tolOrient) {
		t.Errorf("E1.8: Rz Rx gives %v", got)
	}
	if got := xz.Apply(Vec{0, 0, 1}); !near(got, Vec{0, -1, 0}, tolOrient) {
		t.Errorf("E1.8: Rx Rz gives %v", got)
	}
	// E1.9, E1.10: K. Lynch and F. Park, Modern Robotics, ch. 3.
	v := Vec{1, 2, 3}
	r = FromAxisAngle(v, v.Norm())
	want = rotFromRows([3][3]float64{{-0.694921, 0.713521, 0.089293}, {-0.192007, -0.303785, 0.933192}, {0.692978, 0.631350, 0.348107}})
	if !nearRot(r, want, tol) {
		t.Errorf("E1.9: %v", rows(r))
	}
	r = rotFromRows([3][3]float64{{0, 0, 1}, {1, 0, 0}, {0, 1, 0}})
	axis, angle := r.AxisAngle()
	if v := axis.Scale(angle); !near(v, Vec{1.209200, 1.209200, 1.209200}, 2*tol) || !(math.Abs(angle-120*degree) <= tolOrient) {
		t.Errorf("E1.10: %v, %g deg", v, angle/degree)
	}
	// E1.11, the same chapter.
	p := Pose{rx(90), Vec{0, 0, 3}}
	inv := p.Inv()
	if !near(inv.T, Vec{0, -3, 0}, tolOrient) || !nearRot(inv.R, rx(-90), tolOrient) {
		t.Errorf("E1.11: %v", inv)
	}
}

// anyRot draws rotations, special ones often.
func anyRot(t *rapid.T, label string) Rot {
	angle := rapid.OneOf(
		rapid.Float64Range(-math.Pi, math.Pi),
		rapid.SampledFrom([]float64{0, math.Pi / 2, -math.Pi / 2, math.Pi, 1e-9, 1e-16, math.Pi/2 - 1e-8, math.Pi - 1e-9}),
	)
	return FromRPY(angle.Draw(t, label+" roll"), angle.Draw(t, label+" pitch"), angle.Draw(t, label+" yaw"))
}

func TestOrientationRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRot(t, "r")
		roll, pitch, yaw := r.RPY()
		if got := FromRPY(roll, pitch, yaw); !nearRot(got, r, tolOrient) {
			t.Errorf("roll, pitch, yaw %g %g %g: back to %v", roll, pitch, yaw, rows(got))
		}
		if !(math.Abs(pitch) <= math.Pi/2) || !(roll > -math.Pi && roll <= math.Pi) || !(yaw > -math.Pi && yaw <= math.Pi) {
			t.Errorf("roll, pitch, yaw %g %g %g out of range", roll, pitch, yaw)
		}
		q := quatOf(&r)
		if got := q.rot(); !nearRot(got, r, tolOrient) {
			t.Errorf("quaternion %v: back to %v", q, rows(got))
		}
		if p := quatOf(&r); p != q || q.W < 0 || !(math.Abs(q.dot(q)-1) <= tolOrient) {
			t.Errorf("quaternion %v, then %v", q, p)
		}
		axis, angle := r.AxisAngle()
		if got := FromAxisAngle(axis, angle); !nearRot(got, r, tolOrient) {
			t.Errorf("axis %v, angle %g: back to %v", axis, angle, rows(got))
		}
		if angle < 0 || angle > math.Pi || !(math.Abs(axis.Norm()-1) <= tolOrient) {
			t.Errorf("axis %v, angle %g out of range", axis, angle)
		}
	})
}

func TestPoseAlgebra(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyPose(t, "a"), anyPose(t, "b")
		inv := a.Inv()
		one := a.Mul(&inv)
		if mm, rot := poseDiff(&one, &IdentityPose); mm > tolMM || rot > tolOrient {
			t.Errorf("pose times inverse is off by %g mm, %g", mm, rot)
		}
		v := Vec{1, -2, 3}
		ab := a.Mul(&b)
		if got, want := ab.Apply(v), a.Apply(b.Apply(v)); !near(got, want, tolMM) {
			t.Errorf("product maps to %v, factors to %v", got, want)
		}
		if got := a.ApplyInv(a.Apply(v)); !near(got, v, tolMM) {
			t.Errorf("there and back is %v", got)
		}
	})
	if (Vec{}).Unit() != (Vec{}) || !(Vec{1, 2, 3}).Finite() || (Vec{math.Inf(1), 0, 0}).Finite() || (Vec{0, math.NaN(), 0}).Finite() {
		t.Error("Unit or Finite is wrong on a special value")
	}
}

// Angles between directions of any length, exact where the arccosine of the
// scalar product would lose half of its digits.
func TestVecAngle(t *testing.T) {
	x := Vec{X: 3}
	for _, want := range []float64{0, 1e-9, 0.5, math.Pi / 2, 3, math.Pi - 1e-9, math.Pi} {
		sin, cos := math.Sincos(want)
		if got := x.Angle(Vec{X: 7 * cos, Z: 7 * sin}); !(math.Abs(got-want) <= 1e-15*math.Pi*2) {
			t.Errorf("angle %g, want %g", got, want)
		}
	}
}
