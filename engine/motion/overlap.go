package motion

import (
	"math"

	"posework/kin"
)

// A fly-by corner overlaps the two legs that meet at a pose: the arriving leg
// runs out while the leaving one starts. With t from 0 to 1 over the corner, the
// arriving leg is da (1-t)^2 short of the pose and the leaving one db t^2 beyond
// it; the corner adds what the two are away from the pose,
//
//	p = A + B - P,   R = R_A R_P^-1 R_B   or   q = q_A + q_B - q_P in axis space,
//
// so that place and velocity join the legs at both ends. Between straight legs
// it is the parabola of linear motion with parabolic blends. A tool path stays
// within d of the pose when both legs are used for no more than d, because
// d (1-t)^2 + d t^2 <= d.
type overlap struct {
	la, da float64 // the arriving leg's length, and how much of it is overlapped
	db     float64 // how much of the leaving leg is
	length float64
}

// legs returns the places on the two legs, and the derivatives of these by s.
func (o *overlap) legs(s float64) (sa, a1, sb, b1 float64) {
	t := s / o.length
	sa = o.la - o.da*(1-t)*(1-t)
	a1 = 2 * o.da * (1 - t) / o.length
	sb = o.db * t * t
	b1 = 2 * o.db * t / o.length
	return sa, a1, sb, b1
}

// second returns the second derivatives of the places on the legs; the third
// are zero.
func (o *overlap) second() (a2, b2 float64) {
	k := 2 / (o.length * o.length)
	return -k * o.da, k * o.db
}

// rounded is the corner between two curves of the tool.
type rounded struct {
	overlap
	a, b curve
	tip  kin.Vec // place of the pose
	inv  kin.Rot // its orientation, inverted
}

func newRounded(a, b curve, o overlap) *rounded {
	c := b.at(0)
	return &rounded{overlap: o, a: a, b: b, tip: c.pose.T, inv: c.pose.R.Inv()}
}

func (r *rounded) Length() float64 { return r.length }

func (r *rounded) at(s float64) curvePoint {
	sa, a1, sb, b1 := r.legs(s)
	a2, b2 := r.second()
	a, b := r.a.at(sa), r.b.at(sb)
	m := a.pose.R.Mul(&r.inv)
	spinA := a.w.Scale(a1)
	wb, wb1 := m.Apply(b.w), m.Apply(b.w1)
	return curvePoint{
		pose: kin.Pose{R: m.Mul(&b.pose.R), T: a.pose.T.Add(b.pose.T).Sub(r.tip)},
		v:    a.v.Scale(a1).AddScaled(b1, b.v),
		w:    spinA.AddScaled(b1, wb),
		v1:   a.v1.Scale(a1*a1).AddScaled(a2, a.v).AddScaled(b1*b1, b.v1).AddScaled(b2, b.v),
		w1:   a.w1.Scale(a1*a1).AddScaled(a2, a.w).Add(spinA.Cross(wb).Scale(b1)).AddScaled(b1*b1, wb1).AddScaled(b2, wb),
	}
}

// rates bounds the sum of the two legs, drawn in around the ends and the
// middle: a vector strays from its linear interpolation by at most h^2/2 times
// its second derivative.
func (r *rounded) rates(s0, s1 float64) rates {
	saMin, a1, _, _ := r.legs(s0)
	saMax, _, sbMax, b1 := r.legs(s1)
	_, _, sbMin, _ := r.legs(s0)
	a2, b2 := r.second()
	a2, b2 = math.Abs(a2), math.Abs(b2)
	a, b := r.a.rates(saMin, saMax), r.b.rates(sbMin, sbMax)
	out := rates{
		v:  a.v*a1 + b.v*b1,
		v1: a.v1*a1*a1 + a.v*a2 + b.v1*b1*b1 + b.v*b2,
		v2: a.v2*a1*a1*a1 + 3*a.v1*a1*a2 + b.v2*b1*b1*b1 + 3*b.v1*b1*b2,
		w:  a.w*a1 + b.w*b1,
	}
	// R = M R_B with M following leg A: w = wA + M wB, and M turns at wA.
	wa, wb := a.w*a1, b.w*b1
	wa1, wb1 := a.w1*a1*a1+a.w*a2, b.w1*b1*b1+b.w*b2
	wa2, wb2 := a.w2*a1*a1*a1+3*a.w1*a1*a2, b.w2*b1*b1*b1+3*b.w1*b1*b2
	out.w1 = wa1 + wa*wb + wb1
	out.w2 = wa2 + wa1*wb + 2*wa*wb1 + wa*wa*wb + wb2
	h := (s1 - s0) / 2
	mid, p0, p1 := r.at(s0+h), r.at(s0), r.at(s1)
	out.v1 = min(out.v1, mid.v1.Norm()+h*out.v2)
	out.w1 = min(out.w1, mid.w1.Norm()+h*out.w2)
	out.v = min(out.v, mid.v.Norm()+h*out.v1, max(p0.v.Norm(), p1.v.Norm())+h*h/2*out.v2)
	out.w = min(out.w, mid.w.Norm()+h*out.w1, max(p0.w.Norm(), p1.w.Norm())+h*h/2*out.w2)
	return out
}

// blend is the corner between two legs in axis space.
type blend struct {
	overlap
	lev  *levers
	a, b Path
	tip  kin.Joints // axes at the pose
}

func (p *blend) Length() float64 { return p.length }

func (p *blend) at(s float64, e *state) {
	var ea, eb Eval
	sa, a1, sb, b1 := p.legs(s)
	a2, b2 := p.second()
	evaluate(p.a, sa, &ea)
	evaluate(p.b, sb, &eb)
	for i := range e.q {
		e.q[i] = ea.Q[i] + (eb.Q[i] - p.tip[i])
		e.dq[i] = ea.DQ[i]*a1 + eb.DQ[i]*b1
		e.ddq[i] = ea.DDQ[i]*a1*a1 + ea.DQ[i]*a2 + eb.DDQ[i]*b1*b1 + eb.DQ[i]*b2
	}
	p.lev.place(e)
}

// At evaluates the corner at s.
func (p *blend) At(s float64, e *Eval) {
	var st state
	p.at(max(0, min(s, p.length)), &st)
	p.lev.eval(&st, e)
}

// Bound bounds the derivatives over [s0, s1] from those of the legs.
func (p *blend) Bound(s0, s1 float64, b *Bound) bool {
	*b = Bound{}
	saMin, a1, _, _ := p.legs(s0)
	saMax, _, sbMax, b1 := p.legs(s1)
	_, _, sbMin, _ := p.legs(s0)
	a2, b2 := p.second()
	a2, b2 = math.Abs(a2), math.Abs(b2)
	var ba, bb Bound
	if !enclosing(p.a, saMin, saMax, &ba) || !enclosing(p.b, sbMin, sbMax, &bb) {
		return false
	}
	h := (s1 - s0) / 2
	var mid, e0, e1 state
	p.at(s0+h, &mid)
	p.at(s0, &e0)
	p.at(s1, &e1)
	var d derivs
	for i := range 6 {
		d.d3[i] = ba.DDDQ[i]*a1*a1*a1 + 3*ba.DDQ[i]*a1*a2 + bb.DDDQ[i]*b1*b1*b1 + 3*bb.DDQ[i]*b1*b2
		d.d2[i] = min(ba.DDQ[i]*a1*a1+ba.DQ[i]*a2+bb.DDQ[i]*b1*b1+bb.DQ[i]*b2, math.Abs(mid.ddq[i])+h*d.d3[i])
		d.d1[i] = min(ba.DQ[i]*a1+bb.DQ[i]*b1, math.Abs(mid.dq[i])+h*d.d2[i],
			max(math.Abs(e0.dq[i]), math.Abs(e1.dq[i]))+h*h/2*d.d3[i])
	}
	b.DQ, b.DDQ, b.DDDQ = d.d1, d.d2, d.d3
	b.V, b.A, b.J = p.lev.tool3(&mid, h, &d)
	b.W, b.W1, b.W2 = p.lev.spin(&d)
	return true
}
