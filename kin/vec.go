package kin

import "math"

// Vec is a point or a direction: three coordinates in some frame, mm for
// points. The zero value is the origin.
type Vec struct{ X, Y, Z float64 }

// Add returns a + b.
func (a Vec) Add(b Vec) Vec { return Vec{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }

// Sub returns a - b.
func (a Vec) Sub(b Vec) Vec { return Vec{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }

// Scale returns k * a.
func (a Vec) Scale(k float64) Vec { return Vec{k * a.X, k * a.Y, k * a.Z} }

// AddScaled returns a + k*b.
func (a Vec) AddScaled(k float64, b Vec) Vec {
	return Vec{a.X + k*b.X, a.Y + k*b.Y, a.Z + k*b.Z}
}

// Dot returns the scalar product.
func (a Vec) Dot(b Vec) float64 { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }

// Cross returns the vector product a x b.
func (a Vec) Cross(b Vec) Vec {
	return Vec{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X}
}

// Norm returns the length of a.
func (a Vec) Norm() float64 { return math.Sqrt(a.Dot(a)) }

// Norm2 returns the squared length of a.
func (a Vec) Norm2() float64 { return a.Dot(a) }

// Unit returns a scaled to length one, and the zero vector for a zero vector.
func (a Vec) Unit() Vec {
	n := a.Norm()
	if n == 0 {
		return Vec{}
	}
	return a.Scale(1 / n)
}

// Angle returns the angle between two directions of any length but zero, in
// [0, pi] rad. The arctangent keeps its accuracy near 0 and pi, where the
// arccosine of the scalar product loses half of its digits.
func (a Vec) Angle(b Vec) float64 { return math.Atan2(a.Cross(b).Norm(), a.Dot(b)) }

// Finite reports whether no coordinate is NaN or infinite.
func (a Vec) Finite() bool {
	s := a.X - a.X + a.Y - a.Y + a.Z - a.Z // 0, or NaN when any is not finite
	return s == 0
}
