package sweep

import (
	"math"

	"posework/kin"
)

// Gap returns the greatest distance, mm, of a point of the figure from the path
// of the tool centre point: how far from being covered its worst place is.
//
// Points of the figure are joined to the places of the path nearest them. Between
// two neighbours on one stretch of path, figure and path both lie near their
// chords, and the distance of two points that run along two chords together is
// convex: what the two neighbours show, and what figure and path bend by, bounds
// all between them.
func (w *Sweep) Gap(spans []Span, figure Figure) Extreme {
	if len(spans) == 0 || figure.Length() == 0 && len(figure.sides) == 0 {
		return none()
	}
	g := gapSearch{w: w, spans: spans, left: w.work, done: true}
	for i := range figure.sides {
		s := &figure.sides[i]
		d := s.to.Sub(s.from)
		g.curve(func(t float64) kin.Vec { return s.from.AddScaled(t, d) }, d.Norm(), 0)
	}
	if r := &figure.ring; r.radius > 0 {
		g.curve(func(t float64) kin.Vec { return r.point(t * r.angle) }, r.radius*r.angle, 1/r.radius)
	}
	x := Extreme{Lo: g.best, Hi: math.Max(g.high, g.best), At: g.at, Done: g.done}
	return x
}

type gapSearch struct {
	w     *Sweep
	spans []Span
	n     node
	left  int // work
	best  float64
	high  float64
	at    Moment
	done  bool
}

// passed is a point of the figure with the place of the path nearest it.
type passed struct {
	t      float64 // along the curve, 0 to 1
	p, at  kin.Vec
	lo, hi float64 // hold the distance
	where  Moment
}

// curve examines one curve of the figure, of a length and a curvature.
func (g *gapSearch) curve(at func(t float64) kin.Vec, length, curvature float64) {
	const first = 8
	prev := g.pass(0, at)
	var open []passed
	for i := range first {
		next := g.pass(float64(i+1)/first, at)
		open = append(open, prev, next)
		prev = next
	}
	for len(open) > 0 {
		a, b := open[len(open)-2], open[len(open)-1]
		open = open[:len(open)-2]
		step := (b.t - a.t) * length
		bound := g.between(&a, &b, step, curvature)
		if bound <= g.best+TolMM || g.left <= 0 || step < 1e-6 {
			g.high = math.Max(g.high, bound)
			g.done = g.done && bound <= g.best+TolMM
			continue
		}
		mid := g.pass((a.t+b.t)/2, at)
		open = append(open, mid, b, a, mid)
	}
}

// between bounds the distance of every point of the figure between a and b.
func (g *gapSearch) between(a, b *passed, step, curvature float64) float64 {
	// It changes no faster than one moves along the figure.
	bound := (a.hi + b.hi + step) / 2
	if a.where.Piece != b.where.Piece {
		return bound
	}
	s0, s1 := math.Min(a.where.S, b.where.S), math.Max(a.where.S, b.where.S)
	inside := false
	for _, s := range g.spans {
		inside = inside || s.Piece == a.where.Piece && s.S0 <= s0 && s1 <= s.S1
	}
	if !inside {
		return bound
	}
	g.w.fill(&g.n, a.where.Piece, (s0+s1)/2, (s1-s0)/2, nil)
	x := g.w.stretch(&g.n)
	// A curve with |p"| <= A departs from its chord by A width^2 / 8 = A h^2 / 2.
	chords := math.Max(a.p.Sub(a.at).Norm(), b.p.Sub(b.at).Norm())
	return math.Min(bound, chords+x.bend+curvature*step*step/8+slack)
}

// pass finds the place of the path nearest a point of the curve.
func (g *gapSearch) pass(t float64, at func(t float64) kin.Vec) passed {
	p := passed{t: t, p: at(t)}
	f := g.w.least(g.spans, TolMM/4, g.w.toPoint(p.p))
	g.left -= len(g.spans)
	if f.at < 0 { // not looked at for want of work
		g.left, g.done = 0, false
		p.hi = math.Inf(1)
		return p
	}
	n := g.w.tree.node(f.at)
	p.lo, p.hi, p.at, p.where = f.lo, f.hi, n.e.TCP.T, g.w.moment(n)
	g.done = g.done && f.done
	if p.lo > g.best || g.at == (Moment{}) {
		g.best, g.at = math.Max(g.best, p.lo), p.where
	}
	return p
}
