package motion

import (
	"math"
	"sort"

	"posework/kin"
	"posework/kin/arm"
)

// cartesian is a path whose tool centre point follows a curve, with the axes on
// one branch of the inverse kinematics.
//
// The branch is followed once, when the path is made: nodes along the curve,
// each joined to the next by a cell on which the axes' derivatives are bounded,
// so that the two solutions are known to lie on one smooth branch. In between,
// the axes are interpolated (quintic, values and two derivatives at both ends)
// and settled onto the curve by Newton's method.
type cartesian struct {
	curve
	lev   *levers
	end   float64 // the part of the curve that can be followed
	nodes []node
	cells []derivs // cells[i] bounds [nodes[i].s, nodes[i+1].s]
}

type node struct {
	s          float64
	q, dq, ddq kin.Joints
}

// obstacle is what ends a Cartesian path before its curve does.
type obstacle struct {
	why  Why
	s    float64
	axis int     // from 1
	by   float64 // rad past an axis limit, mm out of reach
}

const (
	// nearSingular is the slack (see levers.slack) below which a path counts as
	// meeting a singularity. For a spherical wrist it is a bend of six
	// thousandths of a degree: at an ordinary tool speed axes 4 and 6 would have
	// to turn a thousand times faster than they can.
	nearSingular = 1e-4
	// nearSingularGeneral is the same for any other arm, whose slack is a
	// cautious estimate.
	nearSingularGeneral = 1e-3
	// limitTol is how far beyond an axis limit still counts as on it, rad (mm).
	limitTol = 1e-9
	// maxCells bounds the work spent on one path.
	maxCells = 20000
)

// newCartesian follows c from the axes q0, which must be at its start. The path
// ends at the obstacle, if there is one, or where the work w is used up.
func newCartesian(c curve, lev *levers, m *arm.Model, q0 *kin.Joints, w *effort) (*cartesian, *obstacle) {
	p := &cartesian{curve: c, lev: lev, end: c.Length()}
	var e state
	var cp curvePoint
	e.q = *q0
	if !p.settle(0, &e, &cp) || p.tight(&e) {
		p.end = 0
		p.nodes = []node{{q: *q0}}
		return p, &obstacle{why: PathSingular}
	}
	e.q = keep(&e.q, q0)
	p.nodes = append(p.nodes, node{0, e.q, e.dq, e.ddq})
	stop := p.follow(m, w)
	if lim := p.outside(m); lim != nil {
		stop = lim
	}
	if stop != nil {
		p.end = stop.s
	}
	return p, stop
}

// tight reports whether the arm is too near a singularity to go on.
func (p *cartesian) tight(e *state) bool {
	if p.lev.spherical {
		return p.lev.slack(e) < nearSingular
	}
	return p.lev.slack(e) < nearSingularGeneral
}

// keep returns b where a equals it up to rounding, so that a taught axis value
// is not blurred.
func keep(a, b *kin.Joints) kin.Joints {
	out := *a
	for i := range out {
		if math.Abs(a[i]-b[i]) < 1e-10 {
			out[i] = b[i]
		}
	}
	return out
}

// follow builds the nodes.
func (p *cartesian) follow(m *arm.Model, w *effort) *obstacle {
	length := p.curve.Length()
	h := length / 16
	var mid, end state
	var cp curvePoint
	for {
		last := &p.nodes[len(p.nodes)-1]
		rest := length - last.s
		if rest <= 0 {
			return nil
		}
		if h > 0.45*rest {
			h = rest / 2
		}
		if !w.spend(2) {
			return &obstacle{why: PathBroken, s: last.s}
		}
		if h < 1e-10*length || len(p.cells) >= maxCells {
			return p.classify(m, last.s)
		}
		var d derivs
		if !p.step(last, h, &mid, &end, &cp, &d) {
			h /= 2
			continue
		}
		s := last.s + 2*h
		if h == rest/2 {
			s = length
		}
		if p.tight(&mid) || p.tight(&end) {
			// Up to there it can be followed still.
			tight := p.firstTight(last, s)
			if h = (tight - last.s) / 2; h > 0 && p.step(last, h, &mid, &end, &cp, &d) {
				p.nodes = append(p.nodes, node{tight, end.q, end.dq, end.ddq})
				p.cells = append(p.cells, d)
			}
			return p.classify(m, p.nodes[len(p.nodes)-1].s)
		}
		p.nodes = append(p.nodes, node{s, end.q, end.dq, end.ddq})
		p.cells = append(p.cells, d)
		h *= 1.6
	}
}

// step advances from a node by 2h and bounds what lies between. It reports false
// when h is too wide.
func (p *cartesian) step(from *node, h float64, mid, end *state, cp *curvePoint, d *derivs) bool {
	mid.q = taylor(&from.q, &from.dq, &from.ddq, h)
	c := from.s + h
	if !p.settle(c, mid, cp) {
		return false
	}
	r := p.curve.rates(c-h, c+h)
	if !p.lev.axes(mid, &r, h, d) {
		return false
	}
	end.q = taylor(&mid.q, &mid.dq, &mid.ddq, h)
	if !p.settle(c+h, end, cp) {
		return false
	}
	// Both ends must lie where the branch through the middle can be: then they
	// are on it, since the bounds keep other solutions further off.
	for i := range 6 {
		far := d.d1[i]*h*(1+1e-6) + 1e-9
		if !(math.Abs(from.q[i]-mid.q[i]) <= far && math.Abs(end.q[i]-mid.q[i]) <= far) {
			return false
		}
	}
	return true
}

func taylor(q, dq, ddq *kin.Joints, h float64) (out kin.Joints) {
	for i := range out {
		out[i] = q[i] + h*(dq[i]+h/2*ddq[i])
	}
	return out
}

// firstTight returns the s after node last, and not beyond s1, at which the
// slack falls below nearSingular.
func (p *cartesian) firstTight(last *node, s1 float64) float64 {
	s0 := last.s
	var e state
	var cp curvePoint
	for range 60 {
		m := (s0 + s1) / 2
		if m == s0 || m == s1 {
			break
		}
		e.q = taylor(&last.q, &last.dq, &last.ddq, m-last.s)
		if p.settle(m, &e, &cp) && !p.tight(&e) {
			s0 = m
		} else {
			s1 = m
		}
	}
	return s0
}

// classify says what ends the path at s: the edge of the reach, or a
// singularity inside it.
func (p *cartesian) classify(m *arm.Model, s float64) *obstacle {
	o := &obstacle{why: PathSingular, s: s}
	length := p.curve.Length()
	var sol kin.Solutions
	var cp curvePoint
	flange := p.lev.tcp.Inv()
	seed := p.nodes[len(p.nodes)-1].q
	miss := func(s float64) float64 {
		cp = p.curve.at(s)
		target := cp.pose.Mul(&flange)
		m.Inverse().Solve(&target, &seed, &sol)
		return sol.Residual
	}
	// Just beyond the place, on a widening grid: an edge of the reach leaves a
	// gap there at once.
	const steps = 24
	near := false
	for k := range steps {
		d := (length - s) * math.Exp2(float64(k-steps+1))
		r := miss(min(s+d, length))
		near = near || (r > 1e-6 && d < 1+0.02*length)
		o.by = max(o.by, r)
	}
	if near {
		o.why = PathBroken
		return o
	}
	o.by = 0
	return o
}

// outside finds where an axis first passes its limit.
func (p *cartesian) outside(m *arm.Model) *obstacle {
	for i := range p.cells {
		a, b := &p.nodes[i], &p.nodes[i+1]
		var first *obstacle
		for j := range 6 {
			lim := m.Limits[j]
			w := b.s - a.s
			bulge := p.cells[i].d2[j] * w * w / 8
			if max(a.q[j], b.q[j])+bulge <= lim.Max+limitTol && min(a.q[j], b.q[j])-bulge >= lim.Min-limitTol {
				continue
			}
			s, ok := p.crossing(i, j, lim, a.s, b.s, a.q[j], b.q[j])
			if ok && (first == nil || s < first.s) {
				first = &obstacle{why: PathLimit, s: s, axis: j + 1}
			}
		}
		if first == nil {
			continue
		}
		lim := m.Limits[first.axis-1]
		for k := i; k < len(p.nodes); k++ {
			q := p.nodes[k].q[first.axis-1]
			first.by = max(first.by, q-lim.Max, lim.Min-q)
		}
		return first
	}
	return nil
}

// crossing returns the first s in [s0, s1], within cell i, at which axis j lies
// outside lim.
func (p *cartesian) crossing(i, j int, lim arm.Range, s0, s1, q0, q1 float64) (float64, bool) {
	over := func(q float64) bool { return q > lim.Max+limitTol || q < lim.Min-limitTol }
	if over(q0) {
		return s0, true
	}
	w := s1 - s0
	bulge := p.cells[i].d2[j] * w * w / 8
	if max(q0, q1)+bulge <= lim.Max+limitTol && min(q0, q1)-bulge >= lim.Min-limitTol {
		return 0, false
	}
	if w < 1e-9*p.curve.Length() {
		return s0, over(q1)
	}
	var e Eval
	m := (s0 + s1) / 2
	p.At(m, &e)
	if s, ok := p.crossing(i, j, lim, s0, m, q0, e.Q[j]); ok {
		return s, true
	}
	return p.crossing(i, j, lim, m, s1, e.Q[j], q1)
}

// settle brings e.q onto the curve at s and fills e and c. It reports false when
// Newton's method does not converge.
func (p *cartesian) settle(s float64, e *state, c *curvePoint) bool {
	*c = p.curve.at(s)
	var j kin.Jacobian
	var lu lu6
	done := false
	for range 10 {
		p.lev.place(e)
		dp := c.pose.T.Sub(e.tcp.T)
		// The rotation that is left, for a small one: half the sum of the axes'
		// cross products.
		dr := e.tcp.R.X.Cross(c.pose.R.X).Add(e.tcp.R.Y.Cross(c.pose.R.Y)).Add(e.tcp.R.Z.Cross(c.pose.R.Z)).Scale(0.5)
		p.lev.chain.JacobianAt(&e.f, e.tcp.T, &j)
		if !lu.factor(&j) {
			return false
		}
		if dp.Norm2() < 1e-20 && dr.Norm2() < 1e-26 {
			done = true
			break
		}
		step := lu.solve(&[6]float64{dp.X, dp.Y, dp.Z, dr.X, dr.Y, dr.Z})
		for i := range 6 {
			if !(math.Abs(step[i]) < 1) {
				return false
			}
			e.q[i] += step[i]
		}
	}
	if !done {
		return false
	}
	e.dq = lu.solve(&[6]float64{c.v.X, c.v.Y, c.v.Z, c.w.X, c.w.Y, c.w.Z})
	acc, ang := p.lev.coasting(e, &e.dq)
	acc, ang = c.v1.Sub(acc), c.w1.Sub(ang)
	e.ddq = lu.solve(&[6]float64{acc.X, acc.Y, acc.Z, ang.X, ang.Y, ang.Z})
	return true
}

// Length returns the length of the part that can be followed.
func (p *cartesian) Length() float64 { return p.end }

// cell returns the index of the cell that s lies in.
func (p *cartesian) cell(s float64) int {
	k := sort.Search(len(p.nodes), func(i int) bool { return p.nodes[i].s > s })
	return max(0, min(k-1, len(p.cells)-1))
}

func (p *cartesian) at(s float64, e *state, c *curvePoint) {
	if len(p.cells) == 0 {
		e.q, e.dq, e.ddq = p.nodes[0].q, kin.Joints{}, kin.Joints{}
		p.lev.place(e)
		*c = curvePoint{pose: e.tcp}
		return
	}
	i := p.cell(s)
	e.q = hermite(&p.nodes[i], &p.nodes[i+1], s)
	p.settle(s, e, c)
}

// hermite interpolates between two nodes with the polynomial of degree five
// that has their values and first two derivatives.
func hermite(a, b *node, s float64) (q kin.Joints) {
	w := b.s - a.s
	t := (s - a.s) / w
	t2 := t * t
	t3 := t2 * t
	u := t3 * (10 + t*(-15+6*t))
	a1 := w * (t + t3*(-6+t*(8-3*t)))
	b1 := w * t3 * (-4 + t*(7-3*t))
	a2 := w * w * t2 / 2 * (1 + t*(-3+t*(3-t)))
	b2 := w * w * t3 / 2 * (1 + t*(-2+t))
	for i := range q {
		q[i] = a.q[i] + u*(b.q[i]-a.q[i]) + a1*a.dq[i] + b1*b.dq[i] + a2*a.ddq[i] + b2*b.ddq[i]
	}
	return q
}

// At evaluates the path at s.
func (p *cartesian) At(s float64, e *Eval) {
	var st state
	var c curvePoint
	p.at(max(0, min(s, p.end)), &st, &c)
	*e = Eval{Q: st.q, DQ: st.dq, DDQ: st.ddq, Frames: st.f, TCP: st.tcp, V: c.v, W: c.w, DV: c.v1}
}

// Bound bounds the derivatives over [s0, s1].
func (p *cartesian) Bound(s0, s1 float64, b *Bound) bool {
	*b = Bound{}
	if len(p.cells) == 0 {
		return true
	}
	s0, s1 = max(0, s0), min(s1, p.end)
	r := p.curve.rates(s0, s1)
	b.V, b.A, b.J = r.v, r.v1, r.v2
	b.W, b.W1, b.W2 = r.w, r.w1, r.w2
	i, j := p.cell(s0), p.cell(s1)
	if j > i && p.nodes[j].s >= s1 {
		j--
	}
	for k := i; k <= j; k++ {
		d := &p.cells[k]
		for n := range 6 {
			b.DQ[n] = max(b.DQ[n], d.d1[n])
			b.DDQ[n] = max(b.DDQ[n], d.d2[n])
			b.DDDQ[n] = max(b.DDDQ[n], d.d3[n])
		}
	}
	if j-i > 1 || s1-s0 > 0.6*(p.nodes[j+1].s-p.nodes[i].s) {
		return true
	}
	// Narrower than the cells: bounds from its own middle are tighter.
	var e state
	var c curvePoint
	var d derivs
	h := (s1 - s0) / 2
	p.at(s0+h, &e, &c)
	if p.lev.axes(&e, &r, h, &d) {
		for n := range 6 {
			b.DQ[n] = min(b.DQ[n], d.d1[n])
			b.DDQ[n] = min(b.DDQ[n], d.d2[n])
			b.DDDQ[n] = min(b.DDDQ[n], d.d3[n])
		}
	}
	return true
}
