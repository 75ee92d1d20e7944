package shape

import (
	"math/rand/v2"
	"testing"

	"posework/kin"
)

// draw draws a solid as a cell has them: 100 to 600 mm in size, its centre up to
// half a metre from the origin along each axis, turned at will.
func draw(r *rand.Rand, k Kind) Shape {
	v := func(s float64) kin.Vec {
		return kin.Vec{X: s * (2*r.Float64() - 1), Y: s * (2*r.Float64() - 1), Z: s * (2*r.Float64() - 1)}
	}
	size := func() float64 { return 50 + 250*r.Float64() }
	s := Shape{Kind: k, P: v(500), R: 30 + 70*r.Float64(), Half: kin.Vec{X: size(), Y: size(), Z: size()}}
	s.Q = s.P.Add(v(300))
	s.Rot.X = v(1).Unit()
	s.Rot.Y = s.Rot.X.Cross(v(1)).Unit()
	s.Rot.Z = s.Rot.X.Cross(s.Rot.Y)
	return s
}

// pool draws pairs; about one in five overlaps.
func pool(ka, kb Kind) (a, b []Shape) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 256 {
		a, b = append(a, draw(r, ka)), append(b, draw(r, kb))
	}
	return a, b
}

func BenchmarkBetween(b *testing.B) {
	for _, k := range []struct {
		name string
		a, b Kind
	}{
		{"capsule-capsule", Capsule, Capsule},
		{"capsule-box", Capsule, Box},
		{"box-box", Box, Box},
		{"sphere-box", Sphere, Box},
		{"capsule-cylinder", Capsule, Cylinder},
		{"box-cylinder", Box, Cylinder},
		{"cylinder-cylinder", Cylinder, Cylinder},
		{"box-half-space", Box, HalfSpace},
	} {
		for _, part := range []string{"apart", "overlap", "mixed"} {
			b.Run("pair="+k.name+"/case="+part, func(b *testing.B) {
				sa, sb := pool(k.a, k.b)
				var ua, ub []Shape
				for i := range sa {
					d := Distance(&sa[i], &sb[i])
					if part == "mixed" || (d > 0) == (part == "apart") {
						ua, ub = append(ua, sa[i]), append(ub, sb[i])
					}
				}
				if len(ua) == 0 {
					b.Skip("no such pair drawn")
				}
				b.ReportAllocs()
				var c Contact
				i := 0
				for b.Loop() {
					Between(&ua[i], &ub[i], &c)
					if i++; i == len(ua) {
						i = 0
					}
				}
			})
		}
	}
}
