// Package shape measures distances between convex solids.
package shape

import "posework/kin"

// Kind is the kind of a shape.
type Kind uint8

// The kinds of shape.
const (
	Capsule   Kind = iota // the points within R of the segment P-Q; a sphere has P == Q
	Box                   // centre P, axes in Rot, half edge lengths Half
	Cylinder              // centre P, axis along Rot.Z, radius R, half height Half.Z
	Sphere                // the points within R of P
	HalfSpace             // the points x with Rot.Z . (x - P) <= 0: Rot.Z points out of the solid
)

// Shape is a convex solid placed in some frame, mm. Only the fields that its
// Kind names are used. Flat on purpose: hot paths keep arrays of them.
type Shape struct {
	Kind Kind
	P, Q kin.Vec
	R    float64
	Rot  kin.Rot
	Half kin.Vec
}

// Contact is the distance between two shapes and where it lies.
type Contact struct {
	// Distance is the least distance of the two surfaces, mm; negative when the
	// solids overlap, and then its size is the penetration depth: the shortest
	// translation that parts them.
	Distance float64
	// A and B are closest points on the two shapes (deepest ones in overlap).
	A, B kin.Vec
	// Normal is the unit direction from B's side to A's: moving A along it
	// increases the distance.
	Normal kin.Vec
}
