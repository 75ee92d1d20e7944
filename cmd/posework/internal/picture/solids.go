package picture

import (
	"math"

	"posework/engine/shape"
	"posework/kin"
)

// The light comes from above, left of the viewer; x right, y down, z towards
// the viewer.
var light = kin.Vec{X: -0.42, Y: -0.62, Z: 0.66}.Unit()

// brush is the body that is being drawn.
type brush struct {
	c           *Canvas
	group       uint16
	ink         Ink
	dim, bright float64 // brightness in the shade and in full light, 0 to 255
}

// thinnest is the least half thickness of a box, in dots: a plate seen from its
// edge stays a line.
const thinnest = 0.6

func (c *Canvas) bodies(s *Scene) {
	for i := range s.Bodies {
		b := &s.Bodies[i]
		if i == 0 || b.Name != s.Bodies[i-1].Name || b.Ink != s.Bodies[i-1].Ink {
			c.group++
		}
		d := brush{c: c, group: c.group, ink: b.Ink}
		d.dim, d.bright = tone(b.Ink)
		d.solid(&b.Shape)
	}
}

// tone is how light the surfaces of a body look. The arm stands out as a bright
// body; what surrounds it is mostly outline.
func tone(ink Ink) (dim, bright float64) {
	switch ink {
	case Arm:
		return 20, 150
	case Tool:
		return 70, 215
	case Part, Held:
		return 40, 120
	default:
		return 0, 34
	}
}

func (b *brush) solid(s *shape.Shape) {
	l := &b.c.lens
	switch s.Kind {
	case shape.Sphere:
		b.capsule(l.see(s.P), l.see(s.P), l.size(s.R))
	case shape.Capsule:
		b.capsule(l.see(s.P), l.see(s.Q), l.size(s.R))
	case shape.Cylinder:
		b.cylinder(l.see(s.P), l.aim(s.Rot.Z), l.size(s.R), l.size(s.Half.Z))
	case shape.Box:
		b.box(l.see(s.P), l.aim(s.Rot.X), l.aim(s.Rot.Y), l.aim(s.Rot.Z), kin.Vec{X: l.size(s.Half.X), Y: l.size(s.Half.Y), Z: l.size(s.Half.Z)})
	}
}

// shade is the brightness of a surface with the outward unit normal n.
func (b *brush) shade(n kin.Vec) uint8 {
	return uint8(b.dim + (b.bright-b.dim)*max(0, n.Dot(light)))
}

// sees reports whether a surface at depth z hides what is drawn at a dot.
func (p *pixel) sees(z float64) bool { return float32(z+deepest) > p.z }

// dot puts a surface point at a dot.
func (b *brush) dot(p *pixel, z float64, face int, shade uint8) {
	*p = pixel{z: float32(z + deepest), key: key(b.group, face), shade: shade, ink: b.ink}
}

// row clips the columns [from, to] of row y to the picture and notes that they
// are drawn in; ok is false when nothing is left.
func (b *brush) row(y int, from, to float64) (x0, x1 int, line []pixel, ok bool) {
	c := b.c
	x0, x1 = max(ceil(from), 0), min(floor(to), c.w-1)
	if y < 0 || y >= c.h || x0 > x1 {
		return 0, 0, nil, false
	}
	s := &c.spans[y]
	s.from, s.to = min(s.from, x0), max(s.to, x1+1)
	return x0, x1, c.pixels[y*c.w : (y+1)*c.w], true
}

// ceil and floor keep far coordinates within what an int holds.
func ceil(x float64) int  { return int(math.Ceil(min(max(x, -1e6), 1e6))) }
func floor(x float64) int { return int(math.Floor(min(max(x, -1e6), 1e6))) }

// capsule draws the points within r of the segment p-q: where the ray through a
// dot leaves the infinite cylinder about the segment, or one of the two end
// spheres. A sphere has p equal to q.
func (b *brush) capsule(p, q kin.Vec, r float64) {
	r = max(r, thinnest)
	d := q.Sub(p)
	a := d.Dot(d)
	side := d.X*d.X + d.Y*d.Y // |d|^2 across the ray
	if side < 1e-9*a || a < 1e-12 {
		if q.Z > p.Z {
			p = q
		}
		side = 0
	}
	bend := math.Sqrt(side) * r // |cross product| of a point on the strip's edge with d
	top, bottom := min(p.Y, q.Y)-r, max(p.Y, q.Y)+r
	if side == 0 {
		top, bottom = p.Y-r, p.Y+r
	}
	for y := max(ceil(top-0.5), 0); y <= min(floor(bottom-0.5), b.c.h-1); y++ {
		my := float64(y) + 0.5 - p.Y
		from, to := min(p.X, q.X)-r, max(p.X, q.X)+r
		if side == 0 {
			from, to = p.X-r, p.X+r
		} else if math.Abs(d.Y) > 1e-9 {
			// |mx*d.Y - my*d.X| <= bend
			e, f := p.X+(my*d.X-bend)/d.Y, p.X+(my*d.X+bend)/d.Y
			from, to = max(from, min(e, f)), min(to, max(e, f))
		}
		x0, x1, line, ok := b.row(y, from-0.5, to-0.5)
		if !ok {
			continue
		}
		for x := x0; x <= x1; x++ {
			mx := float64(x) + 0.5 - p.X
			t := 0.0
			if side > 0 {
				md, mm := mx*d.X+my*d.Y, mx*mx+my*my
				h := md * d.Z
				disc := h*h - side*(a*(mm-r*r)-md*md)
				if disc < 0 {
					continue
				}
				s := (h + math.Sqrt(disc)) / side
				t = (md + s*d.Z) / a
				if t > 0 && t < 1 {
					if line[x].sees(p.Z + s) {
						n := kin.Vec{X: mx - t*d.X, Y: my - t*d.Y, Z: s - t*d.Z}.Scale(1 / r)
						b.dot(&line[x], p.Z+s, 0, b.shade(n))
					}
					continue
				}
				t = min(max(t, 0), 1)
			}
			ex, ey := mx-t*d.X, my-t*d.Y
			zz := r*r - ex*ex - ey*ey
			if zz < 0 {
				continue
			}
			if z := math.Sqrt(zz); line[x].sees(p.Z + t*d.Z + z) {
				b.dot(&line[x], p.Z+t*d.Z+z, 0, b.shade(kin.Vec{X: ex / r, Y: ey / r, Z: z / r}))
			}
		}
	}
}

// cylinder draws a cylinder with centre p, unit axis u, radius r and half
// height h.
func (b *brush) cylinder(p, u kin.Vec, r, h float64) {
	r, h = max(r, thinnest), max(h, thinnest)
	if u.Z < 0 {
		u = u.Scale(-1) // the cap at +u faces the viewer
	}
	side := max(1-u.Z*u.Z, 0)
	ry := h*math.Abs(u.Y) + r*math.Sqrt(max(1-u.Y*u.Y, 0))
	rx := h*math.Abs(u.X) + r*math.Sqrt(max(1-u.X*u.X, 0))
	cap := b.shade(u)
	for y := max(ceil(p.Y-ry-0.5), 0); y <= min(floor(p.Y+ry-0.5), b.c.h-1); y++ {
		my := float64(y) + 0.5 - p.Y
		x0, x1, line, ok := b.row(y, p.X-rx-0.5, p.X+rx-0.5)
		if !ok {
			continue
		}
		for x := x0; x <= x1; x++ {
			mx := float64(x) + 0.5 - p.X
			if u.Z > 1e-6 {
				// The cap's plane: (m + s*z - h*u) . u = 0.
				s := (h - mx*u.X - my*u.Y) / u.Z
				ex, ey, ez := mx-h*u.X, my-h*u.Y, s-h*u.Z
				if ex*ex+ey*ey+ez*ez <= r*r {
					if line[x].sees(p.Z + s) {
						b.dot(&line[x], p.Z+s, 1, cap)
					}
					continue
				}
			}
			if side < 1e-9 {
				continue
			}
			md, mm := mx*u.X+my*u.Y, mx*mx+my*my
			g := md * u.Z
			disc := g*g - side*(mm-r*r-md*md)
			if disc < 0 {
				continue
			}
			s := (g + math.Sqrt(disc)) / side
			t := md + s*u.Z
			if t < -h || t > h || !line[x].sees(p.Z+s) {
				continue
			}
			n := kin.Vec{X: mx - t*u.X, Y: my - t*u.Y, Z: s - t*u.Z}.Scale(1 / r)
			b.dot(&line[x], p.Z+s, 0, b.shade(n))
		}
	}
}

// box draws a box with centre p, unit axes x, y, z and half edge lengths: the
// faces that look towards the viewer.
func (b *brush) box(p, x, y, z, half kin.Vec) {
	u := [3]kin.Vec{x, y, z}
	h := [3]float64{max(half.X, thinnest), max(half.Y, thinnest), max(half.Z, thinnest)}
	for i := range 3 {
		n := u[i]
		if n.Z < 0 {
			n = n.Scale(-1)
		}
		if n.Z < 1e-6 {
			continue
		}
		e, f := u[(i+1)%3].Scale(h[(i+1)%3]), u[(i+2)%3].Scale(h[(i+2)%3])
		b.quad(p.AddScaled(h[i], n), e, f, n, i+1)
	}
}

// quad draws the parallelogram with centre m and half edges e and f, in the
// plane with the unit normal n.
func (b *brush) quad(m, e, f, n kin.Vec, face int) {
	corner := [4]kin.Vec{m.Add(e).Add(f), m.Add(e).Sub(f), m.Sub(e).Sub(f), m.Sub(e).Add(f)}
	top, bottom := math.Inf(1), math.Inf(-1)
	for _, q := range corner {
		top, bottom = min(top, q.Y), max(bottom, q.Y)
	}
	shade := b.shade(n)
	slope := -n.X / n.Z // of z along x
	for y := max(ceil(top-0.5), 0); y <= min(floor(bottom-0.5), b.c.h-1); y++ {
		at := float64(y) + 0.5
		from, to := math.Inf(1), math.Inf(-1)
		for i := range corner {
			p, q := corner[i], corner[(i+1)%4]
			if (p.Y <= at) == (q.Y <= at) {
				continue
			}
			x := p.X + (at-p.Y)/(q.Y-p.Y)*(q.X-p.X)
			from, to = min(from, x), max(to, x)
		}
		x0, x1, line, ok := b.row(y, from-0.5, to-0.5)
		if !ok {
			continue
		}
		z := m.Z + slope*(float64(x0)+0.5-m.X) - n.Y/n.Z*(at-m.Y)
		for x := x0; x <= x1; x++ {
			if line[x].sees(z) {
				b.dot(&line[x], z, face, shade)
			}
			z += slope
		}
	}
}
