package kin

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
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
			if d > b.First[i]*(1+1e-6)+1e-6 {
				t.Fatalf("link %d: |dx/dq%d| is %g, bound %g", link, i+1, d, b.First[i])
			}
			for j := range 6 {
				// Mixed central difference; for i = j it has twice the step.
				dd := at(step, step, i, j).Sub(at(step, -step, i, j)).Sub(at(-step, step, i, j)).Add(at(-step, -step, i, j)).Scale(1 / (4 * step * step)).Norm()
				if dd > b.Second[i][j]*(1+1e-5)+1e-4 {
					t.Fatalf("link %d: |d2x/dq%d dq%d| is %g, bound %g", link, i+1, j+1, dd, b.Second[i][j])
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
		if math.Abs(b.First[i]-want) > 1e-9 {
			t.Errorf("axis %d: bound %g, want %g", i+1, b.First[i], want)
		}
	}
}

// scaledJacobian returns the Jacobian at the point tool with scaled linear rows.
func scaledJacobian(c *Chain, q Joints, tool Vec, length float64) Jacobian {
	var f Frames
	var j Jacobian
	c.Forward(&q, &f)
	c.JacobianAt(&f, f[6].Apply(tool), &j)
	for r := range 3 {
		for i := range 6 {
			j[r][i] /= length
		}
	}
	return j
}

// singularValues uses gonum (LAPACK's algorithm), independent of Smallest.
func singularValues(j *Jacobian) []float64 {
	m := mat.NewDense(6, 6, nil)
	for r := range 6 {
		m.SetRow(r, j[r][:])
	}
	var svd mat.SVD
	svd.Factorize(m, mat.SVDNone)
	return svd.Values(nil)
}

func TestJacobianRatesHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyChain(t, true)
		tool := anyPose(t, "tool").T
		length := rapid.Float64Range(50, 2000).Draw(t, "length")
		slide := Joints{9, 9, 9, 9, 9, 9}
		rates := c.JacobianRates(tool, length, &slide)
		q := anyJoints(t, "q")
		k := rapid.IntRange(0, 5).Draw(t, "axis")
		size := rapid.SampledFrom([]float64{1e-3, 0.1, 1}).Draw(t, "size")
		r := q
		r[k] += size
		a, b := scaledJacobian(c, q, tool, length), scaledJacobian(c, r, tool, length)
		va, vb := singularValues(&a), singularValues(&b)
		for i := range 6 {
			if d := math.Abs(va[i] - vb[i]); d > rates.Singular[k]*size*(1+1e-9)+1e-12 {
				t.Fatalf("singular value %d changes by %g over %g of axis %d, bound %g", i, d, size, k+1, rates.Singular[k]*size)
			}
			for n := range 6 {
				b[i][n] -= a[i][n]
			}
		}
		if d := singularValues(&b)[0]; d > rates.Matrix[k]*size*(1+1e-9)+1e-12 {
			t.Fatalf("Jacobian changes by %g over %g of axis %d, bound %g", d, size, k+1, rates.Matrix[k]*size)
		}
	})
}

// Smallest singular value against testdata/fk_*.json (Eigen) and, with its
// direction, against the definition.
func TestSmallestReference(t *testing.T) {
	for _, a := range arms {
		var file fkFile
		readJSON(t, "fk_"+a.name+".json", &file)
		for i, c := range file.Cases {
			var f Frames
			var j Jacobian
			a.chain.Forward(&c.Q, &f)
			a.chain.JacobianAt(&f, f[6].T, &j)
			for _, ref := range []struct {
				length float64
				values []float64
			}{{1000, c.FullM}, {file.ReachMM, c.FullReach}} {
				if ref.values == nil {
					continue
				}
				sigma, lost := j.Smallest(ref.length)
				if want := ref.values[5]; !(math.Abs(sigma-want) <= tolSV*want) {
					t.Errorf("%s case %d, length %g: smallest %.15g, want %.15g", a.name, i, ref.length, sigma, want)
				}
				checkLost(t, &j, ref.length, sigma, lost)
			}
		}
	}
}

// checkLost: lost is a unit vector and J^T lost has length sigma.
func checkLost(t testing.TB, j *Jacobian, length, sigma float64, lost [6]float64) {
	t.Helper()
	var n, g float64
	for c := range 6 {
		s := 0.0
		for r := range 6 {
			x := j[r][c]
			if r < 3 {
				x /= length
			}
			s += x * lost[r]
		}
		g += s * s
		n += lost[c] * lost[c]
	}
	if !(math.Abs(n-1) <= 1e-12) || !(math.Abs(math.Sqrt(g)-sigma) <= 1e-12) {
		t.Errorf("lost direction %v: squared length %.15g, |J^T lost| %.15g, sigma %.15g", lost, n, math.Sqrt(g), sigma)
	}
}
