package grader

import (
	"fmt"
	"math"

	"posework/engine/sweep"
	"posework/kin"
)

// figure is what the tool should trace: a polyline (closed for a rectangle) or
// a circle, in a plane whose normal points towards the tool.
type figure struct {
	name    string
	line    []kin.Vec // world; the corners of a polyline, in order
	closed  bool
	centre  kin.Vec // circle
	radius  float64 // circle; 0 for a polyline
	normal  kin.Vec // of the plane, world
	plane   kin.Vec // a point of the plane
	corners []kin.Vec
}

// figure reads {rectangle: [w, h]} | {polyline: [...], closed: on} |
// {circle: radius}, placed by xyz, rpy and frame.
func (d *decoder) figure(n *sourceNode) figure {
	m := n.Map()
	local := kin.IdentityPose
	if p := m.Get("xyz"); p != nil {
		local.T = p.Vec()
	}
	if p := m.Get("rpy"); p != nil {
		a := p.Degs()
		local.R = kin.FromRPY(a.X, a.Y, a.Z)
	}
	outer := d.frame(m.Get("frame"))
	at := outer.Mul(&local)
	f := figure{normal: at.R.Z, plane: at.T}
	rectangle, polyline, circle := m.Get("rectangle"), m.Get("polyline"), m.Get("circle")
	switch {
	case rectangle != nil:
		f.name, f.closed = "rectangle", true
		if s := rectangle.Nums(2); len(s) == 2 {
			w, h := s[0]/2, s[1]/2
			for _, c := range []kin.Vec{{X: -w, Y: -h}, {X: w, Y: -h}, {X: w, Y: h}, {X: -w, Y: h}} {
				f.line = append(f.line, at.Apply(c))
			}
		}
		f.corners = f.line
	case polyline != nil:
		f.name = "polyline"
		for _, p := range polyline.List() {
			f.line = append(f.line, at.Apply(p.Vec()))
		}
		if c := m.Get("closed"); c != nil {
			f.closed = c.OnOff()
		}
		if len(f.line) < 2 {
			polyline.Errorf("T012", "write at least two points", "the polyline has %d points", len(f.line))
		}
		f.corners = f.line
	case circle != nil:
		f.name, f.closed = "circle", true
		f.centre = at.T
		if f.radius = circle.MM(); f.radius <= 0 {
			circle.Errorf("T012", "write a radius above 0", "the circle's radius is %g mm", f.radius)
		}
	default:
		n.Errorf("T012", "write rectangle: [width, height], polyline: [...] or circle: radius", "the figure has no shape")
	}
	m.Close()
	return f
}

// shape gives the figure to the sweep.
func (f *figure) shape() sweep.Figure {
	if f.radius > 0 {
		return sweep.Circle(f.centre, f.normal, f.radius)
	}
	return sweep.Polyline(f.line, f.closed)
}

// distance returns how far a point is from the figure.
func (f *figure) distance(p kin.Vec) float64 {
	if f.radius > 0 {
		v := p.Sub(f.centre)
		h := v.Dot(f.normal)
		return math.Hypot(v.AddScaled(-h, f.normal).Norm()-f.radius, h)
	}
	best := math.Inf(1)
	for i := range f.line {
		j := i + 1
		if j == len(f.line) {
			if !f.closed {
				break
			}
			j = 0
		}
		best = math.Min(best, toSegment(p, f.line[i], f.line[j]))
	}
	return best
}

// toSegment returns the distance of a point from a segment.
func toSegment(p, a, b kin.Vec) float64 {
	ab := b.Sub(a)
	t := 0.0
	if n := ab.Norm2(); n > 0 {
		t = math.Max(0, math.Min(1, p.Sub(a).Dot(ab)/n))
	}
	return p.Sub(a.AddScaled(t, ab)).Norm()
}

// height returns how far a point is above the figure's plane.
func (f *figure) height(p kin.Vec) float64 { return p.Sub(f.plane).Dot(f.normal) }

// inside reports whether a point, projected on the plane, lies within a closed
// figure.
func (f *figure) inside(p kin.Vec) bool {
	if !f.closed {
		return false
	}
	p = p.AddScaled(-f.height(p), f.normal)
	if f.radius > 0 {
		return p.Sub(f.centre).Norm() < f.radius
	}
	// Winding angle of the polyline about the point.
	total := 0.0
	for i := range f.line {
		a, b := f.line[i].Sub(p), f.line[(i+1)%len(f.line)].Sub(p)
		total += math.Atan2(a.Cross(b).Dot(f.normal), a.Dot(b))
	}
	return math.Abs(total) > math.Pi
}

func (f *figure) String() string {
	if f.radius > 0 {
		return fmt.Sprintf("the circle of radius %g mm", f.radius)
	}
	return "the " + f.name
}
