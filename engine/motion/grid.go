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
// middle departs from the straight line between the ends, and by derating. The
// proven bound on the axes' speeds shows that no narrow peak lies between the
// samples.
type grid struct {
	fine         fineness
	speed, accel [6]float64
	spans        []span
	info         []spanInfo
	wins         []window
	ends         []ends    // of the constrained spans, in order
	caps, frees  []float64 // of the spans, as they were cut
	work         *effort
}

// spanInfo says where a span lies.
type spanInfo struct {
	stretch int32
	s0, s1  float64
}

const (
	// derating is the share of an axis limit that is kept back where it is held
	// by samples.
	derating = 0.001
	// rounding is the same for a limit that is held exactly.
	rounding = 1e-7
	// peak is by how much the bound on an axis speed may pass what the samples
	// show of it.
	peak = 1.25
	// ramp is how many constrained spans a ramp to full speed should meet at
	// least, as long as they are not more than rampFineness to a stretch.
	ramp         = 6
	rampFineness = 256
	// finest is the width of the narrowest span, as a share of its stretch.
	finest = 1e-7
)

// fineness says how fine a grid is cut: what may be lost to having it coarse.
type fineness struct {
	spans int // a stretch is cut into that many at least where its limits change
	// bow is how much of an acceleration limit may vary over a span beyond a
	// straight line between its ends; twice that is given away.
	bow float64
	// speed is how far the speed limit of a span may stay below that of its ends.
	speed float64
	// accel is the share of the acceleration along the path that may be given
	// away to have a span free.
	accel float64
}

// usual loses less than a hundredth of the duration to the grid.
func usual() fineness { return fineness{spans: 96, bow: 0.0015, speed: 0.008, accel: 0.005} }

func newGrid(m *arm.Model, w *effort) *grid {
	return &grid{speed: m.Speed, accel: m.Accel, fine: usual(), work: w}
}

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
	evaluate(st.path, st.s0, &a)
	for i := range first {
		s0, s1 := st.s0+width*float64(i)/float64(first), st.s0+width*float64(i+1)/float64(first)
		if i == first-1 {
			s1 = st.s1
		}
		evaluate(st.path, s1, &b)
		g.split(n, st, s0, s1, &a, &b)
		a = b
	}
}

// split adds [s0, s1] as one span if that is good enough, else its halves. a
// and b are the path at the ends.
func (g *grid) split(n int, st *stretch, s0, s1 float64, a, b *Eval) {
	if !g.work.spend(2) {
		return
	}
	c := cut{g: g, st: st, s0: s0, s1: s1, a: a, b: b}
	c.last = s1-s0 <= finest*(st.s1-st.s0)
	enclosing(st.path, s0, s1, &c.bound) // no path of this package fails to
	if c.free() {
		g.put(n, &c)
		return
	}
	m := (s0 + s1) / 2
	evaluate(st.path, m, &c.m)
	if c.constrained() {
		g.put(n, &c)
		g.ends = append(g.ends, c.ends)
		g.wins = append(g.wins, newWindow(g.spans[len(g.spans)-1].ds, g.spans[len(g.spans)-1].cap, &c.ends))
		return
	}
	g.split(n, st, s0, m, a, &c.m)
	g.split(n, st, m, s1, &c.m, b)
}

func (g *grid) put(n int, c *cut) {
	g.work.spend(spanEffort)
	k := c.st.scale
	g.spans = append(g.spans, span{ds: (c.s1 - c.s0) / k, cap: c.cap / (k * k), free: c.u / k})
	g.caps = append(g.caps, c.cap/(k*k))
	g.frees = append(g.frees, c.u/k)
	g.info = append(g.info, spanInfo{int32(n), c.s0, c.s1})
}

// speedCap returns the greatest (ds/dt)^2 that speeds allow.
func (g *grid) speedCap(st *stretch, dq *kin.Joints, v, w float64) float64 {
	x := math.Inf(1)
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
			x = st.share * g.speed[j] / d
		}
	}
	return x * x
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
	cap    float64
	u      float64 // free: the greatest |u|
	ends   ends
}

// free tries the span as one on which only |u| and x need a limit.
func (c *cut) free() bool {
	b, st := &c.bound, c.st
	c.cap = c.g.speedCap(st, &b.DQ, b.V, b.W)
	if !c.tight(c.cap) {
		return false
	}
	// The most that is left for the tool and for each axis while the span is
	// taken at its greatest speed, and what there would be at rest.
	c.u = math.Inf(1)
	most := math.Inf(1)
	if st.tool > 0 && b.V > 0 {
		most = st.tool / b.V
		across := b.A * c.cap
		if across > st.tool {
			return false
		}
		// Across a line or arc; in a corner the two may point the same way.
		c.u = math.Sqrt(st.tool*st.tool-across*across) / b.V
		if st.kind == Corner {
			c.u = (st.tool - across) / b.V
		}
	}
	for j := range 6 {
		if b.DQ[j] > 0 {
			most = min(most, c.g.accel[j]/b.DQ[j])
			c.u = min(c.u, (c.g.accel[j]-b.DDQ[j]*c.cap)/b.DQ[j])
		}
	}
	return c.u > 0 && c.u >= most*(1-c.g.fine.accel)
}

// tight reports whether a speed limit for the whole span is near enough to
// those of its ends.
func (c *cut) tight(x float64) bool {
	xa := c.g.speedCap(c.st, &c.a.DQ, c.a.V.Norm(), c.a.W.Norm())
	xb := c.g.speedCap(c.st, &c.b.DQ, c.b.V.Norm(), c.b.W.Norm())
	if c.fine() {
		return x >= min(xa, xb)*(1-c.g.fine.speed)
	}
	return x >= max(xa, xb)*(1-c.g.fine.speed)
}

func (c *cut) fine() bool { return c.last || c.s1-c.s0 <= (c.st.s1-c.st.s0)/float64(c.g.fine.spans) }

// constrained tries the span as one with limits at its ends.
func (c *cut) constrained() bool {
	st, h := c.st, (c.s1-c.s0)/2
	if !c.fine() {
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
	c.cap = c.g.speedCap(st, &top, c.bound.V, c.bound.W)
	for j := range 6 {
		// No more than the samples show may hide between them.
		hidden := c.bound.DQ[j] - peak*max(math.Abs(a.DQ[j]), math.Abs(b.DQ[j]), math.Abs(m.DQ[j]))
		if hidden*math.Sqrt(c.cap) > (peak-1)*c.g.speed[j] && !c.last {
			return false
		}
	}
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
	// A ramp to full speed should meet a few spans.
	if w := c.s1 - c.s0; w > c.cap/(2*u)/ramp && w > (st.s1-st.s0)/rampFineness && !c.last {
		return false
	}
	c.u = 0
	for j := range 6 {
		// x is straight over the span, so its product with q'' bows as well.
		off := bow1[j]*u + bow2[j]*c.cap + math.Abs(b.DDQ[j]-a.DDQ[j])*u*h
		if !(off <= c.g.fine.bow*c.g.accel[j]) && !c.last {
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
			if !(off <= c.g.fine.bow*st.tool) && !c.last {
				return false
			}
			c.ends.tool = max(c.ends.tool-2*off, st.tool/2)
		}
		c.ends.dp = [2]kin.Vec{a.V.Scale(k), b.V.Scale(k)}
		c.ends.ddp = [2]kin.Vec{a.DV.Scale(k * k), b.DV.Scale(k * k)}
	}
	return true
}
