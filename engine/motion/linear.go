package motion

import (
	"math"

	"posework/kin"
)

// lu6 is a 6x6 matrix factored by Gaussian elimination with row exchanges
// (G. H. Golub and C. F. Van Loan, Matrix Computations, algorithm 3.4.1). Fixed
// size and flat: path evaluation solves two such systems and must not allocate.
type lu6 struct {
	a   [6][6]float64
	row [6]int
}

// factor factors m. It reports false when m is singular to working precision.
func (f *lu6) factor(m *kin.Jacobian) bool {
	f.a = *m
	for i := range f.row {
		f.row[i] = i
	}
	for k := range 6 {
		p, big := k, math.Abs(f.a[k][k])
		for i := k + 1; i < 6; i++ {
			if v := math.Abs(f.a[i][k]); v > big {
				p, big = i, v
			}
		}
		if !(big > 1e-13) {
			return false
		}
		if p != k {
			f.a[p], f.a[k] = f.a[k], f.a[p]
			f.row[p], f.row[k] = f.row[k], f.row[p]
		}
		inv := 1 / f.a[k][k]
		for i := k + 1; i < 6; i++ {
			m := f.a[i][k] * inv
			f.a[i][k] = m
			if m == 0 {
				continue
			}
			for j := k + 1; j < 6; j++ {
				f.a[i][j] -= m * f.a[k][j]
			}
		}
	}
	return true
}

// solve returns x with m x = b for the factored m.
func (f *lu6) solve(b *[6]float64) (x [6]float64) {
	for i := range 6 {
		s := b[f.row[i]]
		for j := range i {
			s -= f.a[i][j] * x[j]
		}
		x[i] = s
	}
	for i := 5; i >= 0; i-- {
		s := x[i]
		for j := i + 1; j < 6; j++ {
			s -= f.a[i][j] * x[j]
		}
		x[i] = s / f.a[i][i]
	}
	return x
}

// inverse fills out with the inverse of the factored matrix.
func (f *lu6) inverse(out *[6][6]float64) {
	for c := range 6 {
		var e [6]float64
		e[c] = 1
		x := f.solve(&e)
		for r := range 6 {
			out[r][c] = x[r]
		}
	}
}

// inverse3 returns the rows of the inverse of the matrix with columns a, b, c.
// It reports false when the matrix is singular to working precision.
func inverse3(a, b, c kin.Vec) (rows [3]kin.Vec, ok bool) {
	bc := b.Cross(c)
	det := a.Dot(bc)
	if !(math.Abs(det) > 1e-14*a.Norm()*b.Norm()*c.Norm()) {
		return rows, false
	}
	k := 1 / det
	return [3]kin.Vec{bc.Scale(k), c.Cross(a).Scale(k), a.Cross(b).Scale(k)}, true
}
