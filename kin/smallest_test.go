package kin

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// scaledJacobian returns the Jacobian at the flange with scaled linear rows.
func scaledJacobian(c *Chain, q Joints, length float64) Jacobian {
	var f Frames
	var j Jacobian
	c.Forward(&q, &f)
	c.JacobianAt(&f, f[6].T, &j)
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

// Matrices with singular values known by construction, clustered, tiny, zero and
// equal ones among them: the value and its direction against the definition.
func TestSmallestKnown(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 1))
	for _, values := range [][6]float64{
		{2, 1, 0.5, 0.3, 0.2, 0.1},
		{2, 1, 1, 1, 1, 1e-3},
		{1, 1, 1, 1, 1, 1},
		{1, 1, 1, 1, 1e-6, 1e-6},
		{1, 1, 1, 1, 1e-6, 0.999999999e-6},
		{3, 2, 1, 0.1, 1e-9, 1e-12},
		{3, 2, 1, 0.1, 0.01, 0},
		{3, 2, 1, 0, 0, 0},
		{1, 0, 0, 0, 0, 0},
		{0, 0, 0, 0, 0, 0},
		{1e-3, 1e-3, 1e-3, 1e-3, 1e-3, 0.5e-3},
		{1000, 1, 1, 1, 1, 0.5},
	} {
		for range 50 {
			u, v := randomOrthogonal(rng), randomOrthogonal(rng)
			var j Jacobian
			for r := range 6 {
				for c := range 6 {
					for k, s := range values {
						j[r][c] += u[r][k] * s * v[c][k]
					}
				}
			}
			checkSmallest(t, &j, values[0], values[5])
		}
	}
}

// checkSmallest compares with the expected value; most is the largest one, of
// which rounding may take 1e-14.
func checkSmallest(t *testing.T, j *Jacobian, most, want float64) {
	t.Helper()
	sigma, lost := j.Smallest(1)
	if !(math.Abs(sigma-want) <= 1e-14*most+1e-50) {
		t.Errorf("smallest %.17g, want %.17g", sigma, want)
	}
	var norm, image float64
	for c := range 6 {
		s := 0.0
		for r := range 6 {
			s += j[r][c] * lost[r]
		}
		image += s * s
		norm += lost[c] * lost[c]
	}
	if !(math.Abs(norm-1) <= 1e-14) || !(math.Abs(math.Sqrt(image)-sigma) <= 1e-13*most+1e-50) {
		t.Errorf("direction %v of squared length %.17g has |J^T lost| %.17g, want %.17g", lost, norm, math.Sqrt(image), sigma)
	}
}

// randomOrthogonal orthonormalizes a random matrix.
func randomOrthogonal(rng *rand.Rand) (m [6][6]float64) {
	var rows [6][6]float64
	for i := range rows {
		for k := range rows[i] {
			rows[i][k] = rng.NormFloat64()
		}
		for range 2 {
			for p := range i {
				dot := 0.0
				for k := range 6 {
					dot += rows[i][k] * rows[p][k]
				}
				for k := range 6 {
					rows[i][k] -= dot * rows[p][k]
				}
			}
		}
		n := 0.0
		for _, x := range rows[i] {
			n += x * x
		}
		for k := range 6 {
			rows[i][k] /= math.Sqrt(n)
		}
	}
	return rows
}

// Jacobians of the arms, in general and aligned, against gonum's decomposition.
func TestSmallestOfArms(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 2))
	for _, a := range arms {
		for n := range 500 {
			q := randomJoints(rng)
			switch n % 5 {
			case 1:
				q[4] = 0
			case 2:
				q[4] = math.Pow(10, -10*rng.Float64())
			case 3:
				q = Joints{}
			case 4:
				for i := range q {
					q[i] = float64(rng.IntN(5)-2) * math.Pi / 2
				}
			}
			j := scaledJacobian(a.chain, q, 1000)
			values := singularValues(&j)
			checkSmallest(t, &j, values[0], values[5])
		}
	}
}

func TestSmallestOfNaN(t *testing.T) {
	var j Jacobian
	j[2][3] = math.NaN()
	if sigma, _ := j.Smallest(1); !math.IsNaN(sigma) {
		t.Errorf("smallest of NaN is %g", sigma)
	}
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
