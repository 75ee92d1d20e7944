package sweep

import (
	"math"

	"posework/engine/shape"
	"posework/kin"
)

// PointSpeed returns the greatest speed of any point of arm, tool and held part,
// mm/s, and the body that has it.
func (w *Sweep) PointSpeed(spans []Span) BodyExtreme {
	best, body := -1.0, -1
	v := &w.pairs.view
	x := w.greatest(spans, TolMMS, func(n *node) sampled {
		l := &w.laws[n.piece]
		if l.top == 0 {
			if best < 0 {
				best, body = 0, w.setup(n.piece).movers[0].body
			}
			return sampled{value: 0, bound: 0}
		}
		v.look(w, n)
		w.spend(pointWork * len(v.s.movers))
		fastest := n.rate
		if n.h > 0 {
			_, fastest = l.product(n.s0(), n.s1(), 1, 1)
		}
		value, bound := 0.0, 0.0
		for i := range v.s.movers {
			m := &v.s.movers[i]
			if m.link == 0 {
				continue
			}
			if n.h > 0 && n.bounded {
				// Not by a tolerance faster than what is known: no closer look.
				if hi := v.fastestPoint(i) * fastest; hi <= math.Max(best, value)+TolMMS {
					bound = math.Max(bound, hi)
					continue
				}
			}
			now, hi := v.pointSpeed(i)
			if now > value {
				value = now
				if now > best {
					best, body = now, m.body
				}
			}
			bound = math.Max(bound, hi)
		}
		return sampled{value: -value, bound: -bound - slack}
	})
	out := BodyExtreme{Extreme: x}
	if body >= 0 {
		out.Body = w.bodies[body]
	}
	return out
}

// fastestPoint bounds the speed by s of every point of mover i.
func (v *view) fastestPoint(i int) float64 {
	m, n := v.mover(i), v.n
	v.place(i)
	t := &n.link[m.link]
	vc := t.v.Add(t.w.Cross(v.at[i].Sub(t.o)))
	x1, x2, _ := n.reach(m)
	return math.Min(vc.Norm()+t.w.Norm()*m.radius+x2*n.h, x1)
}

// pointSpeed returns the greatest speed (mm/s) of a point of mover i in the
// middle of the interval, and a bound over all of it.
//
// Seen by an observer who turns with the body, a point has the velocity
// u = v + w x r with a fixed r, and over the interval v and w change by
// (a - w x v) and al; so the greatest |u| over the body is convex in s but for
// the second derivative of u, which this observer sees as
// x”' - 2 w x x" - w' x x' + w x (w x x').
func (v *view) pointSpeed(i int) (now, bound float64) {
	m, n := v.mover(i), v.n
	a := v.place(i)
	t := &n.link[m.link]
	now = fastest(a, t) * n.rate
	if n.h == 0 {
		return now, now
	}
	if !n.bounded {
		return now, math.Inf(1)
	}
	return now, v.fieldSpeed(a, t, m)
}

// fieldSpeed bounds the speed, over the interval, of every point of mover m that
// lies in a in the middle of it.
func (v *view) fieldSpeed(a *shape.Shape, t *twist, m *mover) float64 {
	n := v.n
	dv, dw := t.a.Sub(t.w.Cross(t.v)), t.al
	left, right := *t, *t
	left.v, left.w = t.v.AddScaled(-n.h, dv), t.w.AddScaled(-n.h, dw)
	right.v, right.w = t.v.AddScaled(n.h, dv), t.w.AddScaled(n.h, dw)
	turn, turnRate := n.turning(m.link)
	x1, x2, x3 := n.reach(m)
	rest := (x3 + 2*turn*x2 + (turnRate+turn*turn)*x1) * n.h * n.h / 2
	_, hi := v.w.laws[n.piece].product(n.s0(), n.s1(), fastest(a, &left)+rest, fastest(a, &right)+rest)
	return hi
}

// turning bounds the angular velocity of a link over the interval, and its
// derivative: each axis is carried by those before it.
func (n *node) turning(link int) (w, rate float64) {
	for i := range link {
		rate += n.c[i] + w*n.b[i]
		w += n.b[i]
	}
	if link == hand {
		w, rate = math.Min(w, n.w[0]), math.Min(rate, n.w[1])
	}
	return w, rate
}

// fastest returns the greatest |v + w x (x - o)| over the points x of a shape.
// The speed is convex in x, so extreme points are enough: for a ball of radius r
// about c, with u the velocity of c, it is sqrt(u.u + 2 r |u x w| + r^2 w.w).
func fastest(a *shape.Shape, t *twist) float64 {
	switch a.Kind {
	case shape.Capsule:
		return math.Max(fastestInBall(a.P, a.R, t), fastestInBall(a.Q, a.R, t))
	case shape.Sphere:
		return fastestInBall(a.P, a.R, t)
	case shape.Box:
		u := t.v.Add(t.w.Cross(a.P.Sub(t.o)))
		x := t.w.Cross(a.Rot.X).Scale(a.Half.X)
		y := t.w.Cross(a.Rot.Y).Scale(a.Half.Y)
		z := t.w.Cross(a.Rot.Z).Scale(a.Half.Z)
		best := 0.0
		for _, p := range [2]kin.Vec{u.Add(x), u.Sub(x)} {
			for _, q := range [2]kin.Vec{p.Add(y), p.Sub(y)} {
				best = math.Max(best, math.Max(q.Add(z).Norm2(), q.Sub(z).Norm2()))
			}
		}
		return math.Sqrt(best)
	default:
		best := 0.0
		x, y := t.w.Cross(a.Rot.X).Scale(a.R), t.w.Cross(a.Rot.Y).Scale(a.R)
		for _, z := range [2]float64{a.Half.Z, -a.Half.Z} {
			u := t.v.Add(t.w.Cross(a.P.AddScaled(z, a.Rot.Z).Sub(t.o)))
			best = math.Max(best, fastestOnRim(u, x, y))
		}
		return best
	}
}

func fastestInBall(c kin.Vec, r float64, t *twist) float64 {
	u := t.v.Add(t.w.Cross(c.Sub(t.o)))
	return math.Sqrt(u.Norm2() + 2*r*u.Cross(t.w).Norm() + r*r*t.w.Norm2())
}

// rimTol is how much fastestOnRim may be too large, mm/s for a motion of a unit
// of s a second.
const rimTol = 1e-3

// fastestOnRim returns the greatest |u + x cos + y sin| over a turn, at most
// rimTol and a millionth too large: an arc lies in the triangle of its ends and
// the crossing of their tangents, so the greatest of the three, by convexity,
// bounds it; arcs that could hold more than is known are halved.
func fastestOnRim(u, x, y kin.Vec) float64 {
	type arc struct{ c0, s0, half float64 } // middle direction, half angle
	const n = 4
	best := 0.0
	at := func(c, s, r float64) float64 { return u.AddScaled(r*c, x).AddScaled(r*s, y).Norm() }
	var stack [64]arc
	top := 0
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / n)
		stack[top] = arc{c, s, math.Pi / n}
		top++
		best = math.Max(best, at(c, s, 1))
	}
	high := best
	for top > 0 {
		top--
		a := stack[top]
		best = math.Max(best, at(a.c0, a.s0, 1))
		s, c := math.Sincos(a.half)
		e0 := at(a.c0*c-a.s0*s, a.s0*c+a.c0*s, 1)
		e1 := at(a.c0*c+a.s0*s, a.s0*c-a.c0*s, 1)
		best = math.Max(best, math.Max(e0, e1))
		t := at(a.c0, a.s0, 1/c)
		if t <= best*(1+1e-6)+rimTol || a.half < 1e-4 {
			high = math.Max(high, t)
			continue
		}
		h := a.half / 2
		s, c = math.Sincos(h)
		stack[top] = arc{a.c0*c - a.s0*s, a.s0*c + a.c0*s, h}
		stack[top+1] = arc{a.c0*c + a.s0*s, a.s0*c - a.c0*s, h}
		top += 2
	}
	return math.Max(high, best)
}
