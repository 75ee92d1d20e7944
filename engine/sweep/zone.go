package sweep

import (
	"math"

	"posework/engine/shape"
	"posework/kin"
)

// block is a box that holds some of the points of a mover, during an interval.
type block struct {
	node   int32
	mover  int
	centre kin.Vec // in the frame of the mover's box
	half   kin.Vec
	whole  bool // nothing of the mover is cut off
	bound  float64
	final  bool
	cut    int8 // halve the box across this axis; -1: the interval
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
	z.box, z.half = cover(z.shape)
	z.start(spans)
	work := w.work
	for len(z.front) > 0 {
		looking := int32(-1)
		for i := range z.front {
			c := &z.front[i]
			if !w.spend(blockWork) {
				c.bound, c.final = math.Inf(1), false
				continue
			}
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
			if c.bound <= z.enough() || c.final || work < 0 || w.left < 0 {
				z.high = math.Max(z.high, c.bound)
				z.done = z.done && (c.bound <= z.enough() || c.final) && w.left >= 0
				continue
			}
			z.split(c)
		}
		z.front, z.next = z.next, z.front
	}
	if math.IsInf(z.high, -1) && z.body < 0 {
		return BodyExtreme{Extreme: none()}
	}
	out := BodyExtreme{Extreme: Extreme{Lo: math.Max(0, z.best-slack), Hi: math.Max(z.high, z.best), Done: z.done}}
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
	centre      kin.Vec // of a ball, and a box, that hold the zone
	radius      float64
	box         kin.Pose
	half        kin.Vec
	limit       float64
	front, next []block
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
					z.front = append(z.front, block{node: n, mover: i, half: m.half, whole: true})
				}
			}
		}
	}
}

// found takes the speed of a point that is in the zone.
func (z *zoneSearch) found(c *block, speed float64) {
	if speed > z.best {
		z.best, z.body, z.at = speed, z.v.mover(c.mover).body, c.node
	}
}

// look sets the bound of a block: the speed at the corners of the box, and at
// those of the part of the zone that it can reach, whichever is less.
func (z *zoneSearch) look(c *block) {
	v := z.v
	m, n := v.mover(c.mover), v.n
	a := v.place(c.mover)
	c.bound, c.final, c.cut = math.Inf(-1), false, -1
	if !n.bounded {
		c.bound, c.final = math.Inf(1), n.narrow()
		return
	}
	x1, x2, _ := n.reach(m)
	if c.whole && v.at[c.mover].Sub(z.centre).Norm() >= z.radius+m.radius+x1*n.h+slack {
		return // never in the zone
	}
	t := &n.link[m.link]
	pose := n.e.Frames[m.link].Mul(&m.box)
	box := shape.Shape{Kind: shape.Box, P: pose.Apply(c.centre), Rot: pose.R, Half: c.half}
	size := c.half.Norm()
	u := t.v.Add(t.w.Cross(box.P.Sub(t.o)))
	far := 0.0
	if n.h > 0 {
		far = math.Min((u.Norm()+t.w.Norm()*size)*n.h+x2*n.h*n.h/2, x1*n.h)
	}
	part, ok := z.part(&box, a, far+slack)
	if !ok {
		return
	}
	if n.h == 0 {
		c.bound = math.Min(fastest(&box, t), fastest(&part, t)) * n.rate
	} else {
		c.bound = math.Min(v.fieldSpeed(&box, t, m), v.fieldSpeed(&part, t, m)) + slack
	}
	if c.bound <= z.enough() {
		return
	}
	if shape.Distance(&box, z.shape)-far-slack >= 0 || a.Kind != shape.Box && shape.Distance(&box, a) > roundSlack {
		c.bound = math.Inf(-1)
		return
	}
	c.final = far+size < TolMM || n.narrow() && size < TolMM

	// Halve what leaves more open: the time, or the box.
	now, ok := z.part(&box, a, 0)
	if !ok {
		return // only at other times, if at all
	}
	top := math.Min(fastest(&box, t), fastest(&now, t)) * n.rate
	here := z.witness(c, a, t, &now)
	middle := fastest(&shape.Shape{Kind: shape.Sphere, P: now.P}, t) * n.rate
	overTime, overBox := c.bound-top, top-here
	switch {
	case overTime > TolMMS/4 && overTime > top-middle:
		overBox = 0
	case math.IsInf(here, -1): // is any of it in body and zone? What moves more hides more
		overTime, overBox = far, size
	}
	if n.h == 0 || n.narrow() || overTime < overBox {
		c.cut = across(&box, t)
	}
}

// part returns the box, along the zone's axes, of the points of a box and of its
// body within a distance of the zone.
func (z *zoneSearch) part(box, body *shape.Shape, by float64) (part shape.Shape, ok bool) {
	part = shape.Shape{Kind: shape.Box, Rot: z.box.R}
	var at, half [3]float64
	axes := [3]kin.Vec{z.box.R.X, z.box.R.Y, z.box.R.Z}
	for i, h := range [3]float64{z.half.X, z.half.Y, z.half.Z} {
		e := axes[i]
		c := e.Dot(z.box.T)
		lo := math.Max(c-h-by, math.Max(box.Least(e), body.Least(e)))
		e = e.Scale(-1)
		hi := math.Min(c+h+by, math.Min(-box.Least(e), -body.Least(e)))
		if lo > hi {
			return part, false
		}
		at[i], half[i] = (lo+hi)/2, (hi-lo)/2
	}
	part.P = z.box.R.Apply(kin.Vec{X: at[0], Y: at[1], Z: at[2]})
	part.Half = kin.Vec{X: half[0], Y: half[1], Z: half[2]}
	return part, true
}

// witness looks among the middle and the corners of a box for a point in the
// body and in the zone, takes the fastest, and returns its speed or minus
// infinity.
func (z *zoneSearch) witness(c *block, body *shape.Shape, t *twist, part *shape.Shape) float64 {
	best := math.Inf(-1)
	for k := range 9 {
		// Drawn in by a little: on the zone's face is not in it.
		shrink := func(h float64, bit int) float64 {
			if k == 8 {
				return 0
			}
			h = math.Max(0, h-2*slack)
			if k>>bit&1 == 0 {
				return -h
			}
			return h
		}
		p := shape.Shape{Kind: shape.Sphere, P: part.P.
			AddScaled(shrink(part.Half.X, 0), part.Rot.X).
			AddScaled(shrink(part.Half.Y, 1), part.Rot.Y).
			AddScaled(shrink(part.Half.Z, 2), part.Rot.Z)}
		speed := fastest(&p, t) * z.v.n.rate
		if speed > best && shape.Distance(&p, body) <= 0 && shape.Distance(&p, z.shape) < -slack {
			best = speed
		}
	}
	z.found(c, best)
	return best
}

// split halves the interval of a block, or the box.
func (z *zoneSearch) split(c *block) {
	a, b := *c, *c
	if c.cut < 0 {
		a.node, b.node = z.w.halves(c.node)
		z.next = append(z.next, a, b)
		return
	}
	a.whole, b.whole = false, false
	switch c.cut {
	case 0:
		a.half.X /= 2
		a.centre.X -= a.half.X
		b.half.X, b.centre.X = a.half.X, c.centre.X+a.half.X
	case 1:
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

// across returns the axis across which a box is best halved: along which the
// velocity varies most, but not leaving it ten times as long another way, for
// the zone may cut it askew.
func across(box *shape.Shape, t *twist) int8 {
	var open [3]float64
	half := [3]float64{box.Half.X, box.Half.Y, box.Half.Z}
	w := t.w.Norm()
	for i, e := range [3]kin.Vec{box.Rot.X, box.Rot.Y, box.Rot.Z} {
		open[i] = half[i]
		if w > 0 {
			open[i] *= 0.1 + t.w.Cross(e).Norm()/w
		}
	}
	switch max(open[0], open[1], open[2]) {
	case open[0]:
		return 0
	case open[1]:
		return 1
	}
	return 2
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
