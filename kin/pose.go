package kin

// Rot is a rotation matrix kept as its columns: the x, y and z axes of the
// inner frame written in the outer frame. The zero value is not a rotation;
// use [Identity].
type Rot struct{ X, Y, Z Vec }

// Identity is the rotation that turns nothing.
var Identity = Rot{Vec{1, 0, 0}, Vec{0, 1, 0}, Vec{0, 0, 1}}

// Apply turns v: coordinates in the inner frame become coordinates in the
// outer one.
func (r *Rot) Apply(v Vec) Vec {
	return Vec{
		r.X.X*v.X + r.Y.X*v.Y + r.Z.X*v.Z,
		r.X.Y*v.X + r.Y.Y*v.Y + r.Z.Y*v.Z,
		r.X.Z*v.X + r.Y.Z*v.Y + r.Z.Z*v.Z,
	}
}

// ApplyInv turns v back: coordinates in the outer frame become coordinates in
// the inner one.
func (r *Rot) ApplyInv(v Vec) Vec { return Vec{r.X.Dot(v), r.Y.Dot(v), r.Z.Dot(v)} }

// Mul returns the product r * s.
func (r *Rot) Mul(s *Rot) Rot { return Rot{r.Apply(s.X), r.Apply(s.Y), r.Apply(s.Z)} }

// Inv returns the inverse, which is the transpose.
func (r *Rot) Inv() Rot {
	return Rot{
		Vec{r.X.X, r.Y.X, r.Z.X},
		Vec{r.X.Y, r.Y.Y, r.Z.Y},
		Vec{r.X.Z, r.Y.Z, r.Z.Z},
	}
}

// Pose is a position and an orientation: the place of one frame in another,
// equally the map from the inner frame's coordinates to the outer one's. The
// zero value is not a pose; use [IdentityPose].
type Pose struct {
	R Rot // orientation
	T Vec // position of the inner origin in the outer frame, mm
}

// IdentityPose is the frame that coincides with its outer frame.
var IdentityPose = Pose{R: Identity}

// Apply maps a point from the inner to the outer frame.
func (p *Pose) Apply(v Vec) Vec { return p.R.Apply(v).Add(p.T) }

// ApplyInv maps a point from the outer to the inner frame.
func (p *Pose) ApplyInv(v Vec) Vec { return p.R.ApplyInv(v.Sub(p.T)) }

// Mul returns the product p * q: aB.Mul(&bC) is aC.
func (p *Pose) Mul(q *Pose) Pose { return Pose{p.R.Mul(&q.R), p.Apply(q.T)} }

// Inv returns the inverse pose: aB.Inv() is bA.
func (p *Pose) Inv() Pose {
	r := p.R.Inv()
	return Pose{r, r.Apply(p.T).Scale(-1)}
}
