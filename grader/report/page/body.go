package page

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"posework/engine/shape"
	"posework/kin"
)

// body is a convex solid as it is drawn: the hull of some points, grown by a
// radius where it is a capsule or a sphere. The replay's script draws the same
// bodies in the same way.
type body struct {
	points []kin.Vec
	grow   float64
}

// facets is the number of points that stand for a circle.
const facets = 20

// bodyOf returns the body of a shape. A half-space has none.
func bodyOf(s *shape.Shape) (body, bool) {
	switch s.Kind {
	case shape.Sphere:
		return body{[]kin.Vec{s.P}, s.R}, true
	case shape.Capsule:
		if s.P == s.Q {
			return body{[]kin.Vec{s.P}, s.R}, true
		}
		return body{[]kin.Vec{s.P, s.Q}, s.R}, true
	case shape.Box:
		var b body
		for i := range 8 {
			p := s.P
			for axis, v := range [3]kin.Vec{s.Rot.X.Scale(s.Half.X), s.Rot.Y.Scale(s.Half.Y), s.Rot.Z.Scale(s.Half.Z)} {
				if i>>axis&1 == 0 {
					v = v.Scale(-1)
				}
				p = p.Add(v)
			}
			b.points = append(b.points, p)
		}
		return b, true
	case shape.Cylinder:
		var b body
		for _, end := range [2]float64{-s.Half.Z, s.Half.Z} {
			for i := range facets {
				sin, cos := math.Sincos(2 * math.Pi * float64(i) / facets)
				b.points = append(b.points, s.P.AddScaled(end, s.Rot.Z).AddScaled(s.R*cos, s.Rot.X).AddScaled(s.R*sin, s.Rot.Y))
			}
		}
		return b, true
	}
	return body{}, false
}

// move places a body.
func (b *body) move(p *kin.Pose) body {
	out := body{make([]kin.Vec, len(b.points)), b.grow}
	for i, v := range b.points {
		out.points[i] = p.Apply(v)
	}
	return out
}

// view is a direction to look from.
type view struct {
	name    string // "top"
	title   string // "from above"
	across  func(kin.Vec) point
	nearest kin.Vec // towards the viewer
}

// point is a place in a picture: mm, x to the right, y downwards.
type point struct{ x, y float64 }

var (
	above = view{"top", "Seen from above", func(v kin.Vec) point { return point{v.X, -v.Y} }, kin.Vec{Z: 1}}
	aside = view{"side", "Seen from the side", func(v kin.Vec) point { return point{v.X, -v.Z} }, kin.Vec{Y: -1}}
)

// outline returns the outline of a body in a view as path data.
func (v *view) outline(b *body) string {
	p := make([]point, len(b.points))
	for i := range b.points {
		p[i] = v.across(b.points[i])
	}
	if b.grow > 0 {
		return stadium(p[0], p[len(p)-1], b.grow)
	}
	return polygon(hull(p))
}

// stadium is the outline of all points within r of a segment.
func stadium(a, b point, r float64) string {
	dx, dy := b.x-a.x, b.y-a.y
	l := math.Hypot(dx, dy)
	if l < 1e-3 { // seen along its axis
		return "M" + num(a.x-r) + " " + num(a.y) + "a" + num(r) + " " + num(r) + " 0 1 0 " + num(2*r) + " 0a" + num(r) + " " + num(r) + " 0 1 0 " + num(-2*r) + " 0z"
	}
	nx, ny := -dy/l*r, dx/l*r
	arc := "A" + num(r) + " " + num(r) + " 0 0 0 "
	return "M" + num(a.x+nx) + " " + num(a.y+ny) + "L" + num(b.x+nx) + " " + num(b.y+ny) + arc + num(b.x-nx) + " " + num(b.y-ny) +
		"L" + num(a.x-nx) + " " + num(a.y-ny) + arc + num(a.x+nx) + " " + num(a.y+ny) + "z"
}

func polygon(p []point) string {
	var b strings.Builder
	for i, q := range p {
		b.WriteByte("ML"[min(i, 1)])
		b.WriteString(num(q.x) + " " + num(q.y))
	}
	b.WriteByte('z')
	return b.String()
}

// hull is the convex hull of points (A. M. Andrew, 1979), without the corners that
// nobody would see.
func hull(p []point) []point {
	if len(p) < 3 {
		return p
	}
	p = slices.Clone(p)
	slices.SortFunc(p, func(a, b point) int { return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y)) })
	half := func(p []point) []point {
		var h []point
		for _, q := range p {
			for len(h) > 1 {
				a, b := h[len(h)-2], h[len(h)-1]
				if (b.x-a.x)*(q.y-a.y)-(b.y-a.y)*(q.x-a.x) > 0 {
					break
				}
				h = h[:len(h)-1]
			}
			h = append(h, q)
		}
		return h[:len(h)-1]
	}
	low := half(p)
	slices.Reverse(p)
	all := append(low, half(p)...)
	out := all[:0:0]
	for i, q := range all {
		before, after := all[len(all)-1], all[(i+1)%len(all)]
		if len(out) > 0 {
			before = out[len(out)-1]
			if i == len(all)-1 { // of what stays, not of what was left out
				after = out[0]
			}
		}
		if fromSegment(q, before, after) > 0.1 {
			out = append(out, q)
		}
	}
	return out
}

// bounds is a rectangle that holds what was added to it.
type bounds struct {
	lo, hi point
	any    bool
}

func (r *bounds) add(p point, grow float64) {
	if !r.any {
		r.lo, r.hi, r.any = p, p, true
	}
	r.lo.x, r.lo.y = min(r.lo.x, p.x-grow), min(r.lo.y, p.y-grow)
	r.hi.x, r.hi.y = max(r.hi.x, p.x+grow), max(r.hi.y, p.y+grow)
}

func (v *view) bounds(b *body, r *bounds) {
	for _, p := range b.points {
		r.add(v.across(p), b.grow)
	}
}
