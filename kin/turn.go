package kin

import "math"

// turn is an angle kept as its cosine and sine.
type turn struct{ c, s float64 }

// toward returns the turn that takes the x axis to the direction (x, y), and no
// turn for a zero vector.
func toward(x, y float64) turn {
	n := math.Sqrt(x*x + y*y)
	if n == 0 {
		return turn{1, 0}
	}
	n = 1 / n
	return turn{x * n, y * n}
}

// plus returns the turn by both angles.
func (t turn) plus(u turn) turn { return turn{t.c*u.c - t.s*u.s, t.s*u.c + t.c*u.s} }

// minus returns the turn by t and back by u.
func (t turn) minus(u turn) turn { return turn{t.c*u.c + t.s*u.s, t.s*u.c - t.c*u.s} }

// back returns the opposite turn.
func (t turn) back() turn { return turn{t.c, -t.s} }

// nudge turns t on by a small angle, at most 0.3, and keeps it of length one. It is
// a step of an iteration, good to the third order of the angle.
func (t turn) nudge(a float64) turn {
	u := t.plus(turn{1 - a*a/2, a})
	n := u.c*u.c + u.s*u.s
	n = 1.5 - 0.5*n // Newton's step for 1/sqrt(n), which is 1 + O(a^4)
	if a > 1e-4 || a < -1e-4 {
		return toward(u.c, u.s)
	}
	return turn{u.c * n, u.s * n}
}

// differs reports whether two turns are further apart than the two halves of a
// double root may be.
func (t turn) differs(u turn) bool { return math.Abs(t.c-u.c)+math.Abs(t.s-u.s) > 1e-7 }

// apply turns the vector (x, y).
func (t turn) apply(x, y float64) (float64, float64) { return t.c*x - t.s*y, t.s*x + t.c*y }

// twoTurns solves x*cos + y*sin = k, the scalar core of most of the geometric
// subproblems (B. Paden, 1986; W. Kahan, 1983; A. Elias and J. Wen, IK-Geo, 2022,
// subproblems 3 and 4). plus and minus are the two solutions, equal when they
// fall together. over is how far |k| exceeds the length of (x, y), at least 0:
// then there is no solution and the answer is the nearest approach. free says
// that every angle solves it to within tol.
func twoTurns(x, y, k, tol float64) (plus, minus turn, over float64, free bool) {
	n := math.Sqrt(x*x + y*y)
	if n <= tol && math.Abs(k) <= tol {
		return turn{1, 0}, turn{1, 0}, 0, true
	}
	if n == 0 {
		return turn{1, 0}, turn{1, 0}, math.Abs(k), false
	}
	h2 := (n - k) * (n + k)
	inv := 1 / n
	x, y = x*inv, y*inv
	if h2 <= 0 {
		t := turn{math.Copysign(x, x*k), math.Copysign(y, y*k)}
		return t, t, math.Abs(k) - n, false
	}
	c, h := k*inv, math.Sqrt(h2)*inv
	xc, yc, xh, yh := x*c, y*c, x*h, y*h
	return turn{xc - yh, yc + xh}, turn{xc + yh, yc - xh}, 0, false
}
