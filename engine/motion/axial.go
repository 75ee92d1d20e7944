package motion

import (
	"math"

	"posework/kin"
	"posework/kin/arm"
)

// axial is a joint move: straight in axis space, so that all axes start and
// stop together. Its parameter is the time the move would take with the slowest
// axis always at its rated speed, in s: a programmed share of the axis speeds is
// then a limit on ds/dt.
type axial struct {
	lev    *levers
	start  kin.Joints
	rate   kin.Joints // dq/ds
	length float64
}

// newAxial joins two configurations.
func newAxial(lev *levers, m *arm.Model, from, to *kin.Joints) *axial {
	p := &axial{lev: lev, start: *from}
	for i := range from {
		p.length = max(p.length, math.Abs(to[i]-from[i])/m.Speed[i])
	}
	if p.length < 1e-12 {
		p.length = 0
		return p
	}
	for i := range from {
		p.rate[i] = (to[i] - from[i]) / p.length
	}
	return p
}

func (p *axial) Length() float64 { return p.length }

func (p *axial) at(s float64, e *state) {
	for i := range p.start {
		e.q[i] = p.start[i] + s*p.rate[i]
	}
	e.dq, e.ddq = p.rate, kin.Joints{}
	p.lev.place(e)
}

// At evaluates the path at s.
func (p *axial) At(s float64, e *Eval) {
	var st state
	p.at(max(0, min(s, p.length)), &st)
	p.lev.eval(&st, e)
}

// eval fills e from a state.
func (l *levers) eval(st *state, e *Eval) {
	v, w := l.velocity(st, &st.dq)
	*e = Eval{Q: st.q, DQ: st.dq, DDQ: st.ddq, Frames: st.f, TCP: st.tcp, V: v, W: w, DV: l.acceleration(st)}
}

// Bound bounds the derivatives over [s0, s1].
func (p *axial) Bound(s0, s1 float64, b *Bound) bool {
	*b = Bound{}
	var d derivs
	for i := range p.rate {
		d.d1[i] = math.Abs(p.rate[i])
	}
	b.DQ = d.d1
	var e state
	h := (s1 - s0) / 2
	p.at(s0+h, &e)
	b.V, b.A, b.J = p.lev.tool3(&e, h, &d)
	b.W, b.W1, b.W2 = p.lev.spin(&d)
	return true
}

// tool3 bounds the tool centre point's first three derivatives by s over
// [s-h, s+h], with e the arm at s and d bounding the axes: the n-th derivative
// of a point by axes i <= ... <= l does not exceed the lever of axis l.
func (l *levers) tool3(e *state, h float64, d *derivs) (v, a, j float64) {
	for i := range 6 {
		v += d.d1[i] * l.tool[i]
		a += d.d2[i] * l.tool[i]
		j += d.d3[i] * l.tool[i]
		for k := range 6 {
			lev := l.tool[max(i, k)]
			a += d.d1[i] * d.d1[k] * lev
			j += 3 * d.d1[i] * d.d2[k] * lev
			for n := range 6 {
				j += d.d1[i] * d.d1[k] * d.d1[n] * l.tool[max(i, k, n)]
			}
		}
	}
	mid, _ := l.velocity(e, &e.dq)
	a = min(a, l.acceleration(e).Norm()+h*j)
	v = min(v, mid.Norm()+h*a)
	return v, a, j
}

// spin bounds the tool's rate of turning by s, and its first and second
// derivative: every axis is carried, and its direction turned, by those before
// it.
func (l *levers) spin(d *derivs) (w, w1, w2 float64) {
	for i := range 6 {
		if l.turn[i] == 0 {
			continue
		}
		// w and w1 are so far those of the link that carries axis i: its
		// direction z has |z'| <= w, |z"| <= w1 + w*w.
		w2 += d.d3[i] + 2*w*d.d2[i] + (w1+w*w)*d.d1[i]
		w1 += d.d2[i] + w*d.d1[i]
		w += d.d1[i]
	}
	return w, w1, w2
}
