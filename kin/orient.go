package kin

import "math"

// FromRPY returns the rotation by roll about the fixed x axis, then pitch
// about the fixed y axis, then yaw about the fixed z axis (rad): the product
// Rz(yaw) Ry(pitch) Rx(roll).
func FromRPY(roll, pitch, yaw float64) Rot {
	sr, cr := math.Sincos(roll)
	sp, cp := math.Sincos(pitch)
	sy, cy := math.Sincos(yaw)
	return Rot{
		X: Vec{cy * cp, sy * cp, -sp},
		Y: Vec{cy*sp*sr - sy*cr, sy*sp*sr + cy*cr, cp * sr},
		Z: Vec{cy*sp*cr + sy*sr, sy*sp*cr - cy*sr, cp * cr},
	}
}

// rpySingular is the cosine of the pitch below which roll and yaw are taken to
// turn about the same axis. The entries that tell them apart are then smaller
// than the rounding of a rotation matrix times a few.
const rpySingular = 1e-14

// RPY returns roll, pitch and yaw (rad) with FromRPY(roll, pitch, yaw) equal to
// r: roll and yaw in (-pi, pi], pitch in [-pi/2, pi/2].
//
// At a pitch of plus or minus 90 degrees only yaw - roll (yaw + roll) is
// determined: the representation is singular there, the arm need not be. The
// answer then has roll 0 (P. Corke, Robotics, Vision and Control, 2.2).
func (r *Rot) RPY() (roll, pitch, yaw float64) {
	c := math.Hypot(r.X.X, r.X.Y)
	pitch = math.Atan2(-r.X.Z, c)
	if c < rpySingular {
		return 0, pitch, atan2(-r.Y.X, r.Y.Y)
	}
	// Roll is read off after yaw has been undone, not from the third row: near
	// the singularity both rows are small, and their rounding errors differ.
	yaw = atan2(r.X.Y, r.X.X)
	sy, cy := math.Sincos(yaw)
	return atan2(sy*r.Z.X-cy*r.Z.Y, cy*r.Y.Y-sy*r.Y.X), pitch, yaw
}

// atan2 is math.Atan2 with pi for -pi.
func atan2(y, x float64) float64 {
	if a := math.Atan2(y, x); a > -math.Pi || math.IsNaN(a) {
		return a
	}
	return math.Pi
}

// FromAxisAngle returns the rotation by angle (rad) about axis, which may have any
// length but zero: about a zero axis nothing turns.
func FromAxisAngle(axis Vec, angle float64) Rot {
	s, c := math.Sincos(angle / 2)
	u := axis.Unit().Scale(s)
	if u == (Vec{}) {
		return Identity
	}
	return quat{c, u.X, u.Y, u.Z}.rot()
}

// AxisAngle returns the axis, a unit vector, and the angle in [0, pi] of r. Where
// nothing turns every axis would do: the answer is z and 0. By pi, axis and
// opposite axis are the same rotation: the answer's last coordinate that is not
// zero is positive.
func (r *Rot) AxisAngle() (axis Vec, angle float64) {
	q := quatOf(r)
	v := Vec{q.X, q.Y, q.Z}
	s := math.Hypot(math.Hypot(q.X, q.Y), q.Z) // the squares of tiny turns underflow
	if s < 1e-300 {
		return Vec{Z: 1}, 0
	}
	return v.Scale(1 / s), 2 * math.Atan2(s, q.W)
}

// quat is a unit quaternion, W + X i + Y j + Z k: a rotation by the angle with
// cosine W of its half, about the direction of (X, Y, Z). A quaternion and its
// opposite are the same rotation. The zero value is none; see quatOf.
type quat struct{ W, X, Y, Z float64 }

// quatOf returns the quaternion of a rotation matrix, with W >= 0, and where W is
// 0 with the last coordinate that is not zero positive (S. W. Shepperd, 1978: the
// greatest of the four is found first, so nothing cancels).
func quatOf(r *Rot) quat {
	w := r.X.X + r.Y.Y + r.Z.Z
	x, y, z := 2*r.X.X-w, 2*r.Y.Y-w, 2*r.Z.Z-w
	// 4W^2 = 1 + w, 4X^2 = 1 + x, ...
	var q quat
	switch {
	case w >= x && w >= y && w >= z:
		q = quat{1 + w, r.Y.Z - r.Z.Y, r.Z.X - r.X.Z, r.X.Y - r.Y.X}
	case x >= y && x >= z:
		q = quat{r.Y.Z - r.Z.Y, 1 + x, r.X.Y + r.Y.X, r.Z.X + r.X.Z}
	case y >= z:
		q = quat{r.Z.X - r.X.Z, r.X.Y + r.Y.X, 1 + y, r.Y.Z + r.Z.Y}
	default:
		q = quat{r.X.Y - r.Y.X, r.Z.X + r.X.Z, r.Y.Z + r.Z.Y, 1 + z}
	}
	n := 1 / math.Sqrt(q.dot(q))
	if q.W < 0 || q.W == 0 && (q.Z < 0 || q.Z == 0 && (q.Y < 0 || q.Y == 0 && q.X < 0)) {
		n = -n
	}
	return quat{q.W * n, q.X * n, q.Y * n, q.Z * n}
}

func (q quat) dot(p quat) float64 { return q.W*p.W + q.X*p.X + q.Y*p.Y + q.Z*p.Z }

// rot returns the rotation matrix.
func (q quat) rot() Rot {
	xx, yy, zz := q.X*q.X, q.Y*q.Y, q.Z*q.Z
	xy, xz, yz := q.X*q.Y, q.X*q.Z, q.Y*q.Z
	wx, wy, wz := q.W*q.X, q.W*q.Y, q.W*q.Z
	return Rot{
		Vec{1 - 2*(yy+zz), 2 * (xy + wz), 2 * (xz - wy)},
		Vec{2 * (xy - wz), 1 - 2*(xx+zz), 2 * (yz + wx)},
		Vec{2 * (xz + wy), 2 * (yz - wx), 1 - 2*(xx+yy)},
	}
}
