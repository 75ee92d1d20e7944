package sweep

import (
	"math"

	"posework/engine/shape"
	"posework/kin"
)

// view is a node with what the examination of its pairs needs: the movers in
// place, and the motion of the links as seen from some of them.
type view struct {
	w     *Sweep
	s     *setup
	n     *node
	shown []bool // by mover: shape and centre are set
	shape []shape.Shape
	at    []kin.Vec // centres of the movers' bounding spheres
	seen  [6]bool   // by base: link and k are set
	link  [6][7]twist
	k     [6]powers
}

// look points the view at a node.
func (v *view) look(w *Sweep, n *node) {
	v.w, v.n, v.s = w, n, w.setup(n.piece)
	// One place more than movers: the tool centre point.
	for len(v.shown) <= len(v.s.movers) {
		v.shown = append(v.shown, false)
		v.shape = append(v.shape, shape.Shape{})
		v.at = append(v.at, kin.Vec{})
	}
	clear(v.shown)
	clear(v.seen[:])
	v.seen[0] = true
}

// mover returns mover i, the tool centre point after the last one.
func (v *view) mover(i int) *mover {
	if i == len(v.s.movers) {
		return &v.s.tcp
	}
	return &v.s.movers[i]
}

// place puts mover i where it is in the middle of the interval.
func (v *view) place(i int) *shape.Shape {
	if !v.shown[i] {
		m := v.mover(i)
		f := &v.n.e.Frames[m.link]
		m.local.Move(f, &v.shape[i])
		v.at[i] = f.Apply(m.centre)
		v.shown[i] = true
	}
	return &v.shape[i]
}

// motion returns the motion of the links and the powers of the axes' bounds,
// seen from link base.
func (v *view) motion(base int) (*[7]twist, *powers) {
	if base == 0 {
		return &v.n.link, &v.n.k
	}
	if !v.seen[base] {
		links(&v.n.e, &v.w.prismatic, base, &v.link[base])
		if v.n.bounded {
			v.k[base].set(&v.n.b, &v.n.c, &v.n.d, base)
		}
		v.seen[base] = true
	}
	return &v.link[base], &v.k[base]
}

// gap is what is known about the distance of two solids over an interval: its
// value in the middle, +Inf where that was not needed, and a lower bound.
type gap struct {
	value, bound float64
	contact      shape.Contact // where value is finite; A on the mover
}

// gap measures mover i against a solid that link base carries (0: that stands
// still), placed where it is in the middle of the interval. A bound of at least
// enough ends the work: no better one is sought.
func (v *view) gap(i int, solid *shape.Shape, centre kin.Vec, radius float64, base int, enough float64, g *gap) {
	m := v.mover(i)
	a := v.place(i)
	n := v.n
	link, k := v.motion(base)
	t := &link[m.link]

	// How far any point of the mover gets, seen from the solid.
	h := n.h
	far, second, third := 0.0, 0.0, 0.0
	if h > 0 {
		if !n.bounded {
			far = math.Inf(1)
		} else {
			var first float64
			if base == 0 {
				first, second, third = n.reach(m)
			} else {
				first, second, third = dot6(&m.lever, &k.k1), dot6(&m.lever, &k.k2), dot6(&m.lever, &k.k3)
			}
			second, third = second*h*h/2, third*h*h*h/6
			vc := t.v.Add(t.w.Cross(v.at[i].Sub(t.o)))
			far = math.Min((vc.Norm()+t.w.Norm()*m.radius)*h+second, first*h)
		}
	}
	g.value = math.Inf(1)
	g.bound = math.Inf(-1)
	// Spheres about both, or one about the mover against the solid itself.
	if solid.Kind == shape.HalfSpace {
		g.bound = solid.Rot.Z.Dot(v.at[i].Sub(solid.P)) - m.radius - far - slack
	} else {
		g.bound = v.at[i].Sub(centre).Norm() - radius - m.radius - far - slack
	}
	if g.bound >= enough {
		return
	}
	if solid.Kind == shape.Box {
		ball := shape.Shape{Kind: shape.Sphere, P: v.at[i], R: m.radius}
		if d := shape.Distance(&ball, solid) - far - slack; d >= enough {
			g.bound = d
			return
		}
	}
	shape.Between(a, solid, &g.contact)
	c := &g.contact
	g.value = c.Distance
	if a.Kind == shape.Cylinder || solid.Kind == shape.Cylinder {
		g.value += roundSlack
	}
	g.bound = c.Distance - far - slack
	if a.Kind == shape.Cylinder || solid.Kind == shape.Cylinder {
		g.bound -= roundSlack
	}
	if h == 0 || g.bound >= enough || !n.bounded {
		return
	}
	g.bound = math.Max(g.bound, along(a, solid, t, c.Normal, h, second, third)-slack)
}

// roundSlack is how far off distances of cylinders can be at worst, see package
// shape, mm.
const roundSlack = 1e-4

// along bounds the distance of a, moving by t, from b, at rest, over |x| <= h by
// how far they lie apart along the fixed direction n: no translation along n can
// tell more than the supports of both. second and third are h^2/2 and h^3/6
// times bounds on the second and third derivative of a's points.
//
// With p, p', p" of a point of a known in the middle,
//
//	n . p(x) >= n . (p + x p') + x^2/2 n . p" - third.
//
// The least first term over all points of a is concave in x, hence above its
// chord between the ends; the least second factor is one support more.
func along(a, b *shape.Shape, t *twist, n kin.Vec, h, second, third float64) float64 {
	top := n.Dot(b.P) // of a half-space: n is its normal
	if b.Kind != shape.HalfSpace {
		top = -b.Least(n.Scale(-1))
	}
	// n . (w x (p - o)) = (n x w) . (p - o)
	nw := n.Cross(t.w)
	nv := n.Dot(t.v) - nw.Dot(t.o)
	left := a.Least(n.AddScaled(-h, nw)) - h*nv
	right := a.Least(n.AddScaled(h, nw)) + h*nv
	best := math.Min(left, right) - second

	bend := n.Cross(t.al).AddScaled(n.Dot(t.w), t.w).AddScaled(-t.w.Norm2(), n)
	acc := n.Dot(t.a) + a.Least(bend) - bend.Dot(t.o)
	lo, _ := parabola((right-left)/(2*h), acc, h)
	best = math.Max(best, (left+right)/2+lo-third)
	return best - top
}
