package page

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"posework/engine/shape"
	"posework/kin"
)

// area is that of a polygon given as path data of corners (the shoelace formula).
func area(t rapid.TB, d string) float64 {
	t.Helper()
	var p []point
	for _, part := range strings.FieldsFunc(strings.TrimSuffix(d, "z"), func(r rune) bool { return r == 'M' || r == 'L' }) {
		x, y, _ := strings.Cut(part, " ")
		a, err1 := strconv.ParseFloat(x, 64)
		b, err2 := strconv.ParseFloat(y, 64)
		if err1 != nil || err2 != nil {
			t.Fatalf("%q is no polygon", d)
		}
		p = append(p, point{a, b})
	}
	sum := 0.0
	for i := range p {
		q := p[(i+1)%len(p)]
		sum += p[i].x*q.y - q.x*p[i].y
	}
	return math.Abs(sum) / 2
}

// The shadow of a box is as large as its faces seen at their angles: of each pair
// of opposite faces one, times the cosine to the line of sight (A. Cauchy, 1850,
// on the shadows of convex bodies; the sum over faces is elementary).
func TestOutlineOfABox(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		s := shape.Shape{
			Kind: shape.Box, P: kin.Vec{X: num("x", -500, 500), Y: num("y", -500, 500), Z: num("z", -500, 500)},
			Rot:  kin.FromRPY(num("roll", -3, 3), num("pitch", -1.5, 1.5), num("yaw", -3, 3)),
			Half: kin.Vec{X: num("hx", 20, 200), Y: num("hy", 20, 200), Z: num("hz", 20, 200)},
		}
		b, ok := bodyOf(&s)
		if !ok {
			t.Fatal("a box has no outline")
		}
		for _, v := range views {
			want := 4 * (s.Half.Y*s.Half.Z*math.Abs(s.Rot.X.Dot(v.nearest)) +
				s.Half.X*s.Half.Z*math.Abs(s.Rot.Y.Dot(v.nearest)) + s.Half.X*s.Half.Y*math.Abs(s.Rot.Z.Dot(v.nearest)))
			got := area(t, v.outline(&b))
			// A corner is rounded to 0.05 mm or left out for lying within 0.1 mm.
			if !(math.Abs(got-want) <= 0.3*(s.Half.X+s.Half.Y+s.Half.Z)) {
				t.Errorf("%s: the outline of %+v covers %.1f mm2, want %.1f", v.name, s, got, want)
			}
		}
	})
}

// No point of a solid lies outside its outline, and the outline goes no farther
// than the solid, along directions in the picture.
func TestOutlineReach(t *testing.T) {
	cylinder := shape.Shape{Kind: shape.Cylinder, P: kin.Vec{X: 10, Y: 20, Z: 30}, R: 50, Half: kin.Vec{Z: 100}, Rot: kin.FromRPY(0.3, 0.7, -0.2)}
	b, _ := bodyOf(&cylinder)
	for _, v := range views {
		for i := range 16 {
			sin, cos := math.Sincos(float64(i) * math.Pi / 8)
			dir := kin.Vec{X: cos}.AddScaled(sin, upOf(v))
			true := cylinder.Support(dir).Dot(dir)
			drawn := math.Inf(-1)
			for _, p := range b.points {
				drawn = max(drawn, p.Dot(dir))
			}
			// A circle of facets points is inside by at most 1 - cos(pi/facets).
			if least := 50 * (1 - math.Cos(math.Pi/facets)); drawn > true+1e-9 || drawn < true-least-1e-9 {
				t.Errorf("%s, direction %d: drawn to %.3f, the cylinder reaches %.3f", v.name, i, drawn, true)
			}
		}
	}
}

func upOf(v *view) kin.Vec {
	if v.name == "top" {
		return kin.Vec{Y: 1}
	}
	return kin.Vec{Z: 1}
}

func TestOutlines(t *testing.T) {
	capsule := shape.Shape{Kind: shape.Capsule, P: kin.Vec{}, Q: kin.Vec{X: 100}, R: 10}
	upright := shape.Shape{Kind: shape.Capsule, P: kin.Vec{}, Q: kin.Vec{Z: 100}, R: 10}
	sphere := shape.Shape{Kind: shape.Sphere, P: kin.Vec{X: 5, Z: 7}, R: 3}
	box := shape.Shape{Kind: shape.Box, P: kin.Vec{X: 10}, Rot: kin.Identity, Half: kin.Vec{X: 1, Y: 2, Z: 3}}
	for _, c := range []struct {
		name string
		s    *shape.Shape
		v    *view
		want string
	}{
		{"lying capsule", &capsule, &above, "M0 10L100 10A10 10 0 0 0 100 -10L0 -10A10 10 0 0 0 0 10z"},
		{"capsule along the line of sight", &upright, &above, "M-10 0a10 10 0 1 0 20 0a10 10 0 1 0 -20 0z"},
		{"sphere from the side", &sphere, &aside, "M2 -7a3 3 0 1 0 6 0a3 3 0 1 0 -6 0z"},
		{"box from above", &box, &above, "M9 -2L11 -2L11 2L9 2z"},
		{"box from the side", &box, &aside, "M9 -3L11 -3L11 3L9 3z"},
	} {
		b, _ := bodyOf(c.s)
		if got := c.v.outline(&b); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
	if _, ok := bodyOf(&shape.Shape{Kind: shape.HalfSpace}); ok {
		t.Error("a half-space has an outline")
	}
}
