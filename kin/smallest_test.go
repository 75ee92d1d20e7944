package kin

import (
	"math"
	"math/rand/v2"
	"testing"
)

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
			j := scaledJacobian(a.chain, q, Vec{}, 1000)
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
