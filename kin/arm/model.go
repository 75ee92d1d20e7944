// Package arm holds arm models: a chain of six axes, what each axis may do, and
// the solids that the links carry.
//
// It reads no files; engine/armfile and engine/urdf do, and build a [Model].
// Units and frames are those of package kin.
package arm

import "posework/kin"

// Range is a closed range of an axis: radians, or mm for a prismatic axis.
type Range struct{ Min, Max float64 }

// Kind is the kind of a solid.
type Kind uint8

// The kinds of solid that a link can carry.
const (
	Capsule  Kind = iota // the points within Radius of the segment From-To
	Box                  // centred at Place, half edge lengths Half along its axes
	Cylinder             // centred at Place, axis along its z, Radius and half height Half.Z
	Sphere               // the points within Radius of From
)

// Solid is a convex solid carried by a link, in that link's frame.
type Solid struct {
	Link     int // 0 the base, 1 to 6 the frame after that axis, 6 the flange
	Name     string
	Kind     Kind
	From, To kin.Vec  // capsule; From alone for a sphere
	Radius   float64  // capsule, cylinder, sphere
	Place    kin.Pose // box, cylinder
	Half     kin.Vec  // box; Half.Z for a cylinder
}

// Model is an arm: its geometry, what its axes may do, and its body.
type Model struct {
	Name   string
	Title  string
	Reach  float64 // nominal, mm
	Chain  *kin.Chain
	Limits [6]Range
	Speed  [6]float64 // rated axis speed, rad/s (mm/s)
	Accel  [6]float64 // rated axis acceleration, rad/s2 (mm/s2)
	Solids []Solid
}
