package kin

import "math"

// onCircle finds the unit vectors (c, s), at most four, with
//
//	a*c*c + b*c*s + d*c + e*s + f = 0.
//
// The conic is turned so that it has no mixed term, then taken apart: among the
// conics through its intersections with the unit circle, conic + lambda*circle,
// some consist of two straight lines. The lambda of one such pair lies in a
// known bracket, so the lines are always real and are found by a safeguarded
// Newton iteration; each meets the circle in at most two points (the classical
// resolvent of a quartic, read geometrically). Every point is then polished on
// the equation itself. A line that misses the circle by less than nearMiss of its
// radius yields its nearest point: touching solutions must survive rounding, and
// the caller checks them.
func onCircle(a, b, d, e, f float64, out *[4]turn) int {
	const nearMiss = 1e-6
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
	// Now 2p c^2 + d c + e s + g = 0 with g = f + a/2 - p.
	g := f + a/2 - p
	scale := math.Max(2*p, math.Max(math.Abs(d)+math.Abs(e), math.Abs(g)))
	if scale == 0 {
		return 0
	}
	n := 0
	add := func(t turn) {
		t = polishOnCircle(p, d, e, g, t)
		for i := range n {
			if math.Abs(t.c-out[i].c)+math.Abs(t.s-out[i].s) < 1e-13 {
				return
			}
		}
		out[n] = t
		n++
	}
	cut := func(x, y, k float64) {
		plus, minus, over, free := twoTurns(x, y, k, 0)
		if free || over > nearMiss*math.Sqrt(x*x+y*y) {
			return
		}
		add(plus)
		if over == 0 && n < 4 {
			add(minus)
		}
	}
	if 2*p <= 1e-12*scale {
		cut(d, e, -g) // a straight line already
	} else {
		p, d, e, g = p/scale, d/scale, e/scale, g/scale
		m, l, k1, k2 := splitConic(2*p, d, e, g)
		cut(m, l, k1)
		cut(m, -l, k2)
	}
	for i := range n {
		out[i] = out[i].plus(shift)
	}
	return n
}

// splitConic writes w x^2 + d x + e y + g + lambda (x^2 + y^2 - 1), with w > 0 and
// a suitable lambda in [-w, 0], as (m x + l y - k1)(m x - l y - k2).
func splitConic(w, d, e, g float64) (m, l, k1, k2 float64) {
	// With lambda = -w t: det = 0 becomes h(t) = 0 for
	//	h(t) = w (1-t) (w t (g + w t) + e^2/4) - w t d^2/4, divided by w,
	// which is e^2/4 >= 0 at t = 0 and -d^2/4 <= 0 at t = 1.
	de, dd := e*e/4, d*d/4
	h := func(t float64) float64 { return (1-t)*(w*t*(g+w*t)+de) - t*dd }
	dh := func(t float64) float64 {
		return -(w*t*(g+w*t) + de) + (1-t)*(w*g+2*w*w*t) - dd
	}
	lo, hi, t := 0.0, 1.0, 0.5
	for range 60 {
		v := h(t)
		if v >= 0 {
			lo = t
		}
		if v <= 0 {
			hi = t
		}
		if v == 0 {
			break
		}
		next := t - v/dh(t)
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-t) <= 1e-16*(1+math.Abs(t)) || next == lo || next == hi {
			t = next
			break
		}
		t = next
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

// polishOnCircle improves a root of 2p c^2 + d c + e s + g by Newton steps on
// the angle, as long as they make it smaller.
func polishOnCircle(p, d, e, g float64, t turn) turn {
	v := (2*p*t.c+d)*t.c + e*t.s + g
	for range 3 {
		slope := -4*p*t.c*t.s - d*t.s + e*t.c
		step := -v / slope
		if !(math.Abs(step) < 0.1) {
			return t
		}
		// A turn by a small angle, kept on the circle.
		u := t.plus(turn{1 - step*step/2, step})
		n := 1 / math.Sqrt(u.c*u.c+u.s*u.s)
		u.c, u.s = u.c*n, u.s*n
		w := (2*p*u.c+d)*u.c + e*u.s + g
		if !(math.Abs(w) < math.Abs(v)) {
			return t
		}
		t, v = u, w
	}
	return t
}
