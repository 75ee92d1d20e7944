package picture

import (
	"math"

	"posework/engine/shape"
	"posework/kin"
)

// dash says how a line is drawn: dot i of it, counted along the line, is put
// where bit i mod 16 is set; front for what is seen, behind for what a body
// hides.
type dash struct{ front, behind uint16 }

var (
	full    = dash{0xffff, 0x1111}
	planned = dash{0x0303, 0x0001} // a path that has not been run
	dashed  = dash{0x0fff, 0x0101} // keep-out zones
	dotted  = dash{0x5555, 0}      // zones with a speed limit
	faint   = dash{0x1111, 0}      // the floor
	onTop   = dash{0xffff, 0xffff}
	through = dash{0xffff, 0x5555} // axes of frames
)

// nearer is how far, in dots, a line may lie behind a surface and still be
// seen: lines along a face or an edge are.
const nearer = 1.5

// line draws the straight line from p to q, both in dots.
func (c *Canvas) line(p, q kin.Vec, ink Ink, d dash) { c.run(p, q, ink, d, 0) }

// run draws a line whose dashes go on from phase, and returns where they end.
func (c *Canvas) run(p, q kin.Vec, ink Ink, d dash, phase float64) float64 {
	n := max(math.Abs(q.X-p.X), math.Abs(q.Y-p.Y))
	steps := 1 + ceil(n)
	from, to := c.clip(p, q, steps)
	for i := from; i <= to; i++ {
		t := float64(i) / float64(steps)
		x, y := floor(p.X+t*(q.X-p.X)), floor(p.Y+t*(q.Y-p.Y))
		if x < 0 || y < 0 || x >= c.w || y >= c.h {
			continue
		}
		bits := d.front
		if !c.pixels[y*c.w+x].sees(p.Z + t*(q.Z-p.Z) + nearer) {
			bits = d.behind
		}
		if bits>>(uint(phase+t*n)%16)&1 == 1 {
			c.strokes = append(c.strokes, stroke{int16(x), int16(y), ink})
		}
	}
	return phase + n
}

// clip returns the steps of a line that can lie within the picture, so that a
// line that leads far away costs nothing.
func (c *Canvas) clip(p, q kin.Vec, steps int) (from, to int) {
	t0, t1 := 0.0, 1.0
	for _, s := range [2][3]float64{{p.X, q.X, float64(c.w)}, {p.Y, q.Y, float64(c.h)}} {
		a, d, size := s[0], s[1]-s[0], s[2]
		if d == 0 {
			if a < 0 || a >= size {
				return 1, 0
			}
			continue
		}
		u, v := -a/d, (size-a)/d
		t0, t1 = max(t0, min(u, v)), min(t1, max(u, v))
	}
	if !(t0 <= t1) {
		return 1, 0
	}
	return max(floor(t0*float64(steps)), 0), min(ceil(t1*float64(steps)), steps)
}

func (c *Canvas) floor(s *Scene) {
	f := s.Floor
	if f == nil || !(f.Step > 0) || !(f.Half > 0) || f.Half/f.Step > 200 {
		return
	}
	n := int(f.Half / f.Step)
	x, y := math.Round(f.Centre.X/f.Step)*f.Step, math.Round(f.Centre.Y/f.Step)*f.Step
	end := float64(n) * f.Step
	for i := -n; i <= n; i++ {
		k := float64(i) * f.Step
		c.line(c.lens.see(kin.Vec{X: x + k, Y: y - end, Z: f.Z}), c.lens.see(kin.Vec{X: x + k, Y: y + end, Z: f.Z}), Ground, faint)
		c.line(c.lens.see(kin.Vec{X: x - end, Y: y + k, Z: f.Z}), c.lens.see(kin.Vec{X: x + end, Y: y + k, Z: f.Z}), Ground, faint)
	}
}

func (c *Canvas) zones(s *Scene) {
	for i := range s.Zones {
		z := &s.Zones[i]
		d := dashed
		if z.Ink == SpeedZone {
			d = dotted
		}
		c.edges(&z.Shape, z.Ink, d)
	}
}

// edges draws the edges of a shape; of a round one the rings that bound it.
func (c *Canvas) edges(s *shape.Shape, ink Ink, d dash) {
	switch s.Kind {
	case shape.Box:
		h := s.Half
		corner := func(i int) kin.Vec {
			x, y, z := h.X, h.Y, h.Z
			if i&1 == 0 {
				x = -x
			}
			if i&2 == 0 {
				y = -y
			}
			if i&4 == 0 {
				z = -z
			}
			return c.lens.see(s.P.AddScaled(x, s.Rot.X).AddScaled(y, s.Rot.Y).AddScaled(z, s.Rot.Z))
		}
		for i := range 8 {
			for bit := 1; bit <= 4; bit <<= 1 {
				if i&bit == 0 {
					c.line(corner(i), corner(i|bit), ink, d)
				}
			}
		}
	case shape.Cylinder:
		up, down := s.P.AddScaled(s.Half.Z, s.Rot.Z), s.P.AddScaled(-s.Half.Z, s.Rot.Z)
		c.ring(up, s.Rot.X, s.Rot.Y, s.R, ink, d)
		c.ring(down, s.Rot.X, s.Rot.Y, s.R, ink, d)
		out := c.lens.near.Cross(s.Rot.Z)
		if out.Norm() > 1e-6 {
			out = out.Unit().Scale(s.R)
			c.line(c.lens.see(up.Add(out)), c.lens.see(down.Add(out)), ink, d)
			c.line(c.lens.see(up.Sub(out)), c.lens.see(down.Sub(out)), ink, d)
		}
	case shape.Sphere:
		c.ring(s.P, c.lens.right, c.lens.up, s.R, ink, d)
	case shape.Capsule:
		c.ring(s.P, c.lens.right, c.lens.up, s.R, ink, d)
		c.ring(s.Q, c.lens.right, c.lens.up, s.R, ink, d)
		if out := c.lens.near.Cross(s.Q.Sub(s.P)); out.Norm() > 1e-6 {
			out = out.Unit().Scale(s.R)
			c.line(c.lens.see(s.P.Add(out)), c.lens.see(s.Q.Add(out)), ink, d)
			c.line(c.lens.see(s.P.Sub(out)), c.lens.see(s.Q.Sub(out)), ink, d)
		}
	}
}

// ring draws the circle about m through m + r*u and m + r*v.
func (c *Canvas) ring(m, u, v kin.Vec, r float64, ink Ink, d dash) {
	const n = 32
	phase := 0.0
	last := c.lens.see(m.AddScaled(r, u))
	for i := 1; i <= n; i++ {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		next := c.lens.see(m.AddScaled(r*cos, u).AddScaled(r*sin, v))
		phase = c.run(last, next, ink, d, phase)
		last = next
	}
}

func (c *Canvas) lines(s *Scene) {
	for i := range s.Lines {
		l := &s.Lines[i]
		d := full
		if l.Ahead {
			d = planned
		}
		phase := 0.0
		for j := 1; j < len(l.Points); j++ {
			phase = c.run(c.lens.see(l.Points[j-1]), c.lens.see(l.Points[j]), l.Ink, d, phase)
		}
	}
}

func (c *Canvas) frames(s *Scene) {
	for i := range s.Frames {
		f := &s.Frames[i]
		o := c.lens.see(f.Pose.T)
		c.line(o, c.lens.see(f.Pose.T.AddScaled(f.Size, f.Pose.R.X)), AxisX, through)
		c.line(o, c.lens.see(f.Pose.T.AddScaled(f.Size, f.Pose.R.Y)), AxisY, through)
		c.line(o, c.lens.see(f.Pose.T.AddScaled(f.Size, f.Pose.R.Z)), AxisZ, through)
	}
	if g := s.Gap; g != nil {
		c.line(c.lens.see(g.A), c.lens.see(g.B), Alarm, onTop)
	}
}
