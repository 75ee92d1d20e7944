package main

import (
	"errors"

	"posework/kin"
	"posework/kin/arm"
)

type armForwardCmd struct {
	armArg
}

// Help is shown by --help.
func (armForwardCmd) Help() string {
	return `Reads lines of {"axes": [six]} in degrees (mm for an axis that slides) and
answers each with the flange in the base frame:

  xyz       mm
  rpy       deg, rotations about the fixed x, then y, then z axis
  matrix    four rows of four
  room      what is left to the nearest limit of each axis, deg; negative outside
  singular  room to the alignments: wrist and elbow in deg, shoulder in mm (null
            where the arm has none), and smallest, the smallest singular value of
            the Jacobian at the flange with its linear rows divided by the reach

A line that is wrong gets {"error", "line"}, and the rest goes on.

Example:

  echo '{"axes": [0, 0, 0, 0, 90, 0]}' | posework arm forward hazel

Exit status: 0 all lines answered, 1 some were wrong, 2 no such arm.`
}

type forwardAnswer struct {
	XYZ      [3]float64    `json:"xyz"`
	RPY      [3]float64    `json:"rpy"`
	Matrix   [4][4]float64 `json:"matrix"`
	Room     [6]float64    `json:"room"`
	Singular singularRoom  `json:"singular"`
}

type singularRoom struct {
	Wrist    *float64 `json:"wrist"`
	Elbow    *float64 `json:"elbow"`
	Shoulder *float64 `json:"shoulder"`
	Smallest float64  `json:"smallest"`
}

// Run answers.
func (c *armForwardCmd) Run(s *session) error {
	m, err := s.loadArm(c.armArg)
	if err != nil {
		return err
	}
	return s.answerLines(func(line []byte) (any, error) {
		var in struct {
			Axes []float64 `json:"axes"`
		}
		if err := decodeLine(line, &in); err != nil {
			return nil, err
		}
		if in.Axes == nil {
			return nil, errors.New(`"axes" is missing`)
		}
		if err := count("axes", in.Axes, 6); err != nil {
			return nil, err
		}
		q := toAxes(m, in.Axes)
		return forward(m, &q), nil
	})
}

func forward(m *arm.Model, q *kin.Joints) forwardAnswer {
	var f kin.Frames
	m.Chain.Forward(q, &f)
	flange := &f[6]
	roll, pitch, yaw := flange.R.RPY()
	a := forwardAnswer{
		XYZ:    vec(flange.T),
		RPY:    [3]float64{positiveZero(kin.Deg(roll)), positiveZero(kin.Deg(pitch)), positiveZero(kin.Deg(yaw))},
		Matrix: matrix(flange),
	}
	for i, l := range m.Limits {
		a.Room[i] = axisUnit(m, i, min(q[i]-l.Min, l.Max-q[i]))
	}
	room := m.Inverse().Room(q, &f)
	measure := func(has bool, v float64) *float64 {
		if !has {
			return nil
		}
		return &v
	}
	var j kin.Jacobian
	m.Chain.JacobianAt(&f, flange.T, &j)
	smallest, _ := j.Smallest(m.Reach)
	a.Singular = singularRoom{
		Wrist:    measure(room.HasWrist, kin.Deg(room.Wrist)),
		Elbow:    measure(room.HasElbow, kin.Deg(room.Elbow)),
		Shoulder: measure(room.HasShoulder, room.Shoulder),
		Smallest: smallest,
	}
	return a
}

// matrix writes a pose as four rows.
func matrix(p *kin.Pose) [4][4]float64 {
	x, y, z, t := vec(p.R.X), vec(p.R.Y), vec(p.R.Z), vec(p.T)
	var m [4][4]float64
	for r := range 3 {
		m[r] = [4]float64{x[r], y[r], z[r], t[r]}
	}
	m[3][3] = 1
	return m
}
