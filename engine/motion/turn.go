package motion

import (
	"math"

	"posework/kin"
)

// turned returns the rotation by an angle about a unit axis (O. Rodrigues'
// formula).
func turned(axis kin.Vec, angle float64) kin.Rot {
	s, c := math.Sincos(angle)
	col := func(e kin.Vec) kin.Vec {
		return e.Scale(c).AddScaled(s, axis.Cross(e)).AddScaled((1-c)*axis.Dot(e), axis)
	}
	return kin.Rot{X: col(kin.Vec{X: 1}), Y: col(kin.Vec{Y: 1}), Z: col(kin.Vec{Z: 1})}
}

// rotVec returns the rotation vector of r: its unit axis times its angle in
// [0, pi]. At a half turn, where both axes serve, it takes the one whose first
// large component is positive.
func rotVec(r *kin.Rot) kin.Vec {
	// Twice the axis times the sine, and one plus twice the cosine.
	v := kin.Vec{X: r.Y.Z - r.Z.Y, Y: r.Z.X - r.X.Z, Z: r.X.Y - r.Y.X}
	s, c := v.Norm()/2, (r.X.X+r.Y.Y+r.Z.Z-1)/2
	angle := math.Atan2(s, c)
	if s > 1e-4 {
		return v.Scale(angle / (2 * s))
	}
	if c > 0 {
		return v.Scale(0.5 * (1 + s*s/6))
	}
	// Near a half turn the axis is read off the symmetric part, whose columns
	// are (1 - cos) axis[i] axis plus cos times a unit vector.
	k := 1 / (1 - c)
	xx, yy, zz := (r.X.X-c)*k, (r.Y.Y-c)*k, (r.Z.Z-c)*k
	xy, xz, yz := (r.X.Y+r.Y.X)*k/2, (r.X.Z+r.Z.X)*k/2, (r.Y.Z+r.Z.Y)*k/2
	var axis kin.Vec
	switch {
	case xx >= yy && xx >= zz:
		axis = kin.Vec{X: xx, Y: xy, Z: xz}
	case yy >= zz:
		axis = kin.Vec{X: xy, Y: yy, Z: yz}
	default:
		axis = kin.Vec{X: xz, Y: yz, Z: zz}
	}
	axis = axis.Unit()
	if d := axis.Dot(v); d < 0 {
		axis = axis.Scale(-1)
	}
	return axis.Scale(angle)
}
