package shape

import (
	"math"

	"posework/kin"
)

// pairOfBoxes is a box b seen from the frame of a box a.
type pairOfBoxes struct {
	a, b *Shape
	t    [3]float64    // centre of b
	r    [3][3]float64 // r[i][j]: axis i of a times axis j of b
	q    [3][3]float64 // absolute values of r
	h, k [3]float64    // half lengths of a and of b

	// What the separating axes tell: the greatest distance along one, and which.
	best float64
	i, j int        // faces: axis i of a (j < 0) or axis j of b (i < 0); else their product
	n    [3]float64 // unit, from b to a, in a's axes
}

// boxBox measures two boxes: fifteen separating axes (S. Gottschalk, M. C. Lin
// and D. Manocha, OBBTree, 1996) settle the overlapping cases, for the
// difference of two boxes is a polyhedron with just those face normals. For
// disjoint boxes the best axis is where the search for the closest points starts.
func boxBox(a, b *Shape, c *Contact) {
	p := pairOfBoxes{a: a, b: b}
	p.load()
	p.faces()
	if p.best <= 0 {
		p.edges()
	}
	if p.best <= 0 {
		p.overlap(c)
		return
	}
	n := p.world()
	if p.overFace(n, c) {
		return
	}
	var g search
	g.a, g.b = a, b
	if g.run(n) && (!g.rough || g.v.Norm2() > 1e-6) {
		g.contact(c)
		return
	}
	// A hair's breadth apart: what the separating axes tell is exact.
	p.edges()
	p.overlap(c)
}

func (p *pairOfBoxes) load() {
	a, b := p.a, p.b
	d := b.P.Sub(a.P)
	p.t = [3]float64{a.Rot.X.Dot(d), a.Rot.Y.Dot(d), a.Rot.Z.Dot(d)}
	p.r[0] = [3]float64{a.Rot.X.Dot(b.Rot.X), a.Rot.X.Dot(b.Rot.Y), a.Rot.X.Dot(b.Rot.Z)}
	p.r[1] = [3]float64{a.Rot.Y.Dot(b.Rot.X), a.Rot.Y.Dot(b.Rot.Y), a.Rot.Y.Dot(b.Rot.Z)}
	p.r[2] = [3]float64{a.Rot.Z.Dot(b.Rot.X), a.Rot.Z.Dot(b.Rot.Y), a.Rot.Z.Dot(b.Rot.Z)}
	for i := range 3 {
		for j := range 3 {
			p.q[i][j] = math.Abs(p.r[i][j])
		}
	}
	p.h, p.k = coords(a.Half), coords(b.Half)
}

// faces tries the six face normals.
func (p *pairOfBoxes) faces() {
	p.best = math.Inf(-1)
	for i := range 3 {
		q := &p.q[i]
		d := math.Abs(p.t[i]) - p.h[i] - (p.k[0]*q[0] + p.k[1]*q[1] + p.k[2]*q[2])
		if d > p.best {
			p.best, p.i, p.j = d, i, -1
		}
	}
	for j := range 3 {
		d := math.Abs(p.along(j)) - p.k[j] - (p.h[0]*p.q[0][j] + p.h[1]*p.q[1][j] + p.h[2]*p.q[2][j])
		if d > p.best {
			p.best, p.i, p.j = d, -1, j
		}
	}
	if p.j < 0 {
		p.n = [3]float64{}
		p.n[p.i] = -sign(p.t[p.i])
		return
	}
	s := -sign(p.along(p.j))
	p.n = [3]float64{s * p.r[0][p.j], s * p.r[1][p.j], s * p.r[2][p.j]}
}

// along is the centre of b along b's own axis j.
func (p *pairOfBoxes) along(j int) float64 {
	return p.t[0]*p.r[0][j] + p.t[1]*p.r[1][j] + p.t[2]*p.r[2][j]
}

// edges tries the nine products of an edge of a with an edge of b.
func (p *pairOfBoxes) edges() {
	for i := range 3 {
		i1, i2 := (i+1)%3, (i+2)%3
		for j := range 3 {
			// The axis is e_i x f_j = (0, -r[i2][j], r[i1][j]) in the order i, i1, i2.
			u, v := -p.r[i2][j], p.r[i1][j]
			m2 := u*u + v*v
			if m2 < 1e-20 {
				continue // parallel edges span no face
			}
			s := p.t[i1]*u + p.t[i2]*v
			d := math.Abs(s) - p.h[i1]*math.Abs(u) - p.h[i2]*math.Abs(v)
			if m2 > 1e-4 {
				j1, j2 := (j+1)%3, (j+2)%3
				d -= p.k[j1]*p.q[i][j2] + p.k[j2]*p.q[i][j1]
			} else {
				// Nearly parallel: the axis is only roughly normal to f_j, and
				// only its own value is sound.
				for l := range 3 {
					d -= p.k[l] * math.Abs(u*p.r[i1][l]+v*p.r[i2][l])
				}
			}
			m := math.Sqrt(m2)
			if d/m > p.best+1e-12 {
				p.best, p.i, p.j = d/m, i, j
				w := -sign(s) / m
				p.n[i], p.n[i1], p.n[i2] = 0, w*u, w*v
			}
		}
	}
}

// world is n in world axes.
func (p *pairOfBoxes) world() kin.Vec {
	return p.a.Rot.Apply(kin.Vec{X: p.n[0], Y: p.n[1], Z: p.n[2]})
}

// overFace fills in the contact where the best axis is a face normal and the
// vertex nearest along it lies over that face: nothing can be nearer.
func (p *pairOfBoxes) overFace(n kin.Vec, c *Contact) bool {
	if p.j < 0 {
		pb := p.b.core(n)
		if !overFace(p.a, pb, p.i) {
			return false
		}
		c.set(pb.AddScaled(p.best, n), pb, n, p.best, 0, 0)
		return true
	}
	pa := p.a.core(n.Scale(-1))
	if !overFace(p.b, pa, p.j) {
		return false
	}
	c.set(pa, pa.AddScaled(-p.best, n), n, p.best, 0, 0)
	return true
}

// overFace reports whether the point x lies over or under a face of s across
// its axis i.
func overFace(s *Shape, x kin.Vec, i int) bool {
	u := s.Rot.ApplyInv(x.Sub(s.P))
	return (i == 0 || math.Abs(u.X) <= s.Half.X) &&
		(i == 1 || math.Abs(u.Y) <= s.Half.Y) &&
		(i == 2 || math.Abs(u.Z) <= s.Half.Z)
}

// overlap fills in the contact from the best separating axis.
func (p *pairOfBoxes) overlap(c *Contact) {
	n := p.world()
	switch {
	case p.j < 0:
		// A vertex, edge or face of b has come through a face of a.
		pb := deepest(p.a, p.b, p.i, n)
		c.set(pb.AddScaled(p.best, n), pb, n, p.best, 0, 0)
	case p.i < 0:
		pa := deepest(p.b, p.a, p.j, n.Scale(-1))
		c.set(pa, pa.AddScaled(-p.best, n), n, p.best, 0, 0)
	default:
		// Two edges: the middles of them, then along each to the common normal.
		e, f := axisOf(p.a, p.i), axisOf(p.b, p.j)
		pa := p.a.core(n.Scale(-1))
		pa = pa.AddScaled(-pa.Sub(p.a.P).Dot(e), e)
		pb := p.b.core(n)
		pb = pb.AddScaled(-pb.Sub(p.b.P).Dot(f), f)
		g := pa.Sub(pb).AddScaled(-p.best, n)
		ef := e.Dot(f)
		den := 1 - ef*ef
		s := (ef*g.Dot(f) - g.Dot(e)) / den
		s = min(max(s, -p.h[p.i]), p.h[p.i])
		pa = pa.AddScaled(s, e)
		c.set(pa, pa.AddScaled(-p.best, n), n, p.best, 0, 0)
	}
}

func axisOf(s *Shape, i int) kin.Vec {
	switch i {
	case 0:
		return s.Rot.X
	case 1:
		return s.Rot.Y
	}
	return s.Rot.Z
}

// deepest returns the point of box b farthest along n, the inward normal of a
// face of box a across its axis i. Where an edge or face of b lies level with
// that face, the point is in the middle of what they share.
func deepest(a, b *Shape, i int, n kin.Vec) kin.Vec {
	var poly, clip polygon
	poly.n = 1
	poly.p[0] = b.P
	half := coords(b.Half)
	for j := range 3 {
		f := axisOf(b, j)
		d := f.Dot(n)
		if math.Abs(d)*half[j] > 1e-10 {
			for k := range poly.n {
				poly.p[k] = poly.p[k].AddScaled(math.Copysign(half[j], d), f)
			}
			continue
		}
		// Level: the point becomes an edge, the edge a face, in turning order.
		m := poly.n
		for k := range m {
			poly.p[2*m-1-k] = poly.p[k].AddScaled(half[j], f)
			poly.p[k] = poly.p[k].AddScaled(-half[j], f)
		}
		poly.n = 2 * m
	}
	if poly.n == 1 {
		return poly.p[0]
	}
	half = coords(a.Half)
	for j := range 3 {
		if j == i {
			continue
		}
		e := axisOf(a, j)
		poly.below(e, e.Dot(a.P)+half[j], &clip)
		clip.below(e.Scale(-1), half[j]-e.Dot(a.P), &poly)
	}
	return poly.middle()
}

// polygon is a flat convex polygon, or an edge, with room for a rectangle cut
// by four lines.
type polygon struct {
	n int
	p [12]kin.Vec
}

// below sets out to the part of s with e . x <= h (Sutherland and Hodgman, 1974).
func (s *polygon) below(e kin.Vec, h float64, out *polygon) {
	out.n = 0
	for k := range s.n {
		p, q := s.p[k], s.p[(k+1)%s.n]
		dp, dq := e.Dot(p)-h, e.Dot(q)-h
		if dp <= 0 {
			out.p[out.n] = p
			out.n++
		}
		if dp*dq < 0 {
			out.p[out.n] = p.AddScaled(dp/(dp-dq), q.Sub(p))
			out.n++
		}
	}
	if out.n == 0 { // only rounding can leave nothing: keep what was there
		*out = *s
	}
}

func (s *polygon) middle() kin.Vec {
	var sum kin.Vec
	for k := range s.n {
		sum = sum.Add(s.p[k])
	}
	return sum.Scale(1 / float64(s.n))
}
