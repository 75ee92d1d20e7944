package motion

import "math"

// corner rounds the pose between two legs that fly by it. It reports false when
// there is no room for one: the arm then stops at the pose. from is what is left
// of the arriving leg (its second half, at most, belongs to this corner).
func (pl *planner) corner(a, b *leg) (c stretch, da, db float64, ok bool) {
	c = stretch{kind: Corner, step: a.step, share: min(a.share, b.share)}
	c.mms = min(positive(a.mms), positive(b.mms))
	if math.IsInf(c.mms, 1) {
		c.mms = 0
	}
	if !(a.s1 > 0 && b.s1 > 0) {
		return c, 0, 0, false
	}
	ca, okA := a.path.(*cartesian)
	cb, okB := b.path.(*cartesian)
	if okA && okB {
		return pl.toolCorner(c, a, ca, cb)
	}
	return pl.axisCorner(c, a, b)
}

func positive(v float64) float64 {
	if v > 0 {
		return v
	}
	return math.Inf(1)
}

// toolCorner rounds the tool's path between two lines or arcs.
func (pl *planner) toolCorner(c stretch, l *leg, a, b *cartesian) (stretch, float64, float64, bool) {
	turnsA, turnsB := turnsOnly(a.curve), turnsOnly(b.curve)
	da, db := l.flyBy, l.flyBy
	// A turn on the spot is overlapped by the angle that goes with the radius.
	if turnsA {
		da /= TurnRadius
	}
	if turnsB {
		db /= TurnRadius
	}
	da, db = min(da, a.end/2), min(db, b.end/2)
	o := overlap{la: a.end}
	if turnsA == turnsB {
		da = min(da, db)
		db = da
	}
	o.da, o.db = da, db
	switch {
	case turnsA == turnsB:
		o.length = da + db
	case turnsA:
		o.length = 2 * db
	default:
		o.length = 2 * da
	}
	var e Eval
	a.At(a.end-da, &e)
	path, stop := newCartesian(newRounded(a.curve, b.curve, o), a.lev, pl.m, &e.Q, &pl.work)
	if stop != nil || !pl.joins(path, b, db) {
		return c, 0, 0, false
	}
	c.path, c.s1, c.tool = path, path.end, pl.accel
	return c, da, db, true
}

// turnsOnly reports whether a curve turns the tool on the spot.
func turnsOnly(c curve) bool {
	l, ok := c.(*straight)
	return ok && l.turns
}

// joins reports whether a corner ends where the leg after it takes over.
func (pl *planner) joins(c Path, b Path, db float64) bool {
	var e0, e1 Eval
	c.At(c.Length(), &e0)
	b.At(db, &e1)
	for i := range e0.Q {
		if !(math.Abs(e0.Q[i]-e1.Q[i]) <= turnTol) {
			return false
		}
	}
	return true
}

// axisCorner rounds the axes' path where one of the legs is a joint move at
// least.
func (pl *planner) axisCorner(c stretch, a, b *leg) (stretch, float64, float64, bool) {
	lev := pl.levers(pl.tool)
	var tip Eval
	b.path.At(0, &tip)
	da := pl.within(a.path, a.s1, -a.s1/2, a.flyBy, &tip)
	db := pl.within(b.path, 0, b.s1/2, a.flyBy, &tip)
	for range 20 {
		if !(da > 0 && db > 0) {
			return c, 0, 0, false
		}
		p := &blend{overlap: overlap{la: a.s1, da: da, db: db, length: da + db}, lev: lev, a: a.path, b: b.path, tip: tip.Q}
		if _, line := a.path.(*cartesian); line {
			p.length = 2 * da
		}
		if _, line := b.path.(*cartesian); line {
			p.length = 2 * db
		}
		if pl.inBall(p, 0, p.length, a.flyBy, &tip, 0) {
			c.path, c.s1 = p, p.length
			return c, da, db, true
		}
		// The axes bulge out of the ball: use less of both legs.
		da, db = 0.8*da, 0.8*db
	}
	return c, 0, 0, false
}

// within returns how far from s0 a leg can be followed, up to the length by (of
// either sign), with the tool never more than radius from the pose.
func (pl *planner) within(p Path, s0, by, radius float64, tip *Eval) float64 {
	var b Bound
	full := math.Abs(by)
	if !p.Bound(min(s0, s0+by), max(s0, s0+by), &b) {
		return 0
	}
	if b.V*full <= radius {
		return full
	}
	var e Eval
	at := 0.0
	for range 200 {
		pl.work.spend(1)
		p.At(s0+math.Copysign(at, by), &e)
		room := radius - e.TCP.T.Sub(tip.TCP.T).Norm()
		if room <= 1e-4*radius {
			break
		}
		at += room / b.V
		if at >= full {
			return full
		}
	}
	return at
}

// inBall proves that the tool stays within radius of the pose over [s0, s1] of a
// corner. It reports false where it does not, or can't be told.
func (pl *planner) inBall(p Path, s0, s1, radius float64, tip *Eval, depth int) bool {
	var b Bound
	var e Eval
	h := (s1 - s0) / 2
	evaluate(p, s0+h, &e)
	room := radius - e.TCP.T.Sub(tip.TCP.T).Norm()
	if room < 0 || depth > 14 || !pl.work.spend(2) {
		return false
	}
	if enclosing(p, s0, s1, &b) && b.V*h <= room {
		return true
	}
	return pl.inBall(p, s0, s0+h, radius, tip, depth+1) && pl.inBall(p, s0+h, s1, radius, tip, depth+1)
}
