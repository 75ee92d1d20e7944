package sweep

import (
	"math"

	"posework/engine/shape"
	"posework/kin"
)

// cell is a box that holds some of the points of a mover, during an interval.
type cell struct {
	node   int32
	mover  int
	centre kin.Vec // in the frame of the mover's box
	half   kin.Vec
	whole  bool // nothing of the mover is cut off
	bound  float64
	final  bool
	time   bool // halve the interval, not the box
}

// ZoneSpeed returns the greatest speed of any point of links 1 to 6, tool and
// held part inside a zone, mm/s, and the body it belongs to. The answer is exact
// where it is above the zone's own speed; below that Hi is at most that speed,
// and no more is sought. None where plainly nothing enters; touching is not
// entering, but points less than TolMM inside may count for Hi.
//
// It is a branch and bound over the time and over boxes that cover the bodies:
// the speed is convex over a box, so its corners bound it.
func (w *Sweep) ZoneSpeed(spans []Span, zone int) BodyExtreme {
	z := zoneSearch{
		w: w, v: &w.pairs.view, shape: &w.tr.Cell.Zones[zone].Shape, limit: w.tr.Cell.Zones[zone].Speed,
		best: math.Inf(-1), high: math.Inf(-1), body: -1, at: -1, done: true,
	}
	z.centre, z.radius = z.shape.Bounds()
	z.start(spans)
	work := w.work
	for len(z.front) > 0 {
		looking := int32(-1)
		for i := range z.front {
			c := &z.front[i]
			if c.node != looking {
				z.v.look(w, w.tree.node(c.node))
				looking = c.node
			}
			z.look(c)
		}
		work -= len(z.front)
		z.next = z.next[:0]
		for i := range z.front {
			c := &z.front[i]
			if c.bound <= z.enough() || c.final || work < 0 {
				z.high = math.Max(z.high, c.bound)
				z.done = z.done && (c.bound <= z.enough() || c.final)
				continue
			}
			z.split(c)
		}
		z.front, z.next = z.next, z.front
	}
	if math.IsInf(z.high, -1) && z.body < 0 {
		return BodyExtreme{Extreme: none()}
	}
	out := BodyExtreme{Extreme: Extreme{Lo: math.Max(0, z.best), Hi: math.Max(z.high, z.best), Done: z.done}}
	if z.body >= 0 {
		out.Body = w.bodies[z.body]
		out.At = w.moment(w.tree.node(z.at))
	}
	return out
}

// zoneSearch is a search for the greatest speed in a zone.
type zoneSearch struct {
	w           *Sweep
	v           *view
	shape       *shape.Shape
	centre      kin.Vec
	radius      float64
	limit       float64
	front, next []cell
	best, high  float64
	body        int
	at          int32
	done        bool
}

func (z *zoneSearch) enough() float64 { return math.Max(z.best+TolMMS, z.limit) }

func (z *zoneSearch) start(spans []Span) {
	for _, s := range spans {
		r := z.w.root(s)
		set := z.w.setup(s.Piece)
		for k, n := range [3]int32{r.first, r.last, r.whole} {
			if k > 0 && n == r.first {
				break
			}
			for i := range set.movers {
				if m := &set.movers[i]; m.link > 0 {
					z.front = append(z.front, cell{node: n, mover: i, half: m.half, whole: true})
				}
			}
		}
	}
}

// found takes the speed of a point in the zone.
func (z *zoneSearch) found(c *cell, speed float64) {
	if speed > z.best {
		z.best, z.body, z.at = speed, z.v.mover(c.mover).body, c.node
	}
}

// look sets the bound of a cell.
func (z *zoneSearch) look(c *cell) {
	v := z.v
	m, n := v.mover(c.mover), v.n
	if !n.bounded {
		c.bound, c.final, c.time = math.Inf(1), n.narrow(), true
		return
	}
	c.bound, c.final = math.Inf(-1), false
	if c.whole {
		z.lookAtBody(c)
		return
	}
	a := v.place(c.mover)
	t := &n.link[m.link]
	pose := n.e.Frames[m.link].Mul(&m.box)
	box := shape.Shape{Kind: shape.Box, P: pose.Apply(c.centre), Rot: pose.R, Half: c.half}
	if a.Kind != shape.Box && shape.Distance(&box, a) > roundSlack {
		return // no point of the body in it
	}
	size := c.half.Norm()
	u := t.v.Add(t.w.Cross(box.P.Sub(t.o)))
	far := 0.0
	if n.h > 0 {
		x1, x2, _ := n.reach(m)
		far = math.Min((u.Norm()+t.w.Norm()*size)*n.h+x2*n.h*n.h/2, x1*n.h)
	}
	if shape.Distance(&box, z.shape)-far-slack >= 0 {
		return // never in the zone
	}
	now := fastest(&box, t) * n.rate
	if c.bound = now; n.h > 0 {
		c.bound = v.fieldSpeed(&box, t, m) + slack
	}
	ball := shape.Shape{Kind: shape.Sphere, P: box.P}
	depth := math.Inf(-1)
	if shape.Distance(&ball, a) <= 0 {
		if depth = -shape.Distance(&ball, z.shape); depth > slack {
			z.found(c, u.Norm()*n.rate)
		}
	}
	c.final = far+size < TolMM || n.narrow() && size < TolMM
	// Halve what leaves more open: the time, or the box. While it is open whether
	// the box is in the zone, also what moves more.
	overTime, overBox := c.bound-now, now-u.Norm()*n.rate
	c.time = n.h > 0 && !n.narrow() && (overTime > overBox || depth < far+size && far > size && overTime+overBox < TolMMS/2)
}

// lookAtBody sets the bound of a mover that nothing is cut off from yet.
func (z *zoneSearch) lookAtBody(c *cell) {
	var g gap
	v := z.v
	v.place(c.mover)
	m := v.mover(c.mover)
	if x1, _, _ := v.n.reach(m); v.at[c.mover].Sub(z.centre).Norm() < z.radius+m.radius+x1*v.n.h+slack {
		top := v.n.rate
		if v.n.h > 0 {
			_, top = z.w.laws[v.n.piece].product(v.n.s0(), v.n.s1(), 1, 1)
		}
		if hi := v.fastestPoint(c.mover) * top; hi <= z.enough() {
			c.bound = hi + slack
			return
		}
	}
	if v.gap(c.mover, z.shape, z.centre, z.radius, 0, 0, &g); g.bound >= 0 {
		return
	}
	now, bound := v.pointSpeed(c.mover)
	c.bound = bound + slack
	if v.within(c.mover, z.shape) {
		z.found(c, now)
	}
	c.time = v.n.h > 0 && !v.n.narrow() && (bound-now > TolMMS/4 || !math.IsInf(g.value, 1) && g.value > 0)
}

// within reports whether all of a mover lies in a box, and not only up to its
// faces.
func (v *view) within(i int, s *shape.Shape) bool {
	if s.Kind != shape.Box {
		return false
	}
	a := v.place(i)
	for _, e := range [3]struct {
		axis kin.Vec
		half float64
	}{{s.Rot.X, s.Half.X}, {s.Rot.Y, s.Half.Y}, {s.Rot.Z, s.Half.Z}} {
		c := e.axis.Dot(s.P)
		if a.Least(e.axis) <= c-e.half+slack || -a.Least(e.axis.Scale(-1)) >= c+e.half-slack {
			return false
		}
	}
	return true
}

// split halves the interval of a cell, or the cell.
func (z *zoneSearch) split(c *cell) {
	a, b := *c, *c
	if c.time {
		a.node, b.node = z.w.halves(c.node)
		z.next = append(z.next, a, b)
		return
	}
	a.whole, b.whole = false, false
	switch math.Max(c.half.X, math.Max(c.half.Y, c.half.Z)) {
	case c.half.X:
		a.half.X /= 2
		a.centre.X -= a.half.X
		b.half.X, b.centre.X = a.half.X, c.centre.X+a.half.X
	case c.half.Y:
		a.half.Y /= 2
		a.centre.Y -= a.half.Y
		b.half.Y, b.centre.Y = a.half.Y, c.centre.Y+a.half.Y
	default:
		a.half.Z /= 2
		a.centre.Z -= a.half.Z
		b.half.Z, b.centre.Z = a.half.Z, c.centre.Z+a.half.Z
	}
	z.next = append(z.next, a, b)
}

// cover returns the box that covers a shape: its place in the shape's frame and
// its half edge lengths.
func cover(s *shape.Shape) (kin.Pose, kin.Vec) {
	switch s.Kind {
	case shape.Capsule:
		d := s.Q.Sub(s.P)
		z := d.Unit()
		if z == (kin.Vec{}) {
			z = kin.Vec{Z: 1}
		}
		x := kin.Vec{X: 1}
		if math.Abs(z.X) > 0.7 {
			x = kin.Vec{Y: 1}
		}
		y := z.Cross(x).Unit()
		return kin.Pose{R: kin.Rot{X: y.Cross(z), Y: y, Z: z}, T: s.P.AddScaled(0.5, d)}, kin.Vec{X: s.R, Y: s.R, Z: d.Norm()/2 + s.R}
	case shape.Sphere:
		return kin.Pose{R: kin.Identity, T: s.P}, kin.Vec{X: s.R, Y: s.R, Z: s.R}
	case shape.Cylinder:
		return kin.Pose{R: s.Rot, T: s.P}, kin.Vec{X: s.R, Y: s.R, Z: s.Half.Z}
	default:
		return kin.Pose{R: s.Rot, T: s.P}, s.Half
	}
}
