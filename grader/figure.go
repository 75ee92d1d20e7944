package grader

import (
	"fmt"
	"math"

	"posework/engine/sweep"
	"posework/kin"
)

// figure is what the tool should trace: a polyline (closed for a rectangle), a
// circle or an arc of one, in a plane whose normal points towards the tool.
type figure struct {
	name   string
	curve  sweep.Figure
	line   []kin.Vec // world; the corners of a polyline, in order
	closed bool
	radius float64 // mm, of a circle; 0 for the others
	normal kin.Vec // of the plane, world
	plane  kin.Vec // a point of the plane: the placed origin, the middle of a circle
}

// figure reads {rectangle: [w, h]} | {polyline: [...], closed: on} |
// {circle: radius} | {arc: {radius: r, angle: 90 deg}}, placed by xyz, rpy and
// frame. An arc begins on the X axis of that place and turns about its Z axis,
// right-handed.
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
	rectangle, polyline, circle, arc := m.Get("rectangle"), m.Get("polyline"), m.Get("circle"), m.Get("arc")
	switch {
	case rectangle != nil:
		f.name, f.closed = "the rectangle", true
		if s := rectangle.Nums(2); len(s) == 2 {
			w, h := s[0]/2, s[1]/2
			for _, c := range []kin.Vec{{X: -w, Y: -h}, {X: w, Y: -h}, {X: w, Y: h}, {X: -w, Y: h}} {
				f.line = append(f.line, at.Apply(c))
			}
		}
	case polyline != nil:
		f.name = "the polyline"
		for _, p := range polyline.List() {
			f.line = append(f.line, at.Apply(p.Vec()))
		}
		if c := m.Get("closed"); c != nil {
			f.closed = c.OnOff()
		}
		if len(f.line) < 2 {
			polyline.Errorf("T012", "write at least two points", "the polyline has %d points", len(f.line))
		}
	case circle != nil:
		f.closed = true
		f.radius = radius(circle, "circle")
		f.name = fmt.Sprintf("the circle of radius %g mm", f.radius)
		f.curve = sweep.Circle(at.T, f.normal, f.radius)
	case arc != nil:
		a := arc.Map()
		r, angle := radius(a.Need("radius"), "arc"), a.Need("angle")
		turn := angle.Deg()
		angle.Check(turn > 0 && turn < 2*math.Pi, "T012", "write an angle above 0 and below 360 deg", "the arc turns by %s", deg(turn))
		a.Close()
		f.name = fmt.Sprintf("the arc of %s with radius %g mm", deg(turn), r)
		f.curve = sweep.Arc(at.T, f.normal, at.Apply(kin.Vec{X: r}), turn)
	default:
		n.Errorf("T012", "write rectangle: [width, height], polyline: [...], circle: radius or arc: {radius, angle}", "the figure has no shape")
	}
	if f.line != nil {
		f.curve = sweep.Polyline(f.line, f.closed)
	}
	m.Close()
	return f
}

// radius reads the radius of a circle or an arc.
func radius(n *sourceNode, of string) float64 {
	r := n.MM()
	n.Check(r > 0, "T012", "write a radius above 0", "the %s's radius is %g mm", of, r)
	return r
}

// distance returns how far a point is from the figure.
func (f *figure) distance(p kin.Vec) float64 { return f.curve.Distance(p) }

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
		return p.Sub(f.plane).Norm() < f.radius
	}
	// Winding angle of the polyline about the point.
	total := 0.0
	for i := range f.line {
		a, b := f.line[i].Sub(p), f.line[(i+1)%len(f.line)].Sub(p)
		total += math.Atan2(a.Cross(b).Dot(f.normal), a.Dot(b))
	}
	return math.Abs(total) > math.Pi
}

func (f *figure) String() string { return f.name }
