package shape

import "posework/kin/arm"

// OfLink returns the shape of a solid that a link carries, in that link's frame.
func OfLink(s *arm.Solid) Shape {
	switch s.Kind {
	case arm.Box:
		return Shape{Kind: Box, P: s.Place.T, Rot: s.Place.R, Half: s.Half}
	case arm.Cylinder:
		return Shape{Kind: Cylinder, P: s.Place.T, Rot: s.Place.R, R: s.Radius, Half: s.Half}
	case arm.Sphere:
		return Shape{Kind: Sphere, P: s.From, R: s.Radius}
	default:
		return Shape{Kind: Capsule, P: s.From, Q: s.To, R: s.Radius}
	}
}
