package kin

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// screw returns exp([S] theta) for a screw axis given by its direction w and the
// velocity v of the origin (K. Lynch and F. Park, Modern Robotics, 3.3.3).
func screw(w, v Vec, theta float64) Pose {
	if w == (Vec{}) {
		return Pose{Identity, v.Scale(theta)}
	}
	// A point on the axis, and the pitch.
	p, h := w.Cross(v), w.Dot(v)
	r := FromAxisAngle(w, theta)
	return Pose{r, p.Sub(r.Apply(p)).AddScaled(h*theta, w)}
}

// EXAMPLES E2.1: K. Lynch and F. Park, Modern Robotics, ch. 4, in body and in
// space form. The third joint is a screw, so this is a check of poses alone.
func TestExampleProductOfExponentials(t *testing.T) {
	m := Pose{rotFromRows([3][3]float64{{-1, 0, 0}, {0, 1, 0}, {0, 0, -1}}), Vec{0, 6, 2}}
	body := [3][2]Vec{{{0, 0, -1}, {2, 0, 0}}, {{}, {0, 1, 0}}, {{0, 0, 1}, {0, 0, 0.1}}}
	space := [3][2]Vec{{{0, 0, 1}, {4, 0, 0}}, {{}, {0, 1, 0}}, {{0, 0, -1}, {-6, 0, -0.1}}}
	theta := [3]float64{math.Pi / 2, 3, math.Pi}
	want := Pose{rotFromRows([3][3]float64{{0, 1, 0}, {1, 0, 0}, {0, 0, -1}}), Vec{-5, 4, 1.685841}}
	got := m
	for i, s := range body {
		e := screw(s[0], s[1], theta[i])
		got = got.Mul(&e)
	}
	if mm, rot := poseDiff(&got, &want); mm > 1e-6 || rot > tolOrient {
		t.Errorf("body form: %v", got)
	}
	got = m
	for i := 2; i >= 0; i-- {
		e := screw(space[i][0], space[i][1], theta[i])
		got = e.Mul(&got)
	}
	if mm, rot := poseDiff(&got, &want); mm > 1e-6 || rot > tolOrient {
		t.Errorf("space form: %v", got)
	}
}

// EXAMPLES E2.2: the planar arm of two links (form: J. Craig, Introduction to
// Robotics, ch. 3-4, and M. Spong et al., ch. 1; own numbers).
func TestExampleTwoLinks(t *testing.T) {
	const l1, l2 = 400, 300
	c := chainDeg([6][4]float64{{l1, 0, 0, 0}, {l2, 0, 0, 0}, {}, {}, {}, {}})
	place := func(a, b float64) Vec {
		var f Frames
		c.Forward(&Joints{a * degree, b * degree}, &f)
		return f[6].T
	}
	if got := place(30, 60); !near(got, Vec{346.410162, 500, 0}, 1e-6) {
		t.Errorf("(30, 60) gives %v", got)
	}
	b := twoLinks(500, 200, l1, l2, 0)
	for i, want := range [2][2]float64{{-11.517197, 80.405932}, {55.120016, -80.405932}} {
		bend := b.bend
		if i == 1 {
			bend = bend.back()
		}
		base := b.base[i].angle() / degree
		if !(math.Abs(base-want[0]) <= 1e-6) || !(math.Abs(bend.angle()/degree-want[1]) <= 1e-6) {
			t.Errorf("(500, 200): %.6f %.6f, want %v", base, bend.angle()/degree, want)
		}
		if got := place(base, bend.angle()/degree); !near(got, Vec{500, 200, 0}, tolMM) {
			t.Errorf("(500, 200): back at %v", got)
		}
	}
	for _, r := range []struct{ reach, miss float64 }{{700, 0}, {701, 1}, {100, 0}, {99, 1}} {
		if b := twoLinks(r.reach, 0, l1, l2, 0); !(math.Abs(b.miss-r.miss) <= tolMM) {
			t.Errorf("at %g mm: misses by %g, want %g", r.reach, b.miss, r.miss)
		}
	}
	for _, d := range [][2]float64{{60, 103923.05}, {10, 20837.78}, {1, 2094.29}, {0, 0}} {
		var f Frames
		var j Jacobian
		c.Forward(&Joints{0.3, d[0] * degree}, &f)
		c.JacobianAt(&f, f[6].T, &j)
		if got := math.Abs(j[0][0]*j[1][1] - j[0][1]*j[1][0]); !(math.Abs(got-d[1]) <= 0.005) {
			t.Errorf("|det J| at %g deg = %.3f, want %.2f", d[0], got, d[1])
		}
	}
}

func joints(deg ...float64) (q Joints) {
	for i := range deg {
		q[i] = deg[i] * degree
	}
	return q
}

// det returns the determinant of the Jacobian at the flange, mm^3.
func det(c *Chain, q Joints) float64 {
	var f Frames
	var j Jacobian
	c.Forward(&q, &f)
	c.JacobianAt(&f, f[6].T, &j)
	m := mat.NewDense(6, 6, nil)
	for r := range 6 {
		m.SetRow(r, j[r][:])
	}
	return mat.Det(m)
}

// EXAMPLES E2.3: the training arm, worked out with the standard
// Denavit-Hartenberg product (own numbers).
func TestExampleHazel(t *testing.T) {
	c := armNamed(t, "hazel")
	for _, e := range []struct {
		q   Joints
		at  Vec
		rot [3][3]float64
		det float64
	}{
		{joints(0, 0, 0, 0, 0, 0), Vec{585, 0, 900}, [3][3]float64{{0, 0, 1}, {0, -1, 0}, {1, 0, 0}}, 0},
		{joints(0, 0, 0, 0, 90, 0), Vec{480, 0, 795}, [3][3]float64{{1, 0, 0}, {0, -1, 0}, {0, 0, -1}}, 95040000.0},
		{joints(30, 20, -10, 15, 60, -45), Vec{567.503050, 354.824038, 700.384372},
			[3][3]float64{{0.305399, 0.933368, 0.188564}, {0.859335, -0.355458, 0.367686}, {0.410213, 0.049748, -0.910632}}, 105513877.0},
		{joints(-20, 35, 5, 0, 50, 0), Vec{614.984260, -223.835965, 423.773205},
			[3][3]float64{{0.939693, -0.342020, 0}, {-0.342020, -0.939693, 0}, {0, 0, -1}}, 99477416.2},
		{joints(0, 0, 0, 0, 5, 0), Vec{584.600443, 0, 890.848647},
			[3][3]float64{{0.087156, 0, 0.996195}, {0, -1, 0}, {0.996195, 0, -0.087156}}, 8283281.8},
	} {
		var f Frames
		c.Forward(&e.q, &f)
		if !near(f[6].T, e.at, 1e-6) || !nearRot(f[6].R, rotFromRows(e.rot), 1e-6) {
			t.Errorf("at %v: flange at %v, %v", e.q, f[6].T, rows(f[6].R))
		}
		if got := math.Abs(det(c, e.q)); !(math.Abs(got-e.det) <= 0.06) {
			t.Errorf("at %v: |det J| = %.2f, want %.1f", e.q, got, e.det)
		}
	}
	// The tool-down rule: with q4 = 0, q2 + q3 + q5 = 90 points the flange down.
	for _, q := range []Joints{joints(0, 0, 0, 0, 90, 0), joints(-20, 35, 5, 0, 50, 0)} {
		var f Frames
		c.Forward(&q, &f)
		if !near(f[6].R.Z, Vec{0, 0, -1}, tolRot) {
			t.Errorf("at %v the flange points along %v, want down", q, f[6].R.Z)
		}
	}
}

// EXAMPLES E2.4: |det J| is a product of the three alignments (own formula), and
// each of them is a zero of the measure that Room reports.
func TestExampleAlignments(t *testing.T) {
	c := armNamed(t, "hazel")
	room := func(q Joints) Room {
		var f Frames
		c.Forward(&q, &f)
		return c.Inverse().Room(&q, &f)
	}
	for _, q := range []Joints{joints(30, 20, -10, 15, 60, -45), joints(-20, 35, 5, 0, 50, 0), joints(0, 0, 0, 0, 5, 0), joints(70, -40, 60, 100, -80, 3)} {
		r := room(q)
		want := 450 * r.Shoulder * math.Abs(440*math.Cos(q[2])+30*math.Sin(q[2])) * math.Sin(r.Wrist)
		if got := math.Abs(det(c, q)); !(math.Abs(got-want) <= 1e-3) {
			t.Errorf("at %v: |det J| = %.4f, product of alignments %.4f", q, got, want)
		}
		if elbow := math.Hypot(30, 440) * math.Sin(r.Elbow); !(math.Abs(elbow-math.Abs(440*math.Cos(q[2])+30*math.Sin(q[2]))) <= tolMM) {
			t.Errorf("at %v: elbow room %g", q, r.Elbow)
		}
	}
	if r := room(joints(10, 20, -86.0995, 30, 40, 50)); r.Elbow > 1e-5*degree {
		t.Errorf("elbow: %g deg from stretched at q3 = -86.0995", r.Elbow/degree)
	}
	if r := room(joints(10, -20, -51.131207, 30, 40, 50)); r.Shoulder > 1e-5 {
		t.Errorf("shoulder: %g mm from aligned", r.Shoulder)
	}
	if r := room(joints(10, 20, 30, 40, 0, 50)); r.Wrist != 0 {
		t.Errorf("wrist: %g rad from aligned at q5 = 0", r.Wrist)
	}
}

// EXAMPLES E2.5: axis rates near the wrist alignment (own numbers).
func TestExampleAxisRates(t *testing.T) {
	c := armNamed(t, "hazel")
	for _, e := range [][4]float64{
		{30, 22.649, -34.700, 44.610}, {10, 22.649, -122.564, 128.448}, {5, 22.649, -251.012, 255.919},
		{2, 22.649, -634.794, 639.116}, {1, 22.649, -1273.910, 1278.038},
	} {
		q := joints(0, 20, -10, 0, e[0], 0)
		var f Frames
		var j Jacobian
		c.Forward(&q, &f)
		c.JacobianAt(&f, f[6].T, &j)
		m := mat.NewDense(6, 6, nil)
		for r := range 6 {
			m.SetRow(r, j[r][:])
		}
		var rate mat.VecDense
		if err := rate.SolveVec(m, mat.NewVecDense(6, []float64{0, 250, 0, 0, 0, 0})); err != nil {
			t.Fatal(err)
		}
		for i, want := range []float64{e[1], 0, 0, e[2], 0, e[3]} {
			if got := rate.AtVec(i) / degree; !(math.Abs(got-want) <= 6e-4) {
				t.Errorf("q5 = %g: axis %d turns at %.4f deg/s, want %.3f", e[0], i+1, got, want)
			}
		}
	}
}
