// Package shape measures distances between convex solids: capsules, boxes,
// cylinders, spheres and half-spaces.
//
// [Between] gives the signed distance of two shapes with closest points and the
// direction between them: where they are apart the least distance of their
// surfaces, in overlap the size of the shortest translation that parts them.
// Any two kinds are possible but two half-spaces. Both shapes are written in the
// same frame, whichever it is; lengths are mm. Nothing here knows about motion:
// package sweep does.
//
// # How exact
//
// Pairs of spheres, capsules, boxes and half-spaces are closed forms, or for
// disjoint boxes a search that ends at a vertex, edge or face: exact but for
// rounding, about 1e-12 mm for solids of a metre (1e-8 mm within 1e-8 mm of
// touching). A sphere, capsule or half-space against a cylinder is as exact
// while they are apart. A box or cylinder against a cylinder, and any overlap
// with one, is a search that ends when lower and upper bound agree to 1e-12 mm
// apart and 1e-10 mm in overlap; rounding can stop it 1e-5 mm short in the
// worst places, such as caps tilted by 1e-9 rad against each other, and 1e-4 mm
// deep in overlap, where the depth is then too large, never too small. Closest
// points are within 2e-5 mm of the surfaces.
//
// Functions allocate nothing, keep no state and are deterministic.
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
