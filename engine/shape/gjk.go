package shape

import (
	"math"

	"posework/kin"
)

// Tolerances of the general method, mm.
const (
	// gap is the most by which the distance found may exceed the true one.
	gap = 1e-12
	// rounds bounds the search; disjoint cylinders need 10 to 40.
	rounds = 200
)

// search is the general method for disjoint convex cores: E. G. Gilbert,
// D. W. Johnson and S. S. Keerthi, A fast procedure for computing the distance
// between complex objects in three-dimensional space (1988). It walks over the
// difference a - b towards the origin, by its farthest points along a direction.
//
// It ends with a certificate: the support of the difference along the direction
// found is a lower bound on the distance, the closest points an upper one.
type search struct {
	a, b *Shape
	n    int        // points of the difference in use
	w    [4]kin.Vec // points a - b
	p    [4]kin.Vec // the points of a
	l    [4]float64 // weights of the closest point
	v    kin.Vec    // the closest point
	// rough tells that rounding ended the search before the certificate: the
	// distance is an upper bound, and next to touching not a close one.
	rough bool
}

// run finds the closest points of disjoint cores. It reports false where the
// cores touch or overlap. dir is a first guess of the direction from b to a.
func (g *search) run(dir kin.Vec) bool {
	g.n = 0
	g.add(dir)
	g.v, g.l[0], g.n = g.w[0], 1, 1
	last := g.v.Norm2()
	for range rounds {
		d := math.Sqrt(last)
		if d < touching {
			return false
		}
		g.add(g.v)
		w := g.w[g.n]
		if d-w.Dot(g.v)/d <= gap {
			return true
		}
		if g.known(w) {
			break
		}
		t, ok := g.reduce()
		if !ok {
			return false
		}
		next := t.v.Norm2()
		if next >= last {
			break // rounding is all that is left to gain
		}
		g.keep(&t)
		last = next
	}
	d := g.v.Norm()
	g.rough = d-g.along(g.v)/d > 100*gap
	return true
}

// add puts the point of the difference nearest along dir behind the ones in use.
func (g *search) add(dir kin.Vec) {
	p := g.a.core(dir.Scale(-1))
	g.p[g.n] = p
	g.w[g.n] = p.Sub(g.b.core(dir))
}

func (g *search) known(w kin.Vec) bool {
	for i := range g.n {
		if g.w[i] == w {
			return true
		}
	}
	return false
}

// contact fills c for cores without radius.
func (g *search) contact(c *Contact) { g.contactRadius(0, c) }

func (g *search) contactRadius(ra float64, c *Contact) {
	var pa, v kin.Vec
	for i := range g.n {
		pa = pa.AddScaled(g.l[i], g.p[i])
		v = v.AddScaled(g.l[i], g.w[i])
	}
	d := v.Norm()
	n := v.Scale(1 / d)
	if g.rough {
		d, n = g.square(n, d)
	}
	c.set(pa, pa.AddScaled(-d, n), n, d, ra, 0)
}

// square makes up for what rounding does to the direction n of a rough result:
// it is set square to edges and axes that it is very nearly square to, or along
// them, and the distance along it, a lower bound, is taken.
func (g *search) square(n kin.Vec, d float64) (float64, kin.Vec) {
	best, dir := g.along(n), n
	for _, s := range [2]*Shape{g.a, g.b} {
		axes := [3]kin.Vec{s.Rot.X, s.Rot.Y, s.Rot.Z}
		for i, e := range axes {
			if s.Kind == Cylinder && i < 2 {
				continue
			}
			switch k := e.Dot(n); {
			case math.Abs(k) < 1e-5:
				n = n.AddScaled(-k, e).Unit()
			case math.Abs(k) > 1-1e-9: // a face nearly level with what is near it
				along := e.Scale(sign(k))
				if h := g.along(along); h > best {
					best, dir = h, along
				}
			}
		}
		if h := g.along(n); h > best {
			best, dir = h, n
		}
	}
	return min(best, d), dir
}

// along returns the distance of the two along n.
func (g *search) along(n kin.Vec) float64 {
	return n.Dot(g.a.core(n.Scale(-1)).Sub(g.b.core(n)))
}

// reduce finds the point closest to the origin of the simplex that the corners
// in use make with the new one. It reports false where the simplex holds the origin.
func (g *search) reduce() (weights, bool) {
	switch g.n {
	case 1:
		t := segmentOrigin(g.w[0], g.w[1])
		t.at = [3]int{0, 1, 1}
		return t, true
	case 2:
		t := triangleOrigin(g.w[0], g.w[1], g.w[2])
		t.at = [3]int{0, 1, 2}
		return t, true
	}
	// The newest corner, 3, lies beyond the plane of the others: only its own
	// faces can be nearest.
	var best weights
	least := math.Inf(1)
	for _, f := range [3][3]int{{0, 1, 2}, {0, 2, 1}, {1, 2, 0}} {
		i, j, k := f[0], f[1], f[2]
		n := g.w[i].Sub(g.w[3]).Cross(g.w[j].Sub(g.w[3]))
		inner := n.Dot(g.w[k].Sub(g.w[3]))
		outer := -n.Dot(g.w[3])
		if inner*outer > 0 {
			continue // the origin is on the inner side of this face
		}
		t := triangleOrigin(g.w[i], g.w[j], g.w[3])
		if d := t.v.Norm2(); d < least {
			least, best = d, t
			best.at = [3]int{i, j, 3}
		}
	}
	return best, !math.IsInf(least, 1)
}

// keep makes t the state: its point, and the corners that carry weight.
func (g *search) keep(t *weights) {
	g.v = t.v
	n := 0
	for m := range 3 {
		if t.l[m] <= 0 {
			continue
		}
		i := t.at[m] // ascending, so never below n
		g.w[n], g.p[n], g.l[n] = g.w[i], g.p[i], t.l[m]
		n++
	}
	g.n = n
}

// weights is the point of a segment or triangle closest to the origin.
type weights struct {
	l  [3]float64
	v  kin.Vec
	at [3]int // the corners that l belongs to
}

func segmentOrigin(a, b kin.Vec) weights {
	d := b.Sub(a)
	t := 0.0
	if e := d.Norm2(); e > 0 {
		t = clamp01(-a.Dot(d) / e)
	}
	if t == 1 {
		return weights{l: [3]float64{0, 1, 0}, v: b}
	}
	return weights{l: [3]float64{1 - t, t, 0}, v: a.AddScaled(t, d)}
}

func triangleOrigin(a, b, c kin.Vec) weights {
	n := b.Sub(a).Cross(c.Sub(a))
	u, v, w := n.Dot(b.Cross(c)), n.Dot(c.Cross(a)), n.Dot(a.Cross(b))
	if u > 0 && v > 0 && w > 0 {
		inv := 1 / (u + v + w)
		u, v, w = u*inv, v*inv, w*inv
		return weights{l: [3]float64{u, v, w}, v: a.Scale(u).AddScaled(v, b).AddScaled(w, c)}
	}
	// The closest point lies on an edge that the origin is beyond.
	var best weights
	least := math.Inf(1)
	if w <= 0 {
		best = segmentOrigin(a, b)
		least = best.v.Norm2()
	}
	if u <= 0 {
		if t := segmentOrigin(b, c); t.v.Norm2() < least {
			best = weights{l: [3]float64{0, t.l[0], t.l[1]}, v: t.v}
			least = t.v.Norm2()
		}
	}
	if v <= 0 {
		if t := segmentOrigin(c, a); t.v.Norm2() < least {
			best = weights{l: [3]float64{t.l[1], 0, t.l[0]}, v: t.v}
		}
	}
	return best
}
