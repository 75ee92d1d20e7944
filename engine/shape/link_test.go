package shape

import (
	"testing"

	"posework/kin"
	"posework/kin/arm"
)

// A solid of a link, whatever its kind, reaches as far along an axis as its own
// numbers say.
func TestOfLink(t *testing.T) {
	at := kin.Pose{R: kin.FromRPY(0, 0, kin.Rad(90)), T: kin.Vec{X: 10, Y: 20, Z: 30}}
	for _, c := range []struct {
		solid arm.Solid
		want  kin.Vec // farthest along +X, +Y and +Z
	}{
		{arm.Solid{Kind: arm.Capsule, From: kin.Vec{X: -5}, To: kin.Vec{X: 7, Y: 1}, Radius: 2}, kin.Vec{X: 9, Y: 3, Z: 2}},
		{arm.Solid{Kind: arm.Sphere, From: kin.Vec{X: 1, Y: 2, Z: 3}, Radius: 4}, kin.Vec{X: 5, Y: 6, Z: 7}},
		{arm.Solid{Kind: arm.Box, Place: at, Half: kin.Vec{X: 1, Y: 2, Z: 3}}, kin.Vec{X: 12, Y: 21, Z: 33}},
		{arm.Solid{Kind: arm.Cylinder, Place: at, Radius: 5, Half: kin.Vec{Z: 6}}, kin.Vec{X: 15, Y: 25, Z: 36}},
	} {
		s := OfLink(&c.solid)
		got := kin.Vec{X: s.Support(kin.Vec{X: 1}).X, Y: s.Support(kin.Vec{Y: 1}).Y, Z: s.Support(kin.Vec{Z: 1}).Z}
		if !(got.Sub(c.want).Norm() <= 1e-9) {
			t.Errorf("kind %d reaches to %v, want %v", c.solid.Kind, got, c.want)
		}
	}
}
