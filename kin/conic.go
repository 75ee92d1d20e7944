package kin

import "math"

// circleConic collects the unit vectors (c, s) with 2p c^2 + d c + e s + g = 0,
// whose greatest coefficient is 1.
type circleConic struct {
	p, d, e, g float64
	n          int
	found      *[4]turn
}

// onCircle finds the unit vectors (c, s), at most four, with
//
//	a*c*c + b*c*s + d*c + e*s + f = 0.
//
// The conic is turned so that it has no mixed term, then taken apart: among the
// conics through its intersections with the unit circle, conic + lambda*circle,
// some consist of two straight lines. The lambda of one such pair lies in a
// known bracket, so the lines are always real and are found by a safeguarded
// iteration; each meets the circle in at most two points (the classical
// resolvent of a quartic, read geometrically). Every point is then polished on
// the equation itself. Where two points fall together to within rounding, one of
// them is given; what touches the circle only almost is given too, and the caller
// checks it.
func onCircle(a, b, d, e, f float64, out *[4]turn) int {
	// a c^2 + b c s = p cos(2 psi - 2 delta) + a/2, and psi is turned by delta.
	p := 0.5 * math.Sqrt(a*a+b*b)
	shift := turn{1, 0}
	if p > 0 {
		// Half the angle of (a, b), from the one of two forms that does not cancel.
		if a >= 0 {
			shift = toward(2*p+a, b)
		} else {
			shift = toward(b, 2*p-a)
		}
	}
	d, e = shift.back().apply(d, e)
	g := f + a/2 - p
	scale := math.Max(2*p, math.Max(math.Abs(d)+math.Abs(e), math.Abs(g)))
	if scale == 0 {
		return 0
	}
	scale = 1 / scale
	q := circleConic{p: p * scale, d: d * scale, e: e * scale, g: g * scale, found: out}
	if q.p <= 1e-12 {
		q.cut(q.d, q.e, -q.g) // a straight line already
	} else {
		m, l, k1, k2 := splitConic(2*q.p, q.d, q.e, q.g)
		q.cut(m, l, k1)
		q.cut(m, -l, k2)
	}
	for i := range q.n {
		out[i] = out[i].plus(shift)
	}
	return q.n
}

// cut adds the points where the line x c + y s = k meets the circle. A line that
// misses it by less than nearMiss of its radius is taken to touch.
func (q *circleConic) cut(x, y, k float64) {
	const nearMiss = 1e-6
	plus, minus, over, free := twoTurns(x, y, k, 0)
	if free || over > nearMiss*math.Sqrt(x*x+y*y) {
		return
	}
	q.refine(plus)
	if over == 0 {
		q.refine(minus)
	}
}

// refine adds the root near t, or both of a pair that is about to fall together.
func (q *circleConic) refine(t turn) {
	v := (2*q.p*t.c+q.d)*t.c + q.e*t.s + q.g
	slope := -4*q.p*t.c*t.s - q.d*t.s + q.e*t.c
	// v + slope x + curve x^2/2 = 0
	curve := -4*q.p*(t.c*t.c-t.s*t.s) - q.d*t.c - q.e*t.s
	if math.Abs(slope) > 1e-4*math.Abs(curve) {
		step := -v / slope
		if math.Abs(step) < 1e-8 {
			t = t.nudge(step) // as good as it gets: the next step is the square
		} else {
			t = q.polish(t)
		}
		q.add(t)
		return
	}
	root := math.Sqrt(math.Max(0, slope*slope-2*v*curve))
	if !(math.Abs(slope)+root <= 2e-4*math.Abs(curve)) {
		q.add(q.polish(t)) // three roots together
		return
	}
	q.add(q.polish(t.nudge((-slope + root) / curve)))
	q.add(q.polish(t.nudge((-slope - root) / curve)))
}

// polish improves a root by Newton steps on the angle as long as they make the
// value smaller.
func (q *circleConic) polish(t turn) turn {
	v := (2*q.p*t.c+q.d)*t.c + q.e*t.s + q.g
	for range 4 {
		slope := -4*q.p*t.c*t.s - q.d*t.s + q.e*t.c
		step := -v / slope
		if !(math.Abs(step) < 1e-3) {
			break // a start so far off leads to another root
		}
		u := t.nudge(step)
		w := (2*q.p*u.c+q.d)*u.c + q.e*u.s + q.g
		if !(math.Abs(w) < math.Abs(v)) {
			break
		}
		t, v = u, w
	}
	return t
}

func (q *circleConic) add(t turn) {
	for i := range q.n {
		if !t.differs(q.found[i]) {
			return
		}
	}
	if q.n < len(q.found) {
		q.found[q.n] = t
		q.n++
	}
}

// splitConic writes w x^2 + d x + e y + g + lambda (x^2 + y^2 - 1), with w > 0 and
// a suitable lambda in [-w, 0], as (m x + l y - k1)(m x - l y - k2).
func splitConic(w, d, e, g float64) (m, l, k1, k2 float64) {
	// With lambda = -w t the condition is h(t) = 0 for
	//	h(t) = (1-t) (w t (g + w t) + e^2/4) - t d^2/4,
	// which is e^2/4 >= 0 at t = 0 and -d^2/4 <= 0 at t = 1.
	de, dd := e*e/4, d*d/4
	h3, h2, h1 := -w*w, w*(w-g), w*g-de-dd
	lo, hi, t := 0.0, 1.0, 0.5
	if de+dd > 0 {
		t = de / (de + dd) // where h is zero but for its curvature
	}
	for range 100 {
		v := ((h3*t+h2)*t+h1)*t + de
		if v > 0 {
			lo = t
		} else if v < 0 {
			hi = t
		} else {
			break
		}
		step := v / ((3*h3*t+2*h2)*t + h1)
		next := t - step
		if !(next >= lo && next <= hi) {
			t = (lo + hi) / 2
			continue
		}
		// Newton squares the error: what is left is rounding, and the points
		// are polished anyway.
		t = next
		if math.Abs(step) <= 1e-6*t {
			break
		}
	}
	m2, l2 := w*(1-t), w*t
	m, l = math.Sqrt(m2), math.Sqrt(l2)
	// (m x - A)^2 - (l y - B)^2 with A = -d/(2m), B = e/(2l), and
	// A^2 - B^2 = g + w t: the larger of the two follows from its quotient.
	var ka, kb float64
	if m >= l {
		ka = -d / (2 * m)
		kb = math.Copysign(math.Sqrt(math.Max(0, ka*ka-(g+w*t))), e)
	} else {
		kb = e / (2 * l)
		ka = math.Copysign(math.Sqrt(math.Max(0, kb*kb+g+w*t)), -d)
	}
	// (m x - ka - l y + kb)(m x - ka + l y - kb)
	return m, l, ka + kb, ka - kb
}
