package kin

import "math"

// conic is what the curves a c^2 + b c s + d c + e s + f = 0 of one arm share: a
// and b. They are turned so that the mixed term goes away,
//
//	2p c^2 + d c + e s + g = 0.
type conic struct {
	p     float64
	inv   float64 // 1/(2p)
	half  float64 // g - f
	shift turn    // back from the turned coordinates
}

func newConic(a, b float64) conic {
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
	return conic{p: p, inv: 1 / (2 * p), half: a/2 - p, shift: shift}
}

// onCircle finds the unit vectors (c, s), at most four, that lie on the conic.
// distinct says that no two of them can be halves of one.
//
// The conic is taken apart: among the conics through its intersections with the
// unit circle, conic + lambda*circle, some consist of two straight lines. The
// lambda of one such pair lies in a known bracket, so the lines are always real
// and are found by iteration; each meets the circle in at most two points (the
// classical resolvent of a quartic, read geometrically). Every point is then
// polished on the equation itself. Where two points fall together to within
// rounding, one of them is given; what touches the circle only almost is given
// too, and the caller checks it.
func (k *conic) onCircle(d, e, f float64, out *[4]turn) (n int, distinct bool) {
	d, e = k.shift.back().apply(d, e)
	g := f + k.half
	n, distinct = cleanRoots(d*k.inv, e*k.inv, g*k.inv, out)
	if !distinct {
		n = k.closeRoots(d, e, g, out)
	}
	for i := range n {
		out[i] = out[i].plus(k.shift)
	}
	return n, distinct
}

// cleanRoots finds the unit vectors with c^2 + d c + e s + g = 0 where they are
// all far from falling together, and says so.
func cleanRoots(d, e, g float64, out *[4]turn) (n int, ok bool) {
	size := math.Abs(d) + math.Abs(e) + math.Abs(g)
	if !(size < 1e3) {
		return 0, false
	}
	m, l, ka, kb, ok := splitClean(d, e, g)
	if !ok {
		return 0, false
	}
	for _, k := range [2]float64{ka + kb, ka - kb} {
		hh := (1 - k) * (1 + k)
		if hh > 3e-6 {
			h := math.Sqrt(hh)
			out[n] = turn{m*k - l*h, l*k + m*h}
			out[n+1] = turn{m*k + l*h, l*k - m*h}
			n += 2
		} else if !(hh < -3e-6) {
			return 0, false // the line all but touches the circle
		}
		l = -l
	}
	for i := range n {
		q := &out[i]
		v := (q.c+d)*q.c + e*q.s + g
		slope := e*q.c - (2*q.c+d)*q.s
		step := -v / slope
		if !(math.Abs(slope) > 2e-5*(1+size) && math.Abs(step) < 1e-8) {
			return 0, false
		}
		*q = turn{q.c - q.s*step, q.s + q.c*step}
	}
	return n, true
}

// splitClean writes c^2 + d c + e s + g, on the circle, as
// (m c - ka)^2 - (l s - kb)^2 with m^2 + l^2 = 1. It reports false where rounding may
// move the lines by more than cleanRoots can bear.
func splitClean(d, e, g float64) (m, l, ka, kb float64, ok bool) {
	switch {
	case e == 0:
		ka = -d / 2
		return 1, 0, ka, math.Sqrt(ka*ka - g), true
	case d == 0:
		kb = e / 2
		return 0, 1, math.Sqrt(kb*kb + g + 1), kb, true
	}
	t, ok := resolvent(d, e, g)
	m, l = math.Sqrt(1-t), math.Sqrt(t)
	ka, kb = -d/(2*m), e/(2*l)
	return m, l, ka, kb, ok && math.Abs((ka-kb)*(ka+kb)-(g+t)) < 3e-10
}

// resolvent returns a root within (0, 1) of
//
//	h(t) = (1-t) (t (g + t) + e^2/4) - t d^2/4,
//
// which is at least 0 at t = 0 and at most 0 at t = 1, by Halley's steps.
func resolvent(d, e, g float64) (t float64, ok bool) {
	de, dd := e*e/4, d*d/4
	h2, h1 := 1-g, g-de-dd
	// The start is the root of the parabola de + h1 t - g t^2: it lacks t^2 (1-t),
	// which vanishes at both ends.
	root := math.Sqrt(h1*h1 + 4*g*de)
	if h1 < 0 {
		t = 2 * de / (root - h1)
	} else {
		t = (h1 + root) / (2 * g)
	}
	lo, hi := 0.0, 1.0
	for range 12 {
		v := ((h2-t)*t+h1)*t + de
		if v > 0 {
			lo = t
		} else {
			hi = t
		}
		v1 := (2*h2-3*t)*t + h1
		step := v * v1 / (v1*v1 - v*(h2-3*t))
		next := t - step
		if !(next >= lo && next <= hi) {
			t = (lo + hi) / 2
			continue
		}
		t = next
		if math.Abs(step) <= 1e-3*min(t, 1-t) {
			return t, true // what is left is the cube of it
		}
	}
	return t, false
}

// circleConic collects the unit vectors (c, s) with 2p c^2 + d c + e s + g = 0,
// whose greatest coefficient is 1.
type circleConic struct {
	p, d, e, g float64
	n          int
	found      *[4]turn
}

// closeRoots finds the unit vectors with 2p c^2 + d c + e s + g = 0 where some of
// them may fall together.
func (k *conic) closeRoots(d, e, g float64, out *[4]turn) int {
	scale := math.Max(2*k.p, math.Max(math.Abs(d)+math.Abs(e), math.Abs(g)))
	if scale == 0 {
		return 0
	}
	scale = 1 / scale
	q := circleConic{p: k.p * scale, d: d * scale, e: e * scale, g: g * scale, found: out}
	if q.p <= 1e-12 {
		q.cut(q.d, q.e, -q.g) // a straight line already
	} else {
		m, l, k1, k2 := splitConic(2*q.p, q.d, q.e, q.g)
		q.cut(m, l, k1)
		q.cut(m, -l, k2)
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
