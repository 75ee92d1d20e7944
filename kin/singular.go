package kin

import "math"

// Smallest returns the smallest singular value of the Jacobian with its linear
// rows divided by lengthMM, and the direction that goes with it: a unit vector
// of (velocity of the point / lengthMM, angular velocity), in the axes of the
// Jacobian. Axis speeds of Euclidean norm 1 rad/s move the tool along lost by at
// most sigma; where sigma is 0 the tool can't move along lost at all.
//
// Singular values of a matrix that mixes mm and rad mean nothing by themselves:
// they depend on lengthMM, so it belongs to every number that is reported. The
// arm's nominal reach is the usual choice.
func (j *Jacobian) Smallest(lengthMM float64) (sigma float64, lost [6]float64) {
	// One-sided Jacobi on the rows (M. Hestenes, 1958): accurate for small
	// singular values too (J. Demmel and K. Veselic, 1992).
	a := *j
	for r := range 3 {
		for c := range 6 {
			a[r][c] /= lengthMM
		}
	}
	var u [6][6]float64 // rows of a = u^T * j
	for i := range u {
		u[i][i] = 1
	}
	for range 30 {
		rotated := false
		for p := range 5 {
			for q := p + 1; q < 6; q++ {
				var pp, qq, pq float64
				for c := range 6 {
					pp += a[p][c] * a[p][c]
					qq += a[q][c] * a[q][c]
					pq += a[p][c] * a[q][c]
				}
				if math.Abs(pq) <= 1e-16*math.Sqrt(pp*qq) {
					continue
				}
				rotated = true
				z := (qq - pp) / (2 * pq)
				t := math.Copysign(1/(math.Abs(z)+math.Sqrt(1+z*z)), z)
				cs := 1 / math.Sqrt(1+t*t)
				sn := cs * t
				for c := range 6 {
					a[p][c], a[q][c] = cs*a[p][c]-sn*a[q][c], sn*a[p][c]+cs*a[q][c]
					u[p][c], u[q][c] = cs*u[p][c]-sn*u[q][c], sn*u[p][c]+cs*u[q][c]
				}
			}
		}
		if !rotated {
			break
		}
	}
	sigma = math.Inf(1)
	for p := range 6 {
		n := 0.0
		for c := range 6 {
			n += a[p][c] * a[p][c]
		}
		if n = math.Sqrt(n); n < sigma {
			sigma, lost = n, u[p]
		}
	}
	return sigma, lost
}
