package practice

import (
	"math"

	"posework/kin"
)

// about is the rotation by an angle about a unit axis (O. Rodrigues, 1840).
func about(axis kin.Vec, angle float64) kin.Rot {
	s, c := math.Sincos(angle)
	turn := func(v kin.Vec) kin.Vec {
		return v.Scale(c).AddScaled(s, axis.Cross(v)).AddScaled((1-c)*axis.Dot(v), axis)
	}
	return kin.Rot{X: turn(kin.Identity.X), Y: turn(kin.Identity.Y), Z: turn(kin.Identity.Z)}
}

// axisAngle is the shortest turn that a rotation makes: a unit axis and an angle
// in [0, pi]. The axis of no turn is z.
func axisAngle(r *kin.Rot) (axis kin.Vec, angle float64) {
	v := kin.Vec{X: r.Y.Z - r.Z.Y, Y: r.Z.X - r.X.Z, Z: r.X.Y - r.Y.X} // 2 sin(angle) axis
	cos := (r.X.X + r.Y.Y + r.Z.Z - 1) / 2
	angle = math.Atan2(v.Norm()/2, cos)
	if angle < math.Pi-1e-4 {
		if v.Norm() == 0 {
			return kin.Vec{Z: 1}, 0
		}
		return v.Unit(), angle
	}
	// Near half a turn the antisymmetric part is rounding; the symmetric part
	// r + r^T = 2 cos + 2 (1 - cos) axis axis^T says the axis but for its sign.
	col := [3]kin.Vec{
		{X: 2*r.X.X - 2*cos, Y: r.X.Y + r.Y.X, Z: r.X.Z + r.Z.X},
		{X: r.X.Y + r.Y.X, Y: 2*r.Y.Y - 2*cos, Z: r.Y.Z + r.Z.Y},
		{X: r.X.Z + r.Z.X, Y: r.Y.Z + r.Z.Y, Z: 2*r.Z.Z - 2*cos},
	}
	axis = col[0]
	for _, c := range col[1:] {
		if c.Norm2() > axis.Norm2() {
			axis = c
		}
	}
	axis = axis.Unit()
	if axis.Dot(v) < 0 {
		axis = axis.Scale(-1)
	}
	return axis, angle
}
