package grader

import (
	"math"
	"testing"

	"posework/engine/shape"
	"posework/kin"
)

// TestFall drops a ball of 10 mm radius from its middle's height of 100 mm. Over an
// edge it comes to rest where its surface meets the edge, at a height of
// sqrt(10^2 - x^2) for an edge x beside its middle, as long as the face that it
// lies on is no steeper than 60 degrees.
func TestFall(t *testing.T) {
	ball := shape.Shape{Kind: shape.Sphere, P: kin.Vec{Z: 100}, R: 10}
	// A block whose top is level at 0, from x on.
	block := func(x, top float64) shape.Shape {
		return shape.Shape{Kind: shape.Box, Rot: kin.Identity, P: kin.Vec{X: x + 200, Z: top - 50}, Half: kin.Vec{X: 200, Y: 200, Z: 50}}
	}
	ground := shape.Shape{Kind: shape.HalfSpace, Rot: kin.Identity}
	for _, tt := range []struct {
		name  string
		other shape.Shape
		want  float64
	}{
		{"on level ground", ground, 90},
		{"on the block", block(-50, 0), 90},
		{"on its edge, 5 mm beside", block(5, 0), 100 - math.Sqrt(75)},
		{"on its edge, 8 mm beside", block(8, 0), 100 - 6},
		{"past its edge, 9.3 mm beside", block(9.3, 0), math.Inf(1)},
		{"past its edge, 12 mm beside", block(12, 0), math.Inf(1)},
		{"far beside", block(400, 0), math.Inf(1)},
		{"below the block", block(-50, 300), math.Inf(1)},
		{"just above it", block(-50, 89.8), 0.2},
		{"on it", block(-50, 90), 0},
		{"sunk in by 3 mm", block(-50, 93), 0},
		{"sunk in from the side by 3 mm", block(7, 150), 0},
		{"touching its side", block(10, 150), math.Inf(1)},
	} {
		got := fall(&ball, &tt.other)
		// It lies when it is restingMM near, which is as if it were that much larger.
		if !(math.Abs(got-tt.want) <= 1) && !(math.IsInf(got, 1) && math.IsInf(tt.want, 1)) {
			t.Errorf("%s: it falls %g mm, want %g", tt.name, got, tt.want)
		}
	}
}
