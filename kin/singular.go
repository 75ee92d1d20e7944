package kin

import "math"

// Smallest returns the smallest singular value of the Jacobian with its linear
// rows divided by lengthMM, and the direction that goes with it: a unit vector
// of (velocity of the point / lengthMM, angular velocity), in the axes of the
// Jacobian, with its greatest entry positive. Axis speeds of Euclidean norm 1
// rad/s move the tool along lost by at most sigma; where sigma is 0 the tool can't
// move along lost at all. Both are accurate to rounding, 1e-15 times the largest
// singular value.
//
// Singular values of a matrix that mixes mm and rad mean nothing by themselves:
// they depend on lengthMM, so it belongs to every number that is reported. The
// arm's nominal reach is the usual choice.
//
// The matrix is made bidiagonal by Householder reflections, not squared, so that
// small values keep their digits (G. Golub and C. Van Loan, Matrix Computations,
// 8.6). Its smallest value then follows from below by Laguerre's method on the
// characteristic polynomial, the direction by a twisted factorization (I. Dhillon
// and B. Parlett, 2004); both work on the factors.
func (j *Jacobian) Smallest(lengthMM float64) (sigma float64, lost [6]float64) {
	a := *j
	scale := 1 / lengthMM
	for r := range 3 {
		for c := range 6 {
			a[r][c] *= scale
		}
	}
	var b bidiagonal
	b.reduce(&a)
	s := b.least()
	lost = b.direction(s)
	// Back through the reflections, the last one first.
	for k := 4; k >= 0; k-- {
		dot := 0.0
		for r := k; r < 6; r++ {
			dot += a[r][k] * lost[r]
		}
		dot *= b.beta[k]
		for r := k; r < 6; r++ {
			lost[r] -= dot * a[r][k]
		}
	}
	return math.Sqrt(s), orient6(&lost)
}

// orient6 returns v with its greatest entry positive.
func orient6(v *[6]float64) [6]float64 {
	most := 0
	for i := range v {
		if math.Abs(v[i]) > math.Abs(v[most]) {
			most = i
		}
	}
	if v[most] < 0 {
		for i := range v {
			v[i] = -v[i]
		}
	}
	return *v
}

// bidiagonal holds the squares of an upper bidiagonal matrix, read from its lower
// right corner: what is q[0] there stands last in the matrix. In this order its
// columns' products have the factors that the recurrences below run along.
type bidiagonal struct {
	q    [6]float64 // diagonal, squared
	e    [5]float64 // beside it, squared: e[i] joins q[i] and q[i+1]
	off  [5]float64 // products of neighbours, with their signs
	beta [5]float64 // of the reflections from the left
}

// reduce makes a bidiagonal, leaving the vectors of the reflections from the left
// in the columns of a, from the diagonal down.
func (b *bidiagonal) reduce(a *Jacobian) {
	var d, e [6]float64
	for k := range 6 {
		// From the left: column k below the diagonal becomes zero.
		norm := 0.0
		for r := k; r < 6; r++ {
			norm += a[r][k] * a[r][k]
		}
		norm = math.Sqrt(norm)
		if k == 5 {
			d[5] = a[5][5]
			break
		}
		if norm > 0 {
			alpha := -math.Copysign(norm, a[k][k])
			d[k] = alpha
			a[k][k] -= alpha
			beta := -1 / (alpha * a[k][k]) // 2 / v.v
			b.beta[k] = beta
			for c := k + 1; c < 6; c++ {
				dot := 0.0
				for r := k; r < 6; r++ {
					dot += a[r][k] * a[r][c]
				}
				dot *= beta
				for r := k; r < 6; r++ {
					a[r][c] -= dot * a[r][k]
				}
			}
		}
		// From the right: row k beyond its second entry becomes zero.
		if k == 4 {
			e[4] = a[4][5]
			continue
		}
		row := &a[k]
		norm = 0.0
		for c := k + 1; c < 6; c++ {
			norm += row[c] * row[c]
		}
		norm = math.Sqrt(norm)
		if norm == 0 {
			continue
		}
		alpha := -math.Copysign(norm, row[k+1])
		e[k] = alpha
		row[k+1] -= alpha
		beta := -1 / (alpha * row[k+1])
		for r := k + 1; r < 6; r++ {
			next := &a[r]
			dot := 0.0
			for c := k + 1; c < 6; c++ {
				dot += row[c] * next[c]
			}
			dot *= beta
			for c := k + 1; c < 6; c++ {
				next[c] -= dot * row[c]
			}
		}
	}
	most := 0.0
	for i := range d {
		most = math.Max(most, math.Abs(d[i])+math.Abs(e[i]))
	}
	// Zeros become so small that they change nothing but divide without harm.
	tiny := most*1e-16 + 1e-60
	for i := range d {
		x := d[5-i]
		if math.Abs(x) < tiny {
			x = math.Copysign(tiny, x)
		}
		b.q[i] = x * x
		if i < 5 {
			y := e[4-i]
			b.e[i] = y * y
			b.off[i] = x * y
		}
	}
}

// least returns the smallest eigenvalue of the product of the matrix with its
// transpose: the square of the smallest singular value.
//
// With p(s) the product of d_i, the stationary factors at shift s, the sums
// g = sum 1/(lambda-s) and h = sum 1/(lambda-s)^2 over the eigenvalues are
// -p'/p and its derivative, and come from sums of terms of one sign. From below
// the smallest eigenvalue, Laguerre's step never passes it.
func (b *bidiagonal) least() float64 {
	s, last := 0.0, 0.0
	for range 100 {
		t, t1, t2 := -s, -1.0, 0.0
		var g, h float64
		for i, q := range b.q {
			d := q + t
			if !(d > 0) {
				if math.IsNaN(d) {
					return d
				}
				return s // rounding has reached the eigenvalue
			}
			v := 1 / d
			w := t1 * v
			g -= w
			h += w*w - t2*v
			if i < 5 {
				k := b.e[i] * v
				m := k * q * v
				t = t*k - s
				t1, t2 = t1*m-1, m*(t2-2*t1*w)
			}
		}
		step := 6 / (g + math.Sqrt(math.Max(0, 5*(6*h-g*g))))
		s += step
		// Towards a simple eigenvalue the error left is of third order in the
		// step; towards a multiple one the steps shrink evenly.
		if !(step > 1e-6*s) && (step < 1e-4*last || !(step > 1e-16*s)) {
			return s
		}
		last = step
	}
	return s
}

// direction returns the unit eigenvector for the eigenvalue s, in the matrix's own
// order.
func (b *bidiagonal) direction(s float64) (v [6]float64) {
	// Factors from both ends meet at the entry where they agree best.
	var down, up, t, p [6]float64
	t[0] = -s
	for i := range 6 {
		down[i] = b.q[i] + t[i]
		if i < 5 {
			t[i+1] = t[i]*(b.e[i]/keep(down[i])) - s
		}
	}
	p[5] = b.q[5] - s
	for i := 4; i >= 0; i-- {
		up[i+1] = b.e[i] + p[i+1]
		p[i] = p[i+1]*(b.q[i]/keep(up[i+1])) - s
	}
	at, least := 0, math.Inf(1)
	for i := range 6 {
		if m := math.Abs(t[i] + p[i] + s); m < least {
			at, least = i, m
		}
	}
	var z [6]float64
	z[at] = 1
	norm := 1.0
	for i := at - 1; i >= 0; i-- {
		z[i] = -b.off[i] / keep(down[i]) * z[i+1]
		norm += z[i] * z[i]
	}
	for i := at; i < 5; i++ {
		z[i+1] = -b.off[i] / keep(up[i+1]) * z[i]
		norm += z[i+1] * z[i+1]
	}
	norm = 1 / math.Sqrt(norm)
	for i := range v {
		v[i] = z[5-i] * norm
	}
	return v
}

// keep returns x, or something tiny in place of zero.
func keep(x float64) float64 {
	if x == 0 {
		return 1e-300
	}
	return x
}
