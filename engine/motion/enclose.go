package motion

import (
	"math"

	"posework/kin"
)

// Bounds on the axes along a Cartesian path.
//
// The axes follow J(q) q' = x', with x' the twist of a point of the tool by s.
// At one s everything is known; these functions bound the first three
// derivatives of q over [s-h, s+h].
//
// Let sigma be the least singular value of J at s, K bound the change of J per
// unit change of q (in the 2-norm), p = |q'| at s, V1 bound |x''|, and r(t) be the
// length that q travels over the next t of s. While K r < sigma,
//
//	q' = (I + J0^-1 D)^-1 (q0' + J0^-1 (x' - x0')),  |D| <= K r,  |J0^-1| = 1/sigma
//
// so that r' <= (p + V1 t / sigma) / (1 - K r / sigma), which integrates to
//
//	1 - K r(h) / sigma >= sqrt(1 - 2 K (p h + V1 h^2 / (2 sigma)) / sigma) =: 1 - eta.
//
// As long as what is under the root stays positive, J can't become singular
// (singular values move no more than the matrix does: H. Weyl, 1912), row i of
// its inverse grows by no more than 1/(1 - eta), and each axis is bounded by its
// own row. Higher derivatives follow from
//
//	J q''  = x''  - J' q'
//	J q''' = x''' - 2 J' q'' - J'' q'
//
// where the n-th derivative of a point by axes i <= k <= ... <= l is a product
// of unit vectors with the lever of axis l, so that it never exceeds that
// lever. What is bounded with a derivative in hand is then drawn in around the
// known middle: |q'| <= |q'(s)| + h |q''|, |q''| <= |q''(s)| + h |q'''|.
//
// With a spherical wrist the problem splits, and the bounds stay tight near a
// wrist alignment where the general ones collapse: the wrist centre fixes axes
// 1 to 3, and the sine of axis 5, whose own speed stays finite, is all that
// axes 4 and 6 divide by.

// derivs bounds the first three derivatives of the axes by s.
type derivs struct{ d1, d2, d3 kin.Joints }

// quality is the least 1 - eta (and the least share of the sine of axis 5 left)
// for which a bound is given: below it, bounds are too loose to be of use.
const quality = 0.6

// axes bounds the axes' derivatives over [s-h, s+h], with e the arm at s and r
// bounding the twist over that interval. It reports false when the interval is
// too wide for the distance to the nearest singularity.
func (l *levers) axes(e *state, r *rates, h float64, d *derivs) bool {
	ok := false
	if l.spherical {
		ok = l.axesSpherical(e, r, h, d)
	} else {
		ok = l.axesGeneral(e, r, h, d)
	}
	if !ok {
		return false
	}
	for i := range 6 {
		d.d2[i] = min(d.d2[i], math.Abs(e.ddq[i])+h*d.d3[i])
		d.d1[i] = min(d.d1[i], math.Abs(e.dq[i])+h*d.d2[i])
	}
	return true
}

// cone is what the argument above needs: how far the axes can get over h.
type cone struct{ k, p, v1, h, sigma float64 }

// grow returns 1/(1 - eta). It reports false when h is too wide.
func (c *cone) grow() (float64, bool) {
	left := 1 - 2*c.k*(c.p*c.h+c.v1*c.h*c.h/(2*c.sigma))/c.sigma
	if !(left >= quality*quality) {
		return 0, false
	}
	return 1 / math.Sqrt(left), true
}

// drift bounds what the axes' rates have to make good: |x' - x0' - D q0'|.
func (c *cone) drift(grow float64) float64 {
	eta := 1 - 1/grow
	return c.v1*c.h + eta*c.sigma*c.p
}

// regional bounds axes 1 to 3 from the motion of the wrist centre.
func (l *levers) regional(e *state, r *rates, h float64, d *derivs) bool {
	wc := e.f[4].T
	v, v1, v2 := r.about(wc.Sub(e.tcp.T).Norm())
	col := [3]kin.Vec{}
	for i := range col {
		col[i] = e.f[i].R.Z.Cross(wc.Sub(e.f[i].T))
	}
	inv, ok := inverse3(col[0], col[1], col[2])
	if !ok {
		return false
	}
	lev := l.wrist
	lev[0] = min(lev[0], col[0].Norm()+v*h)
	var k2, p2 float64
	for i := range 3 {
		p2 += e.dq[i] * e.dq[i]
		for j := range 3 {
			k2 += lev[max(i, j)] * lev[max(i, j)]
		}
	}
	c := cone{
		k: math.Sqrt(k2), p: math.Sqrt(p2), v1: v1, h: h,
		sigma: 1 / math.Sqrt(inv[0].Norm2()+inv[1].Norm2()+inv[2].Norm2()),
	}
	grow, ok := c.grow()
	if !ok {
		return false
	}
	rowNorm := [3]float64{inv[0].Norm() * grow, inv[1].Norm() * grow, inv[2].Norm() * grow}
	for i := range 3 {
		d.d1[i] = min(rowNorm[i]*v, math.Abs(e.dq[i])+rowNorm[i]*c.drift(grow))
	}
	for range 2 { // the second round starts from the tighter speeds
		var b2, b3 float64
		for i := range 3 {
			for j := range 3 {
				b2 += d.d1[i] * d.d1[j] * lev[max(i, j)]
			}
		}
		for i := range 3 {
			d.d2[i] = rowNorm[i] * (v1 + b2)
		}
		for i := range 3 {
			for j := range 3 {
				b3 += 3 * d.d1[i] * d.d2[j] * lev[max(i, j)]
				for n := range 3 {
					b3 += d.d1[i] * d.d1[j] * d.d1[n] * lev[max(i, j, n)]
				}
			}
		}
		for i := range 3 {
			d.d3[i] = rowNorm[i] * (v2 + b3)
			d.d2[i] = min(d.d2[i], math.Abs(e.ddq[i])+h*d.d3[i])
			d.d1[i] = min(d.d1[i], math.Abs(e.dq[i])+h*d.d2[i])
		}
	}
	return true
}

// forearm bounds the angular velocity of link 3 and its first two derivatives.
func (l *levers) forearm(e *state, h float64, d *derivs) (w, w1, w2 float64) {
	var mid kin.Vec
	var zeta, zeta1 float64 // bounds on the first and second derivative of an axis direction
	for i := range 3 {
		mid = mid.AddScaled(e.dq[i], e.f[i].R.Z)
		w1 += d.d2[i] + zeta*d.d1[i]
		w2 += d.d3[i] + 2*zeta*d.d2[i] + (zeta1+zeta*zeta)*d.d1[i]
		zeta += d.d1[i]
		zeta1 += d.d2[i]
	}
	return min(zeta, mid.Norm()+h*w1), w1, w2
}

func (l *levers) axesSpherical(e *state, r *rates, h float64, d *derivs) bool {
	if !l.regional(e, r, h, d) {
		return false
	}
	w, w1, w2 := l.forearm(e, h, d)
	// y is the turning that axes 4 to 6 have to make, seen from link 3.
	y1 := r.w1 + w1 + w*r.w
	y2 := r.w2 + w2 + w1*r.w + 2*w*r.w1 + w*w1 + w*w*r.w

	u, n, f6 := e.f[3].R.Z, e.f[4].R.Z, e.f[5].R.Z
	y := u.Scale(e.dq[3]).AddScaled(e.dq[4], n).AddScaled(e.dq[5], f6)
	yMax := y.Norm() + h*y1
	g := u.Cross(n)
	sin := math.Abs(f6.Dot(g))
	m0, n0, u0 := math.Abs(y.Dot(g)), math.Abs(y.Dot(n)), math.Abs(y.Dot(u))

	// y along axis 5 (n) and across axes 4 and 5 (m): q5' = n, q6' = m / sin,
	// q4' = y.u - cos q6'.
	mMax, nMax := yMax, yMax
	var s, q4, q6, m1, n1 float64
	for range 3 {
		s = sin - h*nMax
		if !(s >= quality*sin) {
			return false
		}
		q6 = mMax / s
		q4 = min(u0+h*y1, yMax) + q6
		m1 = y1 + q4*nMax
		n1 = y1 + q4*mMax
		mMax = min(mMax, m0+h*m1)
		nMax = min(nMax, n0+h*n1)
	}
	q5 := nMax
	q6b := m1/s + mMax*q5/(s*s)
	q4b := y1 + q6*q5 + q6b
	m2 := y2 + 2*q4*y1 + q4b*nMax + q4*q4*mMax
	n2 := y2 + 2*q4*y1 + q4b*mMax + q4*q4*nMax
	q6c := m2/s + 2*m1*q5/(s*s) + mMax*(q5*q5/s+n1/(s*s)+2*q5*q5/(s*s*s))
	q4c := y2 + q6c + 2*q5*q6b + (q5*q5+n1)*q6
	d.d1[3], d.d1[4], d.d1[5] = q4, q5, q6
	d.d2[3], d.d2[4], d.d2[5] = q4b, n1, q6b
	d.d3[3], d.d3[4], d.d3[5] = q4c, n2, q6c
	return true
}

// axesGeneral bounds the axes of any arm from the whole Jacobian at the tool
// centre point, its linear rows divided by l.scale.
func (l *levers) axesGeneral(e *state, r *rates, h float64, d *derivs) bool {
	inv, ok := l.inverse(e)
	if !ok {
		return false
	}
	var sum float64
	var rowNorm [6]float64
	for i := range 6 {
		var n float64
		for j := range 6 {
			n += inv[i][j] * inv[i][j]
		}
		sum += n
		rowNorm[i] = math.Sqrt(n)
	}
	// Column i of J is (z x lever, z): axis j moves it by at most the lever of
	// the outer of the two, and turns z when j is the inner one.
	var k2, p2 float64
	for j := range 6 {
		p2 += e.dq[j] * e.dq[j]
		for i := range 6 {
			a := l.tool[max(i, j)] / l.scale
			k2 += a * a
			if j < i {
				k2 += l.turn[i] * l.turn[j]
			}
		}
	}
	c := cone{
		k: math.Sqrt(k2), p: math.Sqrt(p2), v1: math.Hypot(r.v1/l.scale, r.w1), h: h,
		sigma: 1 / math.Sqrt(sum),
	}
	grow, ok := c.grow()
	if !ok {
		return false
	}
	v := math.Hypot(r.v/l.scale, r.w)
	for i := range 6 {
		rowNorm[i] *= grow
		d.d1[i] = min(rowNorm[i]*v, math.Abs(e.dq[i])+rowNorm[i]*c.drift(grow))
	}
	for range 2 {
		l.generalRound(e, r, h, &rowNorm, d)
	}
	return true
}

// generalRound bounds second and third derivatives from the first, and draws
// the first in.
func (l *levers) generalRound(e *state, r *rates, h float64, rowNorm *[6]float64, d *derivs) {
	var lin2, ang2 float64
	for i := range 6 {
		for j := range 6 {
			lin2 += d.d1[i] * d.d1[j] * l.tool[max(i, j)]
			if j < i {
				ang2 += d.d1[i] * d.d1[j] * l.turn[i] * l.turn[j]
			}
		}
	}
	for i := range 6 {
		d.d2[i] = rowNorm[i] * math.Hypot((r.v1+lin2)/l.scale, r.w1+ang2)
	}
	var lin3, ang3 float64
	for i := range 6 {
		var zeta, zeta1 float64
		for j := range 6 {
			a := l.tool[max(i, j)]
			lin3 += 3 * d.d1[i] * d.d2[j] * a
			for n := range 6 {
				lin3 += d.d1[i] * d.d1[j] * d.d1[n] * l.tool[max(i, j, n)]
			}
			if j < i {
				zeta += d.d1[j] * l.turn[j]
				zeta1 += d.d2[j] * l.turn[j]
			}
		}
		ang3 += l.turn[i] * (2*zeta*d.d2[i] + (zeta1+zeta*zeta)*d.d1[i])
	}
	for i := range 6 {
		d.d3[i] = rowNorm[i] * math.Hypot((r.v2+lin3)/l.scale, r.w2+ang3)
		d.d2[i] = min(d.d2[i], math.Abs(e.ddq[i])+h*d.d3[i])
		d.d1[i] = min(d.d1[i], math.Abs(e.dq[i])+h*d.d2[i])
	}
}

// inverse returns the inverse of the Jacobian at the tool centre point with its
// linear rows divided by l.scale.
func (l *levers) inverse(e *state) (inv [6][6]float64, ok bool) {
	var j kin.Jacobian
	l.chain.JacobianAt(&e.f, e.tcp.T, &j)
	for r := range 3 {
		for c := range 6 {
			j[r][c] /= l.scale
		}
	}
	var lu lu6
	if !lu.factor(&j) {
		return inv, false
	}
	lu.inverse(&inv)
	return inv, true
}

// slack measures how far the arm at e is from a singularity, as a number
// between 0 and about 1: a lower bound on the least singular value of the
// Jacobian with lengths divided by the arm's own. With a spherical wrist it is
// the lesser of that of the wrist centre and the sine of axis 5.
func (l *levers) slack(e *state) float64 {
	if !l.spherical {
		inv, ok := l.inverse(e)
		if !ok {
			return 0
		}
		var sum float64
		for i := range inv {
			for j := range inv[i] {
				sum += inv[i][j] * inv[i][j]
			}
		}
		return 1 / math.Sqrt(sum)
	}
	wc := e.f[4].T
	inv, ok := inverse3(
		e.f[0].R.Z.Cross(wc.Sub(e.f[0].T)),
		e.f[1].R.Z.Cross(wc.Sub(e.f[1].T)),
		e.f[2].R.Z.Cross(wc.Sub(e.f[2].T)))
	if !ok {
		return 0
	}
	sigma := 1 / math.Sqrt(inv[0].Norm2()+inv[1].Norm2()+inv[2].Norm2())
	return min(sigma/l.scale, e.f[3].R.Z.Cross(e.f[5].R.Z).Norm())
}
