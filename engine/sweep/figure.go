package sweep

import (
	"math"

	"posework/kin"
)

// Figure is a curve that the tool should trace: straight sides, or an arc of a
// circle. It is made by [Polyline], [Circle] or [Arc].
type Figure struct {
	sides []side
	ring  ring
}

// side is a straight side of a polyline.
type side struct{ from, to kin.Vec }

// ring is an arc of a circle; angles count from x towards y.
type ring struct {
	centre, x, y, normal kin.Vec
	radius, angle        float64 // angle is 2 pi for a full circle
}

// Polyline is the figure of straight sides from point to point, and back to the
// first one when closed. A segment has two points; a rectangle is four, closed.
func Polyline(points []kin.Vec, closed bool) Figure {
	var f Figure
	for i := range points {
		j := i + 1
		if j == len(points) {
			if !closed && i > 0 {
				break
			}
			j = 0
		}
		f.sides = append(f.sides, side{points[i], points[j]})
	}
	return f
}

// Circle is a full circle about centre in the plane across normal.
func Circle(centre, normal kin.Vec, radius float64) Figure {
	n := normal.Unit()
	x := kin.Vec{X: 1}
	if math.Abs(n.X) > 0.7 {
		x = kin.Vec{Y: 1}
	}
	y := n.Cross(x).Unit()
	return Figure{ring: ring{centre, y.Cross(n), y, n, radius, 2 * math.Pi}}
}

// Arc is the arc about centre that starts at from and turns by angle (rad, up to
// 2 pi) about normal, right-handed.
func Arc(centre, normal, from kin.Vec, angle float64) Figure {
	n := normal.Unit()
	r := from.Sub(centre)
	r = r.AddScaled(-r.Dot(n), n)
	x := r.Unit()
	return Figure{ring: ring{centre, x, n.Cross(x), n, r.Norm(), math.Min(angle, 2*math.Pi)}}
}

// Length returns the length of the figure, mm.
func (f *Figure) Length() float64 {
	l := f.ring.radius * f.ring.angle
	for _, s := range f.sides {
		l += s.to.Sub(s.from).Norm()
	}
	return l
}

// Distance returns the distance of a point from the figure.
func (f *Figure) Distance(p kin.Vec) float64 {
	d := math.Inf(1)
	for i := range f.sides {
		d = math.Min(d, f.sides[i].distance(p))
	}
	if f.ring.radius > 0 {
		d = math.Min(d, f.ring.distance(p))
	}
	return d
}

func (s *side) distance(p kin.Vec) float64 {
	d := s.to.Sub(s.from)
	t, e := 0.0, d.Norm2()
	if e > 0 {
		t = math.Max(0, math.Min(1, p.Sub(s.from).Dot(d)/e))
	}
	return p.Sub(s.from.AddScaled(t, d)).Norm()
}

// polar returns the distance of p from the axis, its height over the plane and
// its angle, in [0, 2 pi).
func (r *ring) polar(p kin.Vec) (rho, z, angle float64) {
	v := p.Sub(r.centre)
	x, y := v.Dot(r.x), v.Dot(r.y)
	angle = math.Atan2(y, x)
	if angle < 0 {
		angle += 2 * math.Pi
	}
	return math.Sqrt(x*x + y*y), v.Dot(r.normal), angle
}

func (r *ring) point(angle float64) kin.Vec {
	s, c := math.Sincos(angle)
	return r.centre.AddScaled(r.radius*c, r.x).AddScaled(r.radius*s, r.y)
}

func (r *ring) distance(p kin.Vec) float64 {
	rho, z, angle := r.polar(p)
	if angle <= r.angle {
		return math.Hypot(rho-r.radius, z)
	}
	return math.Min(p.Sub(r.point(0)).Norm(), p.Sub(r.point(r.angle)).Norm())
}

// stretch is what is known about the tool centre point over an interval:
// position, velocity and acceleration by s in the middle, the half width, and
// bounds over it: h^2/2 times |acceleration|, h^3/6 times its rate, |velocity|.
type stretch struct {
	p, v, a              kin.Vec
	h, bend, rest, speed float64
}

func (w *Sweep) stretch(n *node) stretch {
	tcp := &w.setup(n.piece).tcp
	_, a := n.link[hand].point(n.e.TCP.T)
	x := stretch{p: n.e.TCP.T, v: n.e.V, a: a, h: n.h}
	if n.h == 0 {
		return x
	}
	if !n.bounded {
		x.bend = math.Inf(1)
		return x
	}
	h2 := n.h * n.h / 2
	x1, x2, x3 := n.reach(tcp)
	x.rest = x3 * h2 * n.h / 3
	x.bend = math.Min(x2*h2, a.Norm()*h2+x.rest)
	x.speed = math.Min(x1, n.e.V.Norm()+2*x.bend/n.h)
	return x
}

// Deviation returns the greatest distance of the tool centre point from a
// figure, mm.
func (w *Sweep) Deviation(spans []Span, figure Figure) Extreme {
	return w.greatest(spans, TolMM, func(n *node) sampled {
		x := w.stretch(n)
		value := figure.Distance(x.p)
		if math.IsInf(x.bend, 1) {
			return sampled{value: -value, bound: math.Inf(-1)}
		}
		return sampled{value: -value, bound: -figure.farthest(&x, value) - slack}
	})
}

// farthest bounds the distance from the figure over a stretch; value is that in
// the middle.
func (f *Figure) farthest(x *stretch, value float64) float64 {
	best := value + x.speed*x.h
	// The stretch lies within bend of a straight line, and the distance from a
	// straight side is convex: the ends of the line decide.
	a, b := x.p.AddScaled(-x.h, x.v), x.p.AddScaled(x.h, x.v)
	for i := range f.sides {
		s := &f.sides[i]
		best = math.Min(best, math.Max(s.distance(a), s.distance(b))+x.bend)
	}
	if f.ring.radius > 0 {
		best = math.Min(best, f.ring.farthest(x))
	}
	return best
}

// farthest bounds the distance from the arc. Of a point at rho from the axis and
// z over the plane it is hypot(rho - radius, z), as long as its angle stays on
// the arc. rho' is known in the middle, and
// rho" = (radial acceleration) + (velocity across)^2 / rho.
func (r *ring) farthest(x *stretch) float64 {
	rho, z, angle := r.polar(x.p)
	near := rho - x.speed*x.h
	if near <= 0 {
		return math.Inf(1)
	}
	if r.angle < 2*math.Pi {
		turn := math.Asin(math.Min(1, x.speed*x.h/rho))
		if angle-turn < 0 || angle+turn > r.angle {
			return math.Inf(1)
		}
	}
	out := x.p.Sub(r.centre)
	out = out.AddScaled(-out.Dot(r.normal), r.normal).Scale(1 / rho)
	vr, vz := x.v.Dot(out), x.v.Dot(r.normal)
	bend := x.bend + x.speed*x.speed/near*x.h*x.h/2
	return math.Hypot(math.Abs(rho-r.radius)+math.Abs(vr)*x.h+bend, math.Abs(z)+math.Abs(vz)*x.h+x.bend)
}

// Nearest returns the least distance of the tool centre point from a point, mm.
func (w *Sweep) Nearest(spans []Span, point kin.Vec) Extreme {
	return w.leastExtreme(spans, TolMM, w.toPoint(point))
}

func (w *Sweep) toPoint(point kin.Vec) func(n *node) sampled {
	return func(n *node) sampled {
		x := w.stretch(n)
		line := side{x.p.AddScaled(-x.h, x.v), x.p.AddScaled(x.h, x.v)}
		return sampled{value: x.p.Sub(point).Norm(), bound: math.Max(0, line.distance(point)-x.bend-slack)}
	}
}

// Tilt returns the greatest angle between the tool axis, Z of the tool centre
// point, and a direction, rad.
func (w *Sweep) Tilt(spans []Span, direction kin.Vec) Extreme {
	d := direction.Unit()
	return w.greatest(spans, TolRad, func(n *node) sampled {
		z := n.e.TCP.R.Z
		value := z.Angle(d)
		if n.h == 0 {
			return sampled{value: -value, bound: -value}
		}
		if !n.bounded {
			return sampled{value: -value, bound: -math.Pi}
		}
		turn, rate := n.turning(hand)
		bound := value + turn*n.h
		// Directions within an angle of d, up to a right one, are a convex cone:
		// of z moving straight on, the ends decide, and what it bends by is an
		// angle of at most asin of that, for |z + x z'| >= 1.
		zv := n.link[hand].w.Cross(z)
		bend := (rate + turn*turn) * n.h * n.h / 2
		a, b := z.AddScaled(-n.h, zv).Angle(d), z.AddScaled(n.h, zv).Angle(d)
		if ends := math.Max(a, b); ends <= math.Pi/2 && bend < 1 {
			bound = math.Min(bound, ends+math.Asin(bend))
		}
		return sampled{value: -value, bound: -math.Min(bound+slack, math.Pi)}
	})
}
