package shape

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"posework/kin"
)

// tolRoundMM is what the package documentation states for cylinders in the worst
// places: axes or caps turned by 1e-9 rad against each other, touching rims.
// In overlap the depth is an upper bound that a search in many directions finds.
const (
	tolRoundMM = 1e-5
	tolDeepMM  = 1e-4
)

// outside returns how far p lies outside s (negative: inside): a definition of
// each solid by its points, apart from the distance code.
func outside(s *Shape, p kin.Vec) float64 {
	switch s.Kind {
	case Capsule:
		d := s.Q.Sub(s.P)
		u := 0.0
		if d.Norm2() > 0 {
			u = math.Max(0, math.Min(1, p.Sub(s.P).Dot(d)/d.Norm2()))
		}
		return p.Sub(s.P.AddScaled(u, d)).Norm() - s.R
	case Sphere:
		return p.Sub(s.P).Norm() - s.R
	case Box:
		x := s.Rot.ApplyInv(p.Sub(s.P))
		return max(math.Abs(x.X)-s.Half.X, math.Abs(x.Y)-s.Half.Y, math.Abs(x.Z)-s.Half.Z)
	case Cylinder:
		x := s.Rot.ApplyInv(p.Sub(s.P))
		return max(math.Hypot(x.X, x.Y)-s.R, math.Abs(x.Z)-s.Half.Z)
	default:
		return s.Rot.Z.Dot(p.Sub(s.P))
	}
}

// top is the support function: the greatest n . x over s.
func top(s *Shape, n kin.Vec) float64 {
	if s.Kind == HalfSpace {
		// Bounded only along its own normal.
		if n.Sub(s.Rot.Z).Norm() < 1e-9 {
			return n.Dot(s.P)
		}
		return math.Inf(1)
	}
	return n.Dot(s.Support(n))
}

// checkContact checks what must hold of every contact: unit normal, closest
// points that lie on the solids and agree with the distance, and a certificate
// that needs no trust in the search. Apart: no two points are nearer than along
// the normal. In overlap: moving a by the depth along the normal parts them.
func checkContact(t tester, a, b *Shape, c *Contact) {
	t.Helper()
	// Points and normals. A search that ends 1e-12 mm short leaves about the
	// root of that sideways; so does a choice between two nearly level faces. Where
	// round solids overlap the points are known as well as the depth.
	tol := 2e-5
	if c.Distance < 0 && (a.Kind == Cylinder || b.Kind == Cylinder) {
		tol = tolDeepMM
	}
	if !(math.Abs(c.Normal.Norm()-1) <= 1e-9) {
		t.Errorf("normal has length %v\na %+v\nb %+v", c.Normal.Norm(), *a, *b)
	}
	if d := c.A.Sub(c.B).AddScaled(-c.Distance, c.Normal).Norm(); !(d <= tol) {
		t.Errorf("closest points disagree with the distance %v by %.3g mm\na %+v\nb %+v", c.Distance, d, *a, *b)
	}
	if d := math.Abs(outside(a, c.A)); !(d <= tol) {
		t.Errorf("point A is %.3g mm off the surface of a (distance %v)\na %+v\nb %+v", outside(a, c.A), c.Distance, *a, *b)
	}
	if d := math.Abs(outside(b, c.B)); !(d <= tol) {
		t.Errorf("point B is %.3g mm off the surface of b (distance %v)\na %+v\nb %+v", outside(b, c.B), c.Distance, *a, *b)
	}
	least := -top(a, c.Normal.Scale(-1)) - top(b, c.Normal)
	if !(math.Abs(least-c.Distance) <= tolRoundMM) {
		t.Errorf("along the normal the solids are %.12g mm apart, distance %.12g\na %+v\nb %+v", least, c.Distance, *a, *b)
	}
}

// tester is what testing.T and rapid.T share.
type tester interface {
	Helper()
	Errorf(string, ...any)
}

func number(lo, hi float64) *rapid.Generator[float64] {
	return rapid.Custom(func(t *rapid.T) float64 {
		// Whole numbers now and then: aligned, touching and level cases.
		if rapid.IntRange(0, 3).Draw(t, "whole") == 0 {
			return float64(rapid.IntRange(int(lo), int(hi)).Draw(t, "n"))
		}
		return rapid.Float64Range(lo, hi).Draw(t, "x")
	})
}

func vectors(r float64) *rapid.Generator[kin.Vec] {
	return rapid.Custom(func(t *rapid.T) kin.Vec {
		g := number(-r, r)
		return kin.Vec{X: g.Draw(t, "x"), Y: g.Draw(t, "y"), Z: g.Draw(t, "z")}
	})
}

func rotations() *rapid.Generator[kin.Rot] {
	return rapid.Custom(func(t *rapid.T) kin.Rot {
		r := kin.Identity
		turns := rapid.IntRange(0, 2).Draw(t, "turns")
		for range turns {
			a := rapid.SampledFrom([]float64{0, math.Pi / 2, 0.3, 1e-9, 2}).Draw(t, "angle") +
				rapid.Float64Range(0, 1).Draw(t, "more")*float64(turns-1)
			r = turn(r, rapid.IntRange(0, 2).Draw(t, "axis"), a)
		}
		return r
	})
}

func turn(r kin.Rot, axis int, angle float64) kin.Rot {
	s, c := math.Sincos(angle)
	q := [...]kin.Rot{
		{X: kin.Vec{X: 1}, Y: kin.Vec{Y: c, Z: s}, Z: kin.Vec{Y: -s, Z: c}},
		{X: kin.Vec{X: c, Z: -s}, Y: kin.Vec{Y: 1}, Z: kin.Vec{X: s, Z: c}},
		{X: kin.Vec{X: c, Y: s}, Y: kin.Vec{X: -s, Y: c}, Z: kin.Vec{Z: 1}},
	}[axis]
	return r.Mul(&q)
}

func shapes(kind Kind) *rapid.Generator[Shape] {
	return rapid.Custom(func(t *rapid.T) Shape {
		size := number(1, 300)
		s := Shape{Kind: kind, P: vectors(400).Draw(t, "p"), Rot: rotations().Draw(t, "rot")}
		switch kind {
		case Capsule:
			s.Q = s.P.Add(vectors(300).Draw(t, "d"))
			s.R = size.Draw(t, "r")
		case Sphere:
			s.R = size.Draw(t, "r")
		case Box, Cylinder:
			s.R = size.Draw(t, "r")
			s.Half = kin.Vec{X: size.Draw(t, "hx"), Y: size.Draw(t, "hy"), Z: size.Draw(t, "hz")}
		}
		return s
	})
}

var kinds = []Kind{Capsule, Box, Cylinder, Sphere, HalfSpace}

var names = map[Kind]string{Capsule: "capsule", Box: "box", Cylinder: "cylinder", Sphere: "sphere", HalfSpace: "half-space"}

func eachPair(t *testing.T, f func(t *testing.T, a, b Kind)) {
	for _, a := range kinds {
		for _, b := range kinds {
			if a == HalfSpace && b == HalfSpace {
				continue
			}
			t.Run(names[a]+"/"+names[b], func(t *testing.T) { f(t, a, b) })
		}
	}
}

func TestContactProperties(t *testing.T) {
	eachPair(t, func(t *testing.T, ka, kb Kind) {
		rapid.Check(t, func(t *rapid.T) {
			a, b := shapes(ka).Draw(t, "a"), shapes(kb).Draw(t, "b")
			var c Contact
			Between(&a, &b, &c)
			checkContact(t, &a, &b, &c)

			var back Contact
			Between(&b, &a, &back)
			tol := tolMM
			if round := ka == Cylinder || kb == Cylinder; round {
				tol = tolRoundMM
				if c.Distance < 0 {
					tol = tolDeepMM
				}
			}
			if !(math.Abs(back.Distance-c.Distance) <= tol) {
				t.Errorf("distance %v one way, %v the other", c.Distance, back.Distance)
			}
			checkContact(t, &b, &a, &back)

			p := kin.Pose{R: rotations().Draw(t, "motion"), T: vectors(1000).Draw(t, "by")}
			var ma, mb Shape
			a.Move(&p, &ma)
			b.Move(&p, &mb)
			var moved Contact
			Between(&ma, &mb, &moved)
			if !(math.Abs(moved.Distance-c.Distance) <= tol) {
				t.Errorf("distance %.12g, %.12g after moving both alike\na %+v\nb %+v", c.Distance, moved.Distance, a, b)
			}
			checkContact(t, &ma, &mb, &moved)

			// Parting by the depth, or closing up the distance, leaves them touching.
			by := kin.Pose{R: kin.Identity, T: c.Normal.Scale(-c.Distance)}
			a.Move(&by, &ma)
			if d := Distance(&ma, &b); !(math.Abs(d) <= max(1e-7, tol)) {
				t.Errorf("%v after moving by the distance %v along the normal\na %+v\nb %+v", d, c.Distance, a, b)
			}
		})
	})
}

// TestShortestParting looks for a direction that parts overlapping solids by
// less than the depth, over a grid of directions.
func TestShortestParting(t *testing.T) {
	eachPair(t, func(t *testing.T, ka, kb Kind) {
		if ka == HalfSpace || kb == HalfSpace {
			return // bounded along one direction only
		}
		rapid.Check(t, func(t *rapid.T) {
			a, b := shapes(ka).Draw(t, "a"), shapes(kb).Draw(t, "b")
			b.Move(&kin.Pose{R: kin.Identity, T: a.P.Sub(b.P).Scale(0.8)}, &b)
			var c Contact
			Between(&a, &b, &c)
			best := math.Inf(-1)
			for i := range 40 {
				for j := range 20 {
					st, ct := math.Sincos(math.Pi * float64(j) / 20)
					sp, cp := math.Sincos(2 * math.Pi * float64(i) / 40)
					n := kin.Vec{X: st * cp, Y: st * sp, Z: ct}
					best = math.Max(best, -top(&a, n.Scale(-1))-top(&b, n))
				}
			}
			if best > c.Distance+tolDeepMM {
				t.Errorf("distance %v, but %v along another direction\na %+v\nb %+v", c.Distance, best, a, b)
			}
		})
	})
}
