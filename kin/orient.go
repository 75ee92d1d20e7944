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
		return 0, pitch, math.Atan2(-r.Y.X, r.Y.Y)
	}
	// Roll is read off after yaw has been undone, not from the third row: near
	// the singularity both rows are small, and their rounding errors differ.
	yaw = math.Atan2(r.X.Y, r.X.X)
	sy, cy := math.Sincos(yaw)
	return math.Atan2(sy*r.Z.X-cy*r.Z.Y, cy*r.Y.Y-sy*r.Y.X), pitch, yaw
}
