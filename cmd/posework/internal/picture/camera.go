package picture

import (
	"math"

	"posework/engine/shape"
	"posework/kin"
)

// Camera is a place to look from.
type Camera struct {
	// Turn is the direction that the viewer stands in, seen from the middle of
	// the picture: an angle about the vertical, from +X towards +Y, rad.
	Turn float64
	// Tilt is how far the viewer looks down from the horizontal, rad; pi/2 looks
	// straight down.
	Tilt float64
	// Centre is the point in the middle of the picture.
	Centre kin.Vec
	// Across is the length in mm that fits into the picture both ways.
	Across float64
}

// The greatest and least Camera.Across, mm: from a chip to a hall.
const (
	minAcross = 20
	maxAcross = 20000
)

// View is a camera direction with a name.
type View struct {
	Name       string
	Turn, Tilt float64
}

// Views returns the directions that have names. From the side, +X points right;
// from above, +X points right and +Y up; from the front, +Y points right.
func Views() []View {
	return []View{
		{"corner", kin.Rad(-60), kin.Rad(14)},
		{"front", 0, 0},
		{"side", kin.Rad(-90), 0},
		{"top", kin.Rad(-90), kin.Rad(90)},
	}
}

// Look returns the camera turned to a view, with the same middle and zoom.
func (c Camera) Look(v View) Camera {
	c.Turn, c.Tilt = v.Turn, v.Tilt
	return c
}

// Turned returns the camera carried about the vertical and up or down, rad.
func (c Camera) Turned(turn, tilt float64) Camera {
	c.Turn = math.Remainder(c.Turn+turn, 2*math.Pi)
	c.Tilt = min(max(c.Tilt+tilt, -math.Pi/2), math.Pi/2)
	return c
}

// Zoomed returns the camera with everything factor times as large.
func (c Camera) Zoomed(factor float64) Camera {
	c.Across = min(max(c.Across/factor, minAcross), maxAcross)
	return c
}

// Panned returns the camera moved sideways and up by shares of the picture.
func (c Camera) Panned(right, up float64) Camera {
	v := c.eye()
	c.Centre = c.Centre.AddScaled(right*c.Across, v.right).AddScaled(up*c.Across, v.up)
	return c
}

// eye is the orientation of a camera: right, up and towards the viewer.
type eye struct{ right, up, near kin.Vec }

func (c *Camera) eye() eye {
	st, ct := math.Sincos(c.Turn)
	sl, cl := math.Sincos(c.Tilt)
	near := kin.Vec{X: cl * ct, Y: cl * st, Z: sl}
	right := kin.Vec{X: -st, Y: ct}
	return eye{right: right, up: near.Cross(right), near: near}
}

// margin is the share of the picture that Fit leaves free all round, besides a
// dot.
const margin = 0.03

// Fit returns the camera moved so that all bodies of the scene fill a picture of
// the given size.
func (c Camera) Fit(s *Scene, size Size) Camera {
	b := newBounds(c.eye())
	for i := range s.Bodies {
		b.body(&s.Bodies[i].Shape)
	}
	return c.fit(b, size)
}

// FitWork returns the camera moved so that what the work is about fills the
// picture: the arm with what it carries, parts, frames and the paths. Large
// solids around it may be cut off.
func (c Camera) FitWork(s *Scene, size Size) Camera {
	b := newBounds(c.eye())
	for i := range s.Bodies {
		if s.Bodies[i].Ink != Solid {
			b.body(&s.Bodies[i].Shape)
		}
	}
	for i := range s.Frames {
		f := &s.Frames[i]
		b.point(f.Pose.T)
		for _, axis := range [3]kin.Vec{f.Pose.R.X, f.Pose.R.Y, f.Pose.R.Z} {
			b.point(f.Pose.T.AddScaled(f.Size, axis))
		}
	}
	for i := range s.Lines {
		for _, p := range s.Lines[i].Points {
			b.point(p)
		}
	}
	return c.fit(b, size)
}

// bounds is the box, along the axes of an eye, that holds things.
type bounds struct {
	eye
	lo, hi kin.Vec
}

func newBounds(e eye) *bounds {
	inf := kin.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	return &bounds{eye: e, lo: inf, hi: inf.Scale(-1)}
}

func (b *bounds) body(s *shape.Shape) {
	if s.Kind == shape.HalfSpace {
		return
	}
	for _, d := range [3]kin.Vec{b.right, b.up, b.near} {
		b.point(s.Support(d))
		b.point(s.Support(d.Scale(-1)))
	}
}

func (b *bounds) point(p kin.Vec) {
	x, y, z := p.Dot(b.right), p.Dot(b.up), p.Dot(b.near)
	b.lo = kin.Vec{X: min(b.lo.X, x), Y: min(b.lo.Y, y), Z: min(b.lo.Z, z)}
	b.hi = kin.Vec{X: max(b.hi.X, x), Y: max(b.hi.Y, y), Z: max(b.hi.Z, z)}
}

func (c Camera) fit(b *bounds, size Size) Camera {
	lo, hi, v := b.lo, b.hi, b.eye
	if !(hi.X >= lo.X) || size.Width < 1 || size.Height < 1 {
		return c
	}
	mid := lo.Add(hi).Scale(0.5)
	c.Centre = kin.Vec{}.AddScaled(mid.X, v.right).AddScaled(mid.Y, v.up).AddScaled(mid.Z, v.near)
	w, h := float64(size.Width*dotsX), float64(size.Height*dotsY)
	room := func(dots float64) float64 { return max(1, dots*(1-2*margin)-2) }
	c.Across = max((hi.X-lo.X)/room(w), (hi.Y-lo.Y)/room(h)) * min(w, h)
	return c.Zoomed(1)
}

// lens maps the world to dots: x to the right, y downwards, z towards the
// viewer.
type lens struct {
	eye
	centre     kin.Vec
	scale      float64 // dots/mm
	midX, midY float64
}

func (c *Camera) lens(size Size) lens {
	w, h := float64(size.Width*dotsX), float64(size.Height*dotsY)
	across := c.Across
	if !(across >= minAcross) {
		across = minAcross
	}
	return lens{eye: c.eye(), centre: c.Centre, scale: min(w, h) / across, midX: w / 2, midY: h / 2}
}

// see maps a point. Places are rounded to a small part of a dot, so that what
// lies exactly between two dots, as things at right angles do, does not fall to
// the one or the other by the last bit of somebody's sine.
func (l *lens) see(p kin.Vec) kin.Vec {
	p = p.Sub(l.centre)
	const part = 4096
	return kin.Vec{
		X: round(l.midX+l.scale*p.Dot(l.right), part),
		Y: round(l.midY-l.scale*p.Dot(l.up), part),
		Z: round(l.scale*p.Dot(l.near), part),
	}
}

// aim maps a direction, keeping its length: x to the right, y downwards. It is
// rounded as places are.
func (l *lens) aim(d kin.Vec) kin.Vec {
	const part = 1 << 24
	return kin.Vec{X: round(d.Dot(l.right), part), Y: round(-d.Dot(l.up), part), Z: round(d.Dot(l.near), part)}
}

// size maps a length, rounded as places are.
func (l *lens) size(mm float64) float64 { return round(mm*l.scale, 4096) }

func round(x, part float64) float64 { return math.Floor(x*part+0.5) / part }
