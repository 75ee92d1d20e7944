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

// grid is a block cut into spans for the time law.
//
// On a free span the limits are proven to hold: they are divided by bounds on
// the path's derivatives. So is the programmed tool speed on every span. On a
// constrained span the accelerations are held at both ends, and what they can do
// in between is judged from the middle: the limits are lowered by twice what the
// middle departs from the straight line between the ends, and by derating. No
// span is wider than half a cell of its path, over which singular values and
// the sine of axis 5 keep the greater part of themselves, so that no narrow
// peak lies between two samples.
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
	// derating is the share of an axis limit that is kept back where it is held
	// by samples.
	derating = 0.001
	// rounding is the same for a limit that is held exactly.
	rounding = 1e-7
	// bow is how much of an axis acceleration the limits of a span may vary by
	// between its ends, beyond a straight line; twice that is given away.
	bow = 0.0025
	// capLoss is how far the speed limit of a span may stay below that of its
	// ends.
	capLoss = 0.005
	// fineness is into how many spans at least a stretch is cut where its limits
	// change.
	fineness = 64
	// finest is the width of the narrowest span, as a share of its stretch.
	finest = 1e-7
)

// grained is a path with features of a known size.
type grained interface {
	// grain returns a width around s over which the path's derivatives keep
	// their magnitude.
	grain(s float64) float64
}

func newGrid(m *arm.Model) *grid { return &grid{speed: m.Speed, accel: m.Accel} }

// add cuts a stretch into spans.
func (g *grid) add(n int, st *stretch) {
	width := st.s1 - st.s0
	if width <= 0 {
		return
	}
	first := 4
	if _, ok := st.path.(*axial); ok && st.mms == 0 {
		first = 1 // the same everywhere
	}
	var a, b Eval
	st.path.At(st.s0, &a)
	for i := range first {
		s0, s1 := st.s0+width*float64(i)/float64(first), st.s0+width*float64(i+1)/float64(first)
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
	c := cut{g: g, st: st, s0: s0, s1: s1, a: a, b: b}
	c.last = s1-s0 <= finest*(st.s1-st.s0)
	if !st.path.Bound(s0, s1, &c.bound) && !c.last {
		c.bound.V = -1
	}
	if c.bound.V >= 0 && c.free() {
		g.put(n, &c)
		return
	}
	m := (s0 + s1) / 2
	st.path.At(m, &c.m)
	if c.bound.V >= 0 && c.constrained() {
		g.put(n, &c)
		g.wins = append(g.wins, newWindow(g.spans[len(g.spans)-1].ds, g.spans[len(g.spans)-1].cap, &c.ends))
		return
	}
	g.split(n, st, s0, m, a, &c.m)
	g.split(n, st, m, s1, &c.m, b)
}

func (g *grid) put(n int, c *cut) {
	k := c.st.scale
	g.spans = append(g.spans, span{ds: (c.s1 - c.s0) / k, cap: c.cap / (k * k), free: c.u / k})
	g.info = append(g.info, spanInfo{int32(n), c.axis, c.s0, c.s1, c.bound.V})
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

// cut is a span being tried, in the path's own parameter.
type cut struct {
	g      *grid
	st     *stretch
	s0, s1 float64
	a, b   *Eval // the path at the ends
	m      Eval  // and, once it is needed, in the middle
	bound  Bound
	last   bool // may not be cut again
	axis   int8
	cap    float64
	u      float64 // free: the greatest |u|
	ends   ends
}

// free tries the span as one on which only |u| and x need a limit.
func (c *cut) free() bool {
	b, st := &c.bound, c.st
	c.axis, c.cap = c.g.speedCap(st, &b.DQ, b.V, b.W)
	if !c.tight(c.cap) {
		return false
	}
	c.u = math.Inf(1)
	if st.tool > 0 && b.V > 0 {
		if b.A > 0 {
			return false
		}
		c.u = st.tool / b.V
	}
	still := math.Inf(1) // what the axes allow at once, everywhere on the span
	for j := range 6 {
		if b.DQ[j] > 0 {
			still = min(still, (c.g.accel[j]-b.DDQ[j]*c.cap)/b.DQ[j])
		}
	}
	if still >= c.u*(1-1e-12) || b.DDQ == (kin.Joints{}) {
		c.u = min(c.u, still)
		return c.u > 0
	}
	return false
}

// tight reports whether a speed limit for the whole span is near enough to
// those of its ends.
func (c *cut) tight(x float64) bool {
	_, xa := c.g.speedCap(c.st, &c.a.DQ, c.a.V.Norm(), c.a.W.Norm())
	_, xb := c.g.speedCap(c.st, &c.b.DQ, c.b.V.Norm(), c.b.W.Norm())
	if c.fine() {
		return x >= min(xa, xb)*(1-2*capLoss)
	}
	return x >= max(xa, xb)*(1-2*capLoss)
}

func (c *cut) fine() bool { return c.last || c.s1-c.s0 <= (c.st.s1-c.st.s0)/fineness }

// constrained tries the span as one with limits at its ends.
func (c *cut) constrained() bool {
	st, h := c.st, (c.s1-c.s0)/2
	if !c.fine() {
		return false
	}
	if p, ok := st.path.(grained); ok && !c.last && c.s1-c.s0 > p.grain(c.s0+h)/2 {
		return false
	}
	a, b, m := c.a, c.b, &c.m
	// What the middle departs from the straight line between the ends.
	var bow1, bow2, top, low kin.Joints
	for j := range 6 {
		bow1[j] = math.Abs(m.DQ[j] - (a.DQ[j]+b.DQ[j])/2)
		bow2[j] = math.Abs(m.DDQ[j] - (a.DDQ[j]+b.DDQ[j])/2)
		x, y, z := math.Abs(a.DQ[j]), math.Abs(b.DQ[j]), math.Abs(m.DQ[j])
		top[j] = min(c.bound.DQ[j], max(x, y, z)*(1+derating)+2*bow1[j])
		low[j] = max(0, min(x, y, z)-2*bow1[j])
	}
	c.axis, c.cap = c.g.speedCap(st, &top, c.bound.V, c.bound.W)
	if !c.last && !c.tight(c.cap) {
		return false
	}
	u := math.Inf(1) // bounds |u|
	if st.tool > 0 && c.bound.V > 0 {
		u = st.tool / c.bound.V
	}
	for j := range 6 {
		if low[j] > 0 {
			curve := max(math.Abs(a.DDQ[j]), math.Abs(b.DDQ[j]), math.Abs(m.DDQ[j]))
			u = min(u, (c.g.accel[j]+curve*c.cap)/low[j])
		}
	}
	c.u = 0
	for j := range 6 {
		// x is straight over the span, so its product with q'' bows as well.
		off := bow1[j]*u + bow2[j]*c.cap + math.Abs(b.DDQ[j]-a.DDQ[j])*u*h
		if !(off <= bow*c.g.accel[j]) && !c.last {
			return false
		}
		c.ends.accel[j] = max(c.g.accel[j]*(1-derating)-2*off, c.g.accel[j]/2)
	}
	k := st.scale
	for i, e := range []*Eval{a, b} {
		for j := range 6 {
			c.ends.dq[i][j], c.ends.ddq[i][j] = k*e.DQ[j], k*k*e.DDQ[j]
		}
	}
	if st.tool > 0 {
		// On a line or arc the acceleration is greatest at an end.
		c.ends.tool = st.tool * (1 - rounding)
		if st.kind == Corner {
			off := m.V.Sub(a.V.Add(b.V).Scale(0.5)).Norm()*u + m.DV.Sub(a.DV.Add(b.DV).Scale(0.5)).Norm()*c.cap + b.DV.Sub(a.DV).Norm()*u*h
			if !(off <= bow*st.tool) && !c.last {
				return false
			}
			c.ends.tool = max(c.ends.tool-2*off, st.tool/2)
		}
		c.ends.dp = [2]kin.Vec{a.V.Scale(k), b.V.Scale(k)}
		c.ends.ddp = [2]kin.Vec{a.DV.Scale(k * k), b.DV.Scale(k * k)}
	}
	return true
}
