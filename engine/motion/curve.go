package motion

import (
	"math"

	"posework/kin"
)

// curve is a path of the tool centre point, world frame.
type curve interface {
	Length() float64
	at(s float64) curvePoint
	// rates bounds the curve's derivatives over [s0, s1].
	rates(s0, s1 float64) rates
}

// curvePoint is a curve at one s: the pose and, by s, its twist (linear
// velocity of the tool centre point, rotation vector rate) and the derivative
// of the twist.
type curvePoint struct {
	pose         kin.Pose
	v, w, v1, w1 kin.Vec
}

// rates bounds the magnitudes of a twist and of its first two derivatives.
type rates struct{ v, w, v1, w1, v2, w2 float64 }

// about returns the rates of a point that turns with the tool at distance d
// from the tool centre point: p = tcp + R d, differentiated three times.
func (r *rates) about(d float64) (v, v1, v2 float64) {
	return r.v + r.w*d,
		r.v1 + (r.w1+r.w*r.w)*d,
		r.v2 + (r.w2+3*r.w*r.w1+r.w*r.w*r.w)*d
}

// spin turns an orientation at a constant rate about a fixed world axis.
type spin struct {
	from kin.Rot
	axis kin.Vec // unit
	rate float64 // rad per s
}

// newSpin is the shortest rotation from one orientation to another over a
// length.
func newSpin(from, to *kin.Rot, length float64) spin {
	inv := from.Inv()
	turn := to.Mul(&inv) // in world axes: to = turn * from
	axis, angle := turn.AxisAngle()
	return spin{from: *from, axis: axis, rate: angle / length}
}

func (p *spin) at(s float64) kin.Rot {
	if p.rate == 0 {
		return p.from
	}
	t := kin.FromAxisAngle(p.axis, p.rate*s)
	return t.Mul(&p.from)
}

func (p *spin) vec() kin.Vec { return p.axis.Scale(p.rate) }

// straight is a line: position straight, orientation by the shortest rotation.
type straight struct {
	spin
	start  kin.Vec
	dir    kin.Vec // of the tool centre point by s: unit, unless the tool turns
	turns  bool    // the tool turns on the spot: s is its angle in rad
	length float64 // mm, or rad
}

// onTheSpot is how far the tool may move for every rad that it turns and still
// count as turning on the spot, mm.
const onTheSpot = 0.1

// newStraight joins two poses. A length of zero means that they are the same.
func newStraight(from, to *kin.Pose) *straight {
	l := &straight{start: from.T, spin: newSpin(&from.R, &to.R, 1)}
	d, angle := to.T.Sub(from.T), l.rate
	l.turns = d.Norm() <= onTheSpot*angle
	l.length = d.Norm()
	if l.turns {
		l.length = angle
	}
	if l.length < 1e-9 {
		l.length = 0
		return l
	}
	l.dir, l.rate = d.Scale(1/l.length), angle/l.length
	return l
}

func (l *straight) Length() float64 { return l.length }

func (l *straight) at(s float64) curvePoint {
	return curvePoint{
		pose: kin.Pose{R: l.spin.at(s), T: l.start.AddScaled(s, l.dir)},
		v:    l.dir, w: l.vec(),
	}
}

func (l *straight) rates(s0, s1 float64) rates {
	if l.turns {
		return rates{v: l.dir.Norm(), w: l.rate}
	}
	return rates{v: 1, w: l.rate}
}

// circular is an arc of a circle, orientation by the shortest rotation.
type circular struct {
	spin
	centre kin.Vec
	x, y   kin.Vec // unit: from the centre to the start, and the way it leaves
	radius float64
	length float64
}

// arcFault says why three points make no arc.
type arcFault uint8

const (
	arcOK arcFault = iota
	arcStartIsEnd
	arcStartIsThrough
	arcThroughIsEnd
	arcCollinear
)

// Points closer than this (mm), and three points with a lesser sine between
// them, fix no circle.
const (
	samePoint = 0.01
	sameLine  = 1e-3
)

// newCircular is the arc from one pose to another through a third point. The
// orientation turns from the first to the last; that of the third pose plays no
// part.
func newCircular(from, to *kin.Pose, through kin.Vec) (*circular, arcFault) {
	a, b, c := from.T, through, to.T
	switch {
	case b.Sub(a).Norm() < samePoint:
		return nil, arcStartIsThrough
	case c.Sub(b).Norm() < samePoint:
		return nil, arcThroughIsEnd
	case c.Sub(a).Norm() < samePoint:
		return nil, arcStartIsEnd
	}
	// Circumcentre of a triangle, from its sides u and v at a.
	u, v := b.Sub(a), c.Sub(a)
	n := u.Cross(v)
	if n.Norm() < sameLine*u.Norm()*v.Norm() || b.Sub(c).Cross(u).Norm() < sameLine*b.Sub(c).Norm()*u.Norm() {
		return nil, arcCollinear
	}
	off := v.Scale(u.Norm2()).Sub(u.Scale(v.Norm2())).Cross(n).Scale(1 / (2 * n.Norm2()))
	p := &circular{centre: a.Add(off), radius: off.Norm()}
	p.x = off.Scale(-1 / p.radius)
	p.y = n.Unit().Cross(p.x)
	end := c.Sub(p.centre)
	angle := math.Atan2(end.Dot(p.y), end.Dot(p.x))
	if angle <= 0 {
		angle += 2 * math.Pi
	}
	p.length = angle * p.radius
	p.spin = newSpin(&from.R, &to.R, p.length)
	return p, arcOK
}

func (p *circular) Length() float64 { return p.length }

func (p *circular) at(s float64) curvePoint {
	sin, cos := math.Sincos(s / p.radius)
	out := p.x.Scale(cos).AddScaled(sin, p.y)
	return curvePoint{
		pose: kin.Pose{R: p.spin.at(s), T: p.centre.AddScaled(p.radius, out)},
		v:    p.y.Scale(cos).AddScaled(-sin, p.x), w: p.vec(),
		v1: out.Scale(-1 / p.radius),
	}
}

func (p *circular) rates(s0, s1 float64) rates {
	k := 1 / p.radius
	return rates{v: 1, w: p.rate, v1: k, v2: k * k}
}
