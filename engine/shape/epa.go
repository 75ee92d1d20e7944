package shape

import (
	"math"

	"posework/kin"
)

// Room of a hull: enough for cylinders to come within gap in all but the
// roundest cases, such as one cylinder inside another on the same axis.
const (
	maxCorners = 128
	maxFaces   = 2 * maxCorners
)

// hull is the general method for overlapping cores: G. van den Bergen,
// Proximity Queries and Penetration Depth Computation on 3D Game Objects
// (2001). A polyhedron inside the difference a - b grows at the face nearest
// the origin until that face lies on the difference's own surface.
//
// A face's distance is a lower bound on the depth; the support of the
// difference along its normal an upper one, for it is a translation that parts
// the two. The depth reported is the least upper one: always a parting
// translation, even where rounding stops the polyhedron short. Flat faces of
// the difference, the usual answer, are tried outright.
type hull struct {
	a, b    *Shape
	corners int
	w       [maxCorners]kin.Vec // points of a - b
	faces   int                 // in use or on the free list
	f       [maxFaces]face
	free    int // head of the free list; -1: none

	depth float64 // the least upper bound so far
	n     kin.Vec // its direction: a moved against it parts
}

// face is a triangle, its corners counter-clockwise from outside. next[i] is
// the face beyond the edge from corner i to corner i+1.
type face struct {
	corner, next [3]int
	n            kin.Vec
	d            float64
	alive        bool
}

func (e *hull) support(dir kin.Vec) kin.Vec {
	return e.a.core(dir).Sub(e.b.core(dir.Scale(-1)))
}

func (e *hull) run() {
	e.free = -1
	e.flats()
	if !e.start() {
		return
	}
	for {
		k := e.nearest()
		if k < 0 {
			return
		}
		f := &e.f[k]
		w := e.support(f.n)
		e.offer(f.n, f.n.Dot(w))
		if e.depth-f.d <= 100*gap || e.corners == maxCorners || !e.grow(k, w) {
			return
		}
	}
}

// offer takes the direction n with the depth h where that is less.
func (e *hull) offer(n kin.Vec, h float64) {
	if h < e.depth {
		e.depth, e.n = h, n
	}
}

// flats offers the normals of the flat faces that the difference can have.
func (e *hull) flats() {
	var lines [6]kin.Vec // straight edges, axes of round sides among them
	n := 0
	for _, s := range [2]*Shape{e.a, e.b} {
		switch s.Kind {
		case Capsule:
			lines[n] = s.Q.Sub(s.P)
			n++
		case Box:
			lines[n], lines[n+1], lines[n+2] = s.Rot.X, s.Rot.Y, s.Rot.Z
			n += 3
		case Cylinder:
			lines[n] = s.Rot.Z
			n++
			e.both(s.Rot.Z)
		}
	}
	for i := range n {
		for j := range i {
			e.both(lines[i].Cross(lines[j]))
		}
	}
	// Out through a round side: from its axis straight to the nearest of the other.
	e.round(e.a, e.b)
	if e.a.Kind == Cylinder {
		e.round(e.b, e.a)
	}
}

// round offers the direction between a and the axis of the cylinder b.
func (e *hull) round(a, b *Shape) {
	ca, ra := a.Bounds()
	half := ca.Sub(b.P).Norm() + ra
	axis := Shape{Kind: Capsule, P: b.P.AddScaled(-half, b.Rot.Z), Q: b.P.AddScaled(half, b.Rot.Z)}
	core := *a
	core.R = 0
	var c Contact
	switch a.Kind {
	case Capsule:
		segmentSegment(&core, &axis, &c)
	case Box:
		segmentBox(&axis, a, &c)
	default:
		pointCylinder(&Shape{Kind: Sphere, P: rodTo(&axis, a)}, a, &c)
		r := a.P.Sub(b.P) // of parallel axes: straight from one to the other
		e.both(r.AddScaled(-r.Dot(b.Rot.Z), b.Rot.Z))
	}
	e.both(c.Normal)
}

// both offers v and its opposite.
func (e *hull) both(v kin.Vec) {
	m := v.Norm()
	if m < 1e-9 {
		return
	}
	for _, n := range [2]kin.Vec{v.Scale(1 / m), v.Scale(-1 / m)} {
		w := e.support(n)
		e.offer(n, n.Dot(w))
	}
}

// contact fills c from the depth found. Moved out of b by the depth and a
// little more, a has its closest points where it was deepest; and should the
// direction between those part the two by less, it is taken instead. Where the
// difference is round that closes in by a steady ratio, and the sum of the
// steps still to come is tried at once.
func (e *hull) contact(c *Contact) {
	const more = 1.0 // mm
	var step kin.Vec
	for range 50 {
		out := *e.a
		by := e.n.Scale(-e.depth - more)
		out.P, out.Q = out.P.Add(by), out.Q.Add(by)
		near := nearestCores(&out, e.b)
		pa := near.A.Sub(by)
		c.set(pa, pa.AddScaled(-e.depth, e.n), e.n.Scale(-1), -e.depth, e.a.radius(), 0)
		was := e.depth
		n := near.Normal.Scale(-1)
		next := n.Sub(e.n)
		e.both(n)
		if q := next.Dot(step) / step.Norm2(); q > 0 && q < 0.9999 {
			e.both(n.AddScaled(q/(1-q), next))
		}
		step = next
		if e.depth > was-1e-12 {
			return
		}
	}
}

// nearestCores measures disjoint cores, without their radii.
func nearestCores(a, b *Shape) (c Contact) {
	if a.Kind == Capsule {
		pointCylinder(&Shape{Kind: Sphere, P: rodTo(a, b)}, b, &c)
		return c
	}
	var g search
	g.a, g.b = a, b
	g.run(a.P.Sub(b.P))
	g.contact(&c)
	return c
}

// start makes a first tetrahedron. A cylinder has thickness in every direction,
// so the difference has too. It reports false where rounding leaves none.
func (e *hull) start() bool {
	e.put(kin.Vec{X: 1})
	e.put(kin.Vec{X: -1})
	base := e.w[0]
	d := e.w[1].Sub(base).Unit()
	u := across(d)
	v := d.Cross(u)
	if !e.putFarthest([]kin.Vec{u, v, u.Scale(-1), v.Scale(-1)}, func(w kin.Vec) float64 {
		return w.Sub(base).Cross(d).Norm()
	}) {
		return false
	}
	n := e.w[1].Sub(base).Cross(e.w[2].Sub(base)).Unit()
	if !e.putFarthest([]kin.Vec{n, n.Scale(-1)}, func(w kin.Vec) float64 {
		return math.Abs(w.Sub(base).Dot(n))
	}) {
		return false
	}
	if e.w[3].Sub(base).Dot(n) > 0 { // face 0 1 2 must look away from corner 3
		e.w[1], e.w[2] = e.w[2], e.w[1]
	}
	for _, t := range [4][3]int{{0, 1, 2}, {0, 3, 1}, {1, 3, 2}, {2, 3, 0}} {
		e.face(t[0], t[1], t[2])
	}
	e.f[0].next = [3]int{1, 2, 3}
	e.f[1].next = [3]int{3, 2, 0}
	e.f[2].next = [3]int{1, 3, 0}
	e.f[3].next = [3]int{2, 1, 0}
	return true
}

func (e *hull) put(dir kin.Vec) {
	e.w[e.corners] = e.support(dir)
	e.corners++
}

// putFarthest puts the support point, of those along dirs, that measures most.
func (e *hull) putFarthest(dirs []kin.Vec, measure func(kin.Vec) float64) bool {
	best, at := 0.0, -1
	for i, d := range dirs {
		w := e.support(d)
		if m := measure(w); m > best {
			best, at = m, i
		}
	}
	if at < 0 {
		return false
	}
	e.put(dirs[at])
	return true
}

// face adds a face and returns its index; -1 when there is no room.
func (e *hull) face(i, j, k int) int {
	at := e.free
	switch {
	case at >= 0:
		e.free = e.f[at].next[0]
	case e.faces == maxFaces:
		return -1
	default:
		at = e.faces
		e.faces++
	}
	f := &e.f[at]
	f.corner = [3]int{i, j, k}
	f.alive = true
	n := e.w[j].Sub(e.w[i]).Cross(e.w[k].Sub(e.w[i]))
	m := n.Norm()
	if m < 1e-14 {
		// A sliver has no direction to grow along; its neighbours do.
		f.n, f.d = kin.Vec{}, math.Inf(1)
		return at
	}
	f.n = n.Scale(1 / m)
	f.d = f.n.Dot(e.w[i])
	return at
}

// nearest returns the face nearest the origin; -1 when only slivers are left.
func (e *hull) nearest() int {
	at, least := -1, math.Inf(1)
	for k := range e.faces {
		if f := &e.f[k]; f.alive && f.d < least {
			at, least = k, f.d
		}
	}
	return at
}

// grow adds the corner w beyond face k: the faces that see it go, new ones
// join their rim to it. It reports false where rounding leaves no clean rim.
func (e *hull) grow(k int, w kin.Vec) bool {
	at := e.corners
	e.w[at] = w
	e.corners++

	var gone [maxFaces]int // a queue of the faces that see w
	gone[0] = k
	e.f[k].alive = false
	number := 1
	first := -1
	var from [maxCorners]int // by corner: the new face whose edge starts there, plus one
	rim := 0
	for q := 0; q < number; q++ {
		old := e.f[gone[q]]
		for side := range 3 {
			g := old.next[side]
			f := &e.f[g]
			if !f.alive {
				continue // seen already
			}
			if f.n.Dot(w)-f.d > 1e-12 {
				f.alive = false
				gone[number] = g
				number++
				continue
			}
			i, j := old.corner[side], old.corner[(side+1)%3]
			n := e.face(i, j, at)
			if n < 0 || from[i] != 0 {
				return false
			}
			from[i] = n + 1
			if first < 0 {
				first = n
			}
			rim++
			e.f[n].next[0] = g
			for s := range 3 {
				if f.corner[s] == j && f.next[s] == gone[q] {
					f.next[s] = n
				}
			}
		}
	}
	// Walk round the rim and join each new face to the one after it.
	n := first
	for range rim {
		m := from[e.f[n].corner[1]] - 1
		if m < 0 {
			return false
		}
		e.f[n].next[1] = m
		e.f[m].next[2] = n
		n = m
	}
	if n != first {
		return false
	}
	for q := range number {
		e.f[gone[q]].next[0] = e.free
		e.free = gone[q]
	}
	return true
}
