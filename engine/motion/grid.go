package motion

import (
	"math"

	"posework/kin"
	"posework/kin/arm"
)

// TurnRadius relates a programmed tool speed to turning: a line or arc
// programmed at v mm/s turns the tool by at most v/TurnRadius rad/s, as if the
// speed were that of a point so far beside the tool centre point as well. So a
// turn on the spot has a speed too.
const TurnRadius = 100 // mm

// stretch is a part of a path, as one piece of a block between two stops.
type stretch struct {
	kind   Kind
	step   int
	path   Path
	s0, s1 float64
	scale  float64 // change of s by the block's parameter
	share  float64 // greatest share of the rated axis speeds
	mms    float64 // greatest tool speed, mm/s; 0: none
	tool   float64 // greatest tool acceleration, mm/s2; 0: none
}

// grid is a block cut into spans for the time law. The limits of a span hold
// everywhere on it, not only at its ends: speeds because they are divided by
// bounds on the path's derivatives, accelerations because what they can vary by
// between an end and the middle is taken off the limit. For f = q' u + q” x
// with x' = 2u, f' = 3 q” u + q”' x.
type grid struct {
	speed, accel [6]float64
	spans        []span
	info         []spanInfo
	wins         []window
}

// spanInfo says where a span lies.
type spanInfo struct {
	stretch int32
	axis    int8 // the axis whose speed limits the span, from 1; 0: none does
	s0, s1  float64
	v       float64 // bound on |dp/ds|
}

const (
	// capLoss is how far the speed limit of a span may stay below that of its
	// slower end.
	capLoss = 0.005
	// accelLoss is the share of an axis acceleration that may be given away to
	// hold the limit between the ends of a span.
	accelLoss = 0.005
	// fineness is into how many spans at least a stretch is cut where its limits
	// change.
	fineness = 64
	// finest is the width of the narrowest span, as a share of its stretch.
	finest = 1e-7
)

func newGrid(m *arm.Model) *grid { return &grid{speed: m.Speed, accel: m.Accel} }

// add cuts a stretch into spans.
func (g *grid) add(n int, st *stretch) {
	width := st.s1 - st.s0
	if width <= 0 {
		return
	}
	const first = 4
	var a, b Eval
	st.path.At(st.s0, &a)
	for i := range first {
		s0, s1 := st.s0+width*float64(i)/first, st.s0+width*float64(i+1)/first
		if i == first-1 {
			s1 = st.s1
		}
		st.path.At(s1, &b)
		g.split(n, st, s0, s1, &a, &b)
		a = b
	}
}

// split adds [s0, s1] as one span if that is good enough, else its halves. a
// and b are the path at the ends.
func (g *grid) split(n int, st *stretch, s0, s1 float64, a, b *Eval) {
	width := st.s1 - st.s0
	last := s1-s0 <= finest*width
	var bd Bound
	if st.path.Bound(s0, s1, &bd) || last {
		sp, e, ok := g.span(st, s0, s1, &bd, a, b, last)
		if ok {
			sp.ds = (s1 - s0) / st.scale
			sp.cap /= st.scale * st.scale
			sp.free /= st.scale
			axis, _ := g.speedCap(st, &bd.DQ, bd.V, bd.W)
			g.spans = append(g.spans, sp)
			g.info = append(g.info, spanInfo{int32(n), axis, s0, s1, bd.V})
			if sp.free == 0 {
				g.wins = append(g.wins, newWindow(sp.ds, sp.cap, &e))
			}
			return
		}
	}
	m := (s0 + s1) / 2
	var mid Eval
	st.path.At(m, &mid)
	g.split(n, st, s0, m, a, &mid)
	g.split(n, st, m, s1, &mid, b)
}

// speedCap returns the greatest (ds/dt)^2 that speeds allow, and the axis that
// sets it.
func (g *grid) speedCap(st *stretch, dq *kin.Joints, v, w float64) (axis int8, x float64) {
	x = math.Inf(1)
	if st.mms > 0 {
		if v > 0 {
			x = st.mms / v
		}
		if st.tool > 0 && w > 0 {
			x = min(x, st.mms/TurnRadius/w)
		}
	}
	for j := range 6 {
		if d := math.Abs(dq[j]); d*x > st.share*g.speed[j] {
			x, axis = st.share*g.speed[j]/d, int8(j+1)
		}
	}
	return axis, x * x
}

// span tries [s0, s1] as one span, in the path's own parameter. force accepts
// it whatever it loses.
func (g *grid) span(st *stretch, s0, s1 float64, bd *Bound, a, b *Eval, force bool) (sp span, e ends, ok bool) {
	h := (s1 - s0) / 2
	_, sp.cap = g.speedCap(st, &bd.DQ, bd.V, bd.W)
	fine := force || 2*h <= (st.s1-st.s0)/fineness
	if !force {
		_, ca := g.speedCap(st, &a.DQ, a.V.Norm(), a.W.Norm())
		_, cb := g.speedCap(st, &b.DQ, b.V.Norm(), b.W.Norm())
		lo, hi := min(ca, cb), max(ca, cb)
		if sp.cap < lo*(1-2*capLoss) || !fine && sp.cap < hi*(1-2*capLoss) {
			return sp, e, false
		}
	}
	// The greatest |u| that tool and axes together leave room for.
	u := math.Inf(1)
	if st.tool > 0 && bd.V > 0 {
		u = st.tool / bd.V
	}
	still := math.Inf(1) // what the axes allow at once, everywhere on the span
	for j := range 6 {
		least := max(0, min(math.Abs(a.DQ[j]), math.Abs(b.DQ[j]))-h*bd.DDQ[j])
		if least > 0 {
			u = min(u, (g.accel[j]+bd.DDQ[j]*sp.cap)/least)
		}
		if bd.DQ[j] > 0 {
			still = min(still, (g.accel[j]-bd.DDQ[j]*sp.cap)/bd.DQ[j])
		}
	}
	curved := st.tool > 0 && bd.A > 0
	if !curved && still > 0 && (still >= u*(1-1e-12) || bd.DDQ == (kin.Joints{})) {
		sp.free = min(u, still)
		return sp, e, true
	}
	if !fine {
		return sp, e, false
	}
	for j := range 6 {
		give := h * (3*bd.DDQ[j]*u + bd.DDDQ[j]*sp.cap)
		if give > accelLoss*g.accel[j] && !force {
			return sp, e, false
		}
		e.accel[j] = max(g.accel[j]-give, g.accel[j]/2)
	}
	k := st.scale
	for i, end := range []*Eval{a, b} {
		for j := range 6 {
			e.dq[i][j], e.ddq[i][j] = k*end.DQ[j], k*k*end.DDQ[j]
		}
	}
	if st.tool > 0 {
		e.tool = st.tool
		e.dp = [2]kin.Vec{a.V.Scale(k), b.V.Scale(k)}
		e.ddp = [2]kin.Vec{a.DV.Scale(k * k), b.DV.Scale(k * k)}
	}
	return sp, e, true
}
