// Package solid reads solids from files: one of box, cylinder, capsule, sphere
// and half-space with its sizes, and the pose that puts it in its place.
//
// It serves cell files, whose solids stand in the world or ride on a tool, and
// arm files, whose solids ride on a link. It knows neither frames nor links:
// callers place what [Shape] returns. Lengths are mm, angles rad once read.
package solid

import (
	"strings"

	"posework/engine/diag"
	"posework/engine/shape"
	"posework/engine/source"
	"posework/kin"
)

// The sizes of a solid, and how far from an origin it may be, mm.
const (
	MinMM = 0.01
	MaxMM = 100_000
)

// Codes holds the kinds of diagnostic that this package raises, by ID.
var Codes = []diag.Code{
	{
		ID: "S001", Title: "length out of range",
		Meaning: "Solids measure from 0.01 mm to 100000 mm, and no coordinate is beyond 100000 mm: no arm reaches farther, so the digits are wrong.",
		Bad:     "box: [300, 200, 0]", Good: "box: [300, 200, 150]",
	},
	{
		ID: "S002", Title: "not one shape",
		Meaning: "A solid has exactly one of the shapes box, cylinder, capsule, sphere and half-space.",
		Bad:     "{name: crate, xyz: [0, 0, 75]}", Good: "{name: crate, box: [300, 200, 150], xyz: [0, 0, 75]}",
	},
	{
		ID: "S003", Title: "solid without an end",
		Meaning: "A half-space has no end. It can be a wall of the cell, but nothing that moves.",
		Bad:     "parts: [{name: tile-1, half-space: on, ...}]", Good: "parts: [{name: tile-1, box: [120, 60, 12], ...}]",
	},
}

// kinds are the keys that say what shape a solid has.
var kinds = [...]string{"box", "cylinder", "capsule", "sphere", "half-space"}

// Shape reads the shape of a solid, in the solid's own frame: box, cylinder and
// sphere about its origin, a capsule where its ends say, a half-space below its
// XY plane. It asks for the keys of shapes; the caller closes the mapping.
func Shape(n *source.Node) shape.Shape {
	m := n.Map()
	var found []string
	for _, key := range kinds {
		if m.Has(key) {
			found = append(found, key)
		}
	}
	s := shape.Shape{Kind: shape.Sphere, Rot: kin.Identity}
	if len(found) != 1 {
		for _, key := range kinds {
			m.Get(key)
		}
		if m.Misspelt(kinds[:]...) {
			return s
		}
		if len(found) == 0 {
			n.Errorf("S002", "write one of "+strings.Join(kinds[:], ", "), "%s has no shape", n.Label())
			return s
		}
		n.Errorf("S002", "keep one of them", "%s has %s, but one shape is needed", n.Label(), strings.Join(found, " and "))
		return s
	}
	v := m.Get(found[0])
	switch found[0] {
	case "box":
		s.Kind = shape.Box
		edges := v.Vec()
		Extent(v, edges.X, edges.Y, edges.Z)
		s.Half = edges.Scale(0.5)
	case "cylinder":
		s.Kind = shape.Cylinder
		f := v.Map()
		s.R = radius(f)
		height := f.Need("height")
		s.Half.Z = height.MM() / 2
		Extent(height, 2*s.Half.Z)
		f.Close()
	case "capsule":
		s.Kind = shape.Capsule
		f := v.Map()
		s.R = radius(f)
		from, to := f.Need("from"), f.Need("to")
		s.P, s.Q = from.Vec(), to.Vec()
		Coordinate(from, s.P.X, s.P.Y, s.P.Z)
		Coordinate(to, s.Q.X, s.Q.Y, s.Q.Z)
		f.Close()
	case "sphere":
		f := v.Map()
		s.R = radius(f)
		f.Close()
	case "half-space":
		s.Kind = shape.HalfSpace
		v.Check(v.OnOff(), "S002", "write half-space: on", "half-space is off, but the solid has no other shape")
	}
	return s
}

// Bounded reports a half-space, which nothing can carry.
func Bounded(n *source.Node, s *shape.Shape) {
	n.Check(s.Kind != shape.HalfSpace, "S003", "use a box", "a half-space has no end, and can't be carried")
}

func radius(m *source.Map) float64 {
	n := m.Need("radius")
	r := n.MM()
	Extent(n, r)
	return r
}

// Extent reports a size outside [MinMM, MaxMM].
func Extent(n *source.Node, mm ...float64) {
	for _, v := range mm {
		n.Check(v >= MinMM, "S001", "write a size in mm", "%s is %g mm, but the least size of a solid is %g mm", n.Label(), v, MinMM)
		n.Check(v <= MaxMM, "S001", "write a size in mm", "%s is %g mm, but the greatest size of a solid is %d mm", n.Label(), v, MaxMM)
	}
}

// Coordinate reports a coordinate beyond MaxMM.
func Coordinate(n *source.Node, mm ...float64) {
	for _, v := range mm {
		n.Check(v >= -MaxMM && v <= MaxMM, "S001", "check the digits", "%s holds %g mm, but nothing is read that lies beyond %d mm", n.Label(), v, MaxMM)
	}
}

// Pose reads a pose from its two values; either may be absent, which leaves it
// at the origin or unturned.
func Pose(xyz, rpy *source.Node) kin.Pose {
	t, a := xyz.Vec(), rpy.Degs()
	Coordinate(xyz, t.X, t.Y, t.Z)
	return kin.Pose{R: kin.FromRPY(a.X, a.Y, a.Z), T: t}
}
