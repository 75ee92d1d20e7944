package kin

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// Between any two configurations no measure of Room changes by more than RoomRate
// says.
func TestRoomRateHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var c *Chain
		if rapid.Bool().Draw(t, "reference arm") {
			c = arms[rapid.IntRange(0, len(arms)-1).Draw(t, "arm")].chain.WithBase(anyPose(t, "base"))
		} else {
			c = familyChain(t, rapid.SampledFrom(closedFamilies).Draw(t, "family"))
		}
		inv := c.Inverse()
		wrist, elbow, shoulder := inv.RoomRate()
		q, r := anyJoints(t, "q"), anyJoints(t, "r")
		if rapid.Bool().Draw(t, "near") {
			for i := range r {
				r[i] = q[i] + (r[i]-q[i])*1e-3
			}
		}
		measure := func(q *Joints) Room {
			var f Frames
			c.Forward(q, &f)
			return inv.Room(q, &f)
		}
		a, b := measure(&q), measure(&r)
		var w, e, s float64
		for i := range q {
			d := math.Abs(q[i] - r[i])
			w, e, s = w+wrist[i]*d, e+elbow[i]*d, s+shoulder[i]*d
		}
		if !(math.Abs(a.Wrist-b.Wrist) <= w+1e-12) || !(math.Abs(a.Elbow-b.Elbow) <= e+1e-12) || !(math.Abs(a.Shoulder-b.Shoulder) <= s+1e-9) {
			t.Errorf("%v: room %+v at %v, %+v at %v; bounds %g %g %g", inv.Family(), a, q, b, r, w, e, s)
		}
		if a.HasElbow != (elbow != Joints{}) || a.HasWrist != (wrist != Joints{}) || a.HasShoulder != (shoulder != Joints{}) {
			t.Errorf("%v: measures %+v, rates %v %v %v", inv.Family(), a, wrist, elbow, shoulder)
		}
	})
}

// The measures vanish where the Jacobian does, and nowhere else: its determinant
// is their product times a constant.
func TestRoomIsWhatTheJacobianLacks(t *testing.T) {
	for _, name := range []string{"hazel", "aspen", "rowan", "puma560", "alder", "lynch_park_4_5"} {
		c := armNamed(t, name)
		rapid.Check(t, func(t *rapid.T) {
			ratio := func(q Joints) float64 {
				var f Frames
				c.Forward(&q, &f)
				r := c.Inverse().Room(&q, &f)
				return math.Abs(det(c, q)) / (math.Sin(r.Wrist) * math.Sin(r.Elbow) * r.Shoulder)
			}
			q := anyJoints(t, "q")
			var f Frames
			c.Forward(&q, &f)
			if r := c.Inverse().Room(&q, &f); r.Wrist < 1e-3 || r.Elbow < 1e-3 || r.Shoulder < 1 {
				t.Skip("too near an alignment to divide by it")
			}
			if a, b := ratio(q), ratio(Joints{0.1, 0.7, 0.9, 0.3, 0.8, 0.2}); !(math.Abs(a-b) <= 1e-6*b) {
				t.Errorf("%s at %v: |det J| over the product of measures is %g, elsewhere %g", name, q, a, b)
			}
		})
	}
}

// Out of reach, the answer is a nearest approach: no small motion that keeps the
// orientation comes nearer, and the residual is the true distance.
func TestResidualIsStationary(t *testing.T) {
	for _, f := range []Family{SphericalWrist, SphericalShoulder, Parallel234, Parallel345, Spherical345, Numerical} {
		t.Run(f.String(), func(t *testing.T) {
			if testing.Short() && (f == Numerical || f == Spherical345) {
				t.Skip("a search of many starts")
			}
			rapid.Check(t, func(t *rapid.T) {
				var c *Chain
				if f == Numerical {
					c = chainDeg([6][4]float64{{40, 80, 120, 0}, {250, 20, 30, 0}, {30, -70, 50, 0}, {40, 90, 240, 0}, {30, -90, 60, 0}, {0, 0, 105, 0}})
				} else if f == Parallel234 {
					c = armNamed(t, "alder")
				} else {
					c = familyChain(t, f)
				}
				target := anyPose(t, "target")
				target.T = target.T.Add(Vec{5000, 3000, -4000})
				var s Solutions
				c.Inverse().Solve(&target, &Joints{}, &s)
				if s.N != 1 || !(s.Residual > 0) {
					t.Fatalf("%v: %d solutions, residual %g", c.Inverse().Family(), s.N, s.Residual)
				}
				var fr Frames
				var j Jacobian
				c.Forward(&s.Q[0], &fr)
				c.JacobianAt(&fr, fr[6].T, &j)
				mm, rot := poseDiff(&fr[6], &target)
				if rot > 1e-9 {
					t.Skip("this arm can't take the orientation at all")
				}
				if !(math.Abs(mm-s.Residual) <= 1e-12*mm) {
					t.Errorf("misses by %g mm, says %g", mm, s.Residual)
				}
				// A slope g leaves g*g over twice the curvature to be gained, some
				// 1e-12 of the distance.
				if g := slope(&j, target.T.Sub(fr[6].T)); g > 1e-6*c.Inverse().size {
					t.Errorf("%v: the distance of %g mm still falls by %g mm/rad", c.Inverse().Family(), mm, g)
				}
			})
		})
	}
}

// slope returns how fast the distance e falls along the best motion that keeps the
// orientation, mm per rad.
func slope(j *Jacobian, e Vec) float64 {
	w := mat.NewDense(3, 6, nil)
	for r := range 3 {
		w.SetRow(r, j[3+r][:])
	}
	var svd mat.SVD
	svd.Factorize(w, mat.SVDFull)
	var v mat.Dense
	svd.VTo(&v)
	u := e.Unit()
	sum := 0.0
	values := svd.Values(nil)
	for k := range 6 {
		if k < 3 && values[k] > 1e-8 {
			continue
		}
		d := 0.0
		for c := range 6 {
			d += v.At(c, k) * (u.X*j[0][c] + u.Y*j[1][c] + u.Z*j[2][c])
		}
		sum += d * d
	}
	return math.Sqrt(sum)
}
