package kin

import "math"

// hasSide reports whether the arm has the three alignments that Config and Room
// speak of.
func (v *Inverse) hasSide() bool {
	return v.family == SphericalWrist && v.ball.hasSide || v.family == Parallel234 && v.planar.hasSide()
}

// ConfigOf returns the configuration at q, false when the arm has none.
func (v *Inverse) ConfigOf(q *Joints) (Config, bool) {
	if !v.hasSide() {
		return Config{}, false
	}
	th := v.canonical(q)
	if v.family == Parallel234 {
		return v.planar.config(v.planar.alignments(&th)), true
	}
	return v.ball.config(v.ball.alignments(&th)), true
}

// Room is the distance of a configuration to the arm's alignments, for arms
// whose geometry has them.
type Room struct {
	Wrist    float64 // rad: axis 5 to the angle at which axis 6 lines up with axis 4, or with axes 2 to 4 where those are parallel
	Elbow    float64 // rad: axis 3 to stretched or folded
	Shoulder float64 // mm: wrist centre to the plane through axis 1 and the direction of axis 2

	HasWrist, HasElbow, HasShoulder bool
}

// Room measures the distance to each alignment at q, with the frames f that
// belong to it.
func (v *Inverse) Room(q *Joints, f *Frames) Room {
	th5 := q[4] + v.casing.off[4]
	if !v.hasSide() {
		if v.family == SphericalWrist {
			return Room{Wrist: toMultipleOfPi(th5), HasWrist: true}
		}
		return Room{}
	}
	r := Room{Wrist: toMultipleOfPi(th5), HasWrist: true, HasElbow: true, HasShoulder: true}
	elbow := q[2] + v.casing.off[2]
	centre := &f[5].T // where axes 5 and 6 meet
	if v.family == SphericalWrist {
		elbow += v.ball.phi.angle()
	}
	r.Elbow = toMultipleOfPi(elbow)
	if v.polish {
		// The core is what the alignments belong to, not quite the chain.
		th := v.canonical(q)
		front := 0.0
		if v.family == SphericalWrist {
			front, _, _ = v.ball.alignments(&th)
		} else {
			front, _, _ = v.planar.alignments(&th)
		}
		r.Shoulder = math.Abs(front)
		return r
	}
	r.Shoulder = math.Abs(centre.Sub(f[0].T).Dot(f[1].R.X))
	return r
}

// RoomRate bounds how fast the measures of [Inverse.Room] change: between two
// configurations a measure differs by at most the sum over the axes of
// rate[i] * |change of q[i]|. Where the arm lacks a measure its rates are 0.
//
// Wrist and elbow are distances of one angle to a fixed set of angles, which
// change by no more than the angle. The signed shoulder measure is
//
//	a1 + a2 cos(th2) + l cos(th2 +- th3 + const)                          spherical wrist
//	a1 + a2 cos(th2) + a3 cos(th2 +- th3) + e cos(th2 +- th3 +- th4 + const)  axes 2, 3, 4 parallel
//
// with l and e the lengths of the last link in the arm's plane, so its derivative
// by an axis is at most the sum of the lengths beyond that axis.
func (v *Inverse) RoomRate() (wrist, elbow, shoulder Joints) {
	switch {
	case v.family == SphericalWrist:
		wrist[4] = 1
		if v.hasSide() {
			elbow[2] = 1
			shoulder[1] = math.Abs(v.core.a[1]) + v.ball.l
			shoulder[2] = v.ball.l
		}
	case v.hasSide():
		wrist[4], elbow[2] = 1, 1
		shoulder[3] = v.planar.e
		shoulder[2] = v.planar.e + v.planar.l
		shoulder[1] = v.planar.e + v.planar.l + math.Abs(v.core.a[1])
	}
	return wrist, elbow, shoulder
}

// toMultipleOfPi returns the distance of an angle to the nearest multiple of pi.
func toMultipleOfPi(a float64) float64 { return math.Abs(math.Remainder(a, math.Pi)) }
