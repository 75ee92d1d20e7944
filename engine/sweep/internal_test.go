package sweep

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/shape"
	"posework/kin"
	"posework/kin/arm"
)

func number(t *rapid.T, what string, lo, hi float64) float64 {
	return rapid.Float64Range(lo, hi).Draw(t, what)
}

func vector(t *rapid.T, what string, size float64) kin.Vec {
	return kin.Vec{X: number(t, what, -size, size), Y: number(t, what, -size, size), Z: number(t, what, -size, size)}
}

// anyLaw draws a law of some phases, continuous in place and speed, that does
// not turn back.
func anyLaw(t *rapid.T) motion.Law {
	var l motion.Law
	s, v, at := 0.0, number(t, "v0", 0, 2), 0.0
	n := rapid.IntRange(1, 8).Draw(t, "phases")
	if rapid.IntRange(0, 9).Draw(t, "crowd") == 0 {
		n = 3 * crowd
	}
	for range n {
		dt := number(t, "dt", 0.001, 0.5)
		p := motion.Phase{T: at, S: s, V: v}
		end := number(t, "v1", 0, 2)
		if rapid.Bool().Draw(t, "standing") && v < 0.3 {
			p.V, v, end = 0, 0, 0
		}
		p.A = (end - v) / dt
		if rapid.Bool().Draw(t, "jerk") {
			// From v with a = 0 to end: v + J dt^2 / 2.
			p.A, p.J = 0, 2*(end-v)/(dt*dt)
		}
		l.Phases = append(l.Phases, p)
		s += dt * (p.V + dt*(p.A/2+dt*p.J/6))
		v = p.V + dt*(p.A+dt*p.J/2)
		at += dt
	}
	l.Length = at
	return l
}

// TestProduct samples n(s) ds/dt over a piece of a law.
func TestProduct(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLaw(t)
		w := newLaw(&l)
		last := len(l.Phases) - 1
		length, _, _ := w.at(last, l.Length)
		s0 := number(t, "s0", 0, 1) * length
		s1 := s0 + number(t, "width", 0, 1)*(length-s0)
		n0, n1 := number(t, "n0", 0, 500), number(t, "n1", 0, 500)
		lo, hi := w.product(s0, s1, n0, n1)
		for k := range 400 {
			at := l.Length * float64(k) / 399
			i := 0
			for i < last && l.Phases[i+1].T <= at {
				i++
			}
			s, v, _ := w.at(i, at)
			if s < s0 || s > s1 {
				continue
			}
			n := n0
			if s1 > s0 {
				n += (n1 - n0) * (s - s0) / (s1 - s0)
			}
			if f := n * v; f > hi+1e-6*(1+hi) || f < lo-1e-6*(1+hi) {
				t.Fatalf("at %v: %v outside [%v, %v]", at, f, lo, hi)
			}
			when, rate := w.moment(s)
			if x, _, _ := w.at(w.phase(s), when); !(math.Abs(x-s) <= 1e-9) {
				t.Fatalf("moment(%v) = %v, which is at %v", s, when, x)
			}
			if v > 1e-3 && (!(math.Abs(when-at) <= 1e-6/v) || math.Abs(rate-v) > 1e-4/v) {
				t.Fatalf("moment(%v) = %v, %v; want %v, %v", s, when, rate, at, v)
			}
		}
	})
}

// straightPath is a path straight in axis space with a bend, without bounds.
type testPath struct {
	chain      *kin.Chain
	q0, q1, q2 kin.Joints
}

func (p *testPath) eval(s float64) motion.Eval {
	var e motion.Eval
	for i := range 6 {
		e.Q[i] = p.q0[i] + s*(p.q1[i]+s*p.q2[i])
		e.DQ[i], e.DDQ[i] = p.q1[i]+2*s*p.q2[i], 2*p.q2[i]
	}
	p.chain.Forward(&e.Q, &e.Frames)
	return e
}

func anyPath(t *rapid.T) (*testPath, *[6]bool) {
	m, _ := arm.Builtin(rapid.SampledFrom(arm.Names()).Draw(t, "arm"))
	rows := m.Chain.Rows()
	var prismatic [6]bool
	if rapid.IntRange(0, 3).Draw(t, "slides") == 0 {
		i := rapid.IntRange(0, 5).Draw(t, "slide")
		rows[i].Prismatic, prismatic[i] = true, true
	}
	p := &testPath{chain: kin.NewChain(kin.IdentityPose, rows, kin.Pose{R: kin.FromRPY(0.1, 0.2, 0.3), T: kin.Vec{X: 10, Y: 20, Z: 30}})}
	for i := range 6 {
		p.q0[i], p.q1[i], p.q2[i] = number(t, "q0", -2, 2), number(t, "q1", -1, 1), number(t, "q2", -1, 1)
		if prismatic[i] {
			p.q1[i] *= 100
		}
	}
	return p, &prismatic
}

// TestLinks compares the motion of link points with central differences, seen
// from the world and from a link.
func TestLinks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, prismatic := anyPath(t)
		base := rapid.IntRange(0, 5).Draw(t, "base")
		link := rapid.IntRange(base, 6).Draw(t, "link")
		local := vector(t, "point", 200)
		var m [7]twist
		e := p.eval(0)
		links(&e, prismatic, base, &m)
		at := func(s float64) kin.Vec {
			f := p.eval(s)
			x := f.Frames[link].Apply(local)
			x = f.Frames[base].ApplyInv(x) // as seen from the base link
			return e.Frames[base].Apply(x)
		}
		const h = 1e-4
		v := at(h).Sub(at(-h)).Scale(1 / (2 * h))
		a := at(h).Add(at(-h)).Sub(at(0).Scale(2)).Scale(1 / (h * h))
		gv, ga := m[link].point(e.Frames[link].Apply(local))
		if !(gv.Sub(v).Norm() <= 1e-3) || !(ga.Sub(a).Norm() <= 0.02) {
			t.Fatalf("link %d from %d: velocity %v, differences %v; acceleration %v, differences %v", link, base, gv, v, ga, a)
		}
	})
}

// TestReach compares the bounds on a mover's points with differences of places.
func TestReach(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, prismatic := anyPath(t)
		link := rapid.IntRange(1, 6).Draw(t, "link")
		centre, radius := vector(t, "centre", 200), number(t, "radius", 0, 100)
		const h = 0.05
		var b, c, d kin.Joints
		slide := kin.Joints{9, 9, 9, 9, 9, 9}
		for i := range 6 {
			b[i] = math.Abs(p.q1[i]) + 2*h*math.Abs(p.q2[i])
			c[i] = 2 * math.Abs(p.q2[i])
			if prismatic[i] {
				slide[i] = 300
			}
		}
		var k powers
		k.set(&b, &c, &d, 0)
		lever := p.chain.PointBounds(link, centre, radius, &slide)
		x1, x2, x3 := dot6((*[6]float64)(&lever), &k.k1), dot6((*[6]float64)(&lever), &k.k2), dot6((*[6]float64)(&lever), &k.k3)
		local := centre.AddScaled(radius, vector(t, "dir", 1).Unit())
		const n = 20
		var x [n + 1]kin.Vec
		for i := range x {
			e := p.eval(h * (2*float64(i)/n - 1))
			x[i] = e.Frames[link].Apply(local)
		}
		w := 2 * h / n
		for i := 0; i+3 <= n; i++ {
			d1 := x[i+1].Sub(x[i]).Norm() / w
			d2 := x[i+2].Sub(x[i+1].Scale(2)).Add(x[i]).Norm() / (w * w)
			d3 := x[i+3].Sub(x[i+2].Scale(3)).Add(x[i+1].Scale(3)).Sub(x[i]).Norm() / (w * w * w)
			if d1 > x1*(1+1e-9)+1e-6 || d2 > x2*(1+1e-6)+1e-4 || d3 > x3*(1+1e-6)+0.1 {
				t.Fatalf("link %d: derivatives %v %v %v above bounds %v %v %v", link, d1, d2, d3, x1, x2, x3)
			}
		}
	})
}

// TestFastest compares with the speeds of points all over a shape.
func TestFastest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := shape.Shape{
			Kind: shape.Kind(rapid.IntRange(0, 3).Draw(t, "kind")), P: vector(t, "p", 300), Q: vector(t, "q", 300),
			R: number(t, "r", 1, 100), Rot: kin.FromRPY(number(t, "roll", -3, 3), number(t, "pitch", -1, 1), number(t, "yaw", -3, 3)),
			Half: kin.Vec{X: number(t, "hx", 1, 100), Y: number(t, "hy", 1, 100), Z: number(t, "hz", 1, 100)},
		}
		m := twist{o: vector(t, "o", 100), v: vector(t, "v", 500), w: vector(t, "w", 5)}
		got := fastest(&s, &m)
		best := 0.0
		for i := range 60 {
			for j := range 31 {
				st, ct := math.Sincos(math.Pi * float64(j) / 30)
				sp, cp := math.Sincos(2 * math.Pi * float64(i) / 60)
				v, _ := m.point(s.Support(kin.Vec{X: st * cp, Y: st * sp, Z: ct}))
				best = math.Max(best, v.Norm())
			}
		}
		// A grid of 6 degrees misses the best point of a ball by 3 degrees at most.
		if got < best-1e-9 || got > best+0.003*m.w.Norm()*s.R*2+rimTol+1e-5*best {
			t.Fatalf("greatest speed %v, on a grid of points %v\n%+v\n%+v", got, best, s, m)
		}
	})
}

// TestAlong compares the bound along a direction with distances over an
// interval, apart and in overlap.
func TestAlong(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		any := func(what string) shape.Shape {
			s := shape.Shape{
				Kind: shape.Kind(rapid.IntRange(0, 3).Draw(t, what)), P: vector(t, what, 300),
				R: number(t, "r", 1, 100), Rot: kin.FromRPY(number(t, "roll", -3, 3), number(t, "pitch", -1, 1), number(t, "yaw", -3, 3)),
				Half: kin.Vec{X: number(t, "hx", 1, 100), Y: number(t, "hy", 1, 100), Z: number(t, "hz", 1, 100)},
			}
			s.Q = s.P.Add(vector(t, "d", 200))
			return s
		}
		p, prismatic := anyPath(t)
		link := rapid.IntRange(1, 6).Draw(t, "link")
		local, solid := any("mover"), any("solid")
		h := number(t, "h", 1e-4, 0.2)
		e := p.eval(0)
		var m [7]twist
		links(&e, prismatic, 0, &m)
		var b, c, d kin.Joints
		slide := kin.Joints{9, 9, 9, 9, 9, 9}
		for i := range 6 {
			b[i], c[i] = math.Abs(p.q1[i])+2*h*math.Abs(p.q2[i]), 2*math.Abs(p.q2[i])
			if prismatic[i] {
				slide[i] = 300
			}
		}
		var k powers
		k.set(&b, &c, &d, 0)
		centre, radius := local.Bounds()
		lever := p.chain.PointBounds(link, centre, radius, &slide)
		var a shape.Shape
		local.Move(&e.Frames[link], &a)
		var ct shape.Contact
		shape.Between(&a, &solid, &ct)
		bound := along(&a, &solid, &m[link], ct.Normal, h, dot6((*[6]float64)(&lever), &k.k2)*h*h/2, dot6((*[6]float64)(&lever), &k.k3)*h*h*h/6)
		if bound > ct.Distance+1e-4 {
			t.Fatalf("bound %v above the distance %v in the middle", bound, ct.Distance)
		}
		for i := range 21 {
			f := p.eval(h * (float64(i)/10 - 1))
			local.Move(&f.Frames[link], &a)
			if d := shape.Distance(&a, &solid); d < bound-1e-4 {
				t.Fatalf("distance %v at %d, bound %v (middle %v)", d, i, bound, ct.Distance)
			}
		}
	})
}

func TestParabola(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v, a, h := number(t, "v", -3, 3), number(t, "a", -3, 3), number(t, "h", 0, 2)
		lo, hi := parabola(v, a, h)
		for k := range 101 {
			x := h * (float64(k)/50 - 1)
			if f := v*x + a*x*x/2; f < lo-1e-12 || f > hi+1e-12 {
				t.Fatalf("%v at %v outside [%v, %v]", f, x, lo, hi)
			}
		}
	})
}

// TestSetups checks which bodies may not meet.
func TestSetups(t *testing.T) {
	m, _ := arm.Builtin("hazel")
	tr := &motion.Trajectory{
		Cell:  &cell.Cell{Arm: m, Tools: []cell.Tool{{Name: "t", Solids: []cell.ToolSolid{{Name: "", Shape: shape.Shape{Kind: shape.Sphere, R: 5}}}}}},
		Tools: []motion.Tool{{TCP: kin.IdentityPose}, {TCP: kin.IdentityPose}}, Scenes: []motion.Scene{{Held: -1}},
		Pieces: []motion.Piece{{}, {Tool: 1}, {}},
	}
	w := New(tr, Options{})
	s := w.setup(0)
	if w.setup(2) != s || w.setup(1) == s {
		t.Error("a setup is shared by pieces with the same tool and scene, and by no others")
	}
	for _, p := range s.self {
		a, b := &s.movers[p.a], &s.movers[p.b]
		if b.link-a.link < 2 {
			t.Errorf("links %d and %d are neighbours", a.link, b.link)
		}
	}
	if b := w.bodies[s.movers[len(s.movers)-1].body]; b.Name != "t" {
		t.Errorf("a tool's only solid without a name is called %q, want the tool's name", b.Name)
	}
}
