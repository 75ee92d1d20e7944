package main

import (
	"errors"
	"fmt"
	"math"

	"posework/kin"
	"posework/kin/arm"
)

type armInverseCmd struct {
	armArg
}

// Help is shown by --help.
func (armInverseCmd) Help() string {
	return `Reads lines with a pose of the flange in the base frame, either
{"matrix": [four rows of four]} or {"xyz": [mm], "rpy": [deg]}, each with an
optional {"seed": [six axes]}, and answers:

  solutions  every solution mod 360 deg: axes in deg (mm for an axis that
             slides), within (some whole turns of it lie within the limits),
             config (shoulder, elbow, wrist; null where the arm has none) and
             free (a member of a continuous family: two axes can turn against
             each other with the flange at rest; the one nearest the seed)
  nearest    the answer nearest the seed (all axes at 0 without one): axes with
             whole turns chosen, within, and off, the mm by which it misses a
             pose that is out of reach

An arm without a closed form gets the one solution that was found.
A line that is wrong gets {"error", "line"}, and the rest goes on.

Example:

  echo '{"xyz": [480, 0, 795], "rpy": [180, 0, 0]}' | posework arm inverse hazel

Exit status: 0 all lines answered, 1 some were wrong, 2 no such arm.`
}

type inverseAnswer struct {
	Solutions []solution `json:"solutions"`
	Nearest   *nearest   `json:"nearest"`
}

type solution struct {
	Axes   [6]float64 `json:"axes"`
	Within bool       `json:"within"`
	Config *[3]string `json:"config"`
	Free   bool       `json:"free"`
}

type nearest struct {
	Axes   [6]float64 `json:"axes"`
	Within bool       `json:"within"`
	Off    float64    `json:"off"`
}

type inverseRequest struct {
	Matrix [][]float64 `json:"matrix"`
	XYZ    []float64   `json:"xyz"`
	RPY    []float64   `json:"rpy"`
	Seed   []float64   `json:"seed"`
}

// Run answers.
func (c *armInverseCmd) Run(s *session) error {
	m, err := s.loadArm(c.armArg)
	if err != nil {
		return err
	}
	return s.answerLines(func(line []byte) (any, error) {
		var in inverseRequest
		if err := decodeLine(line, &in); err != nil {
			return nil, err
		}
		flange, err := in.pose()
		if err != nil {
			return nil, err
		}
		var seed kin.Joints
		if in.Seed != nil {
			if err := count("seed", in.Seed, 6); err != nil {
				return nil, err
			}
			seed = toAxes(m, in.Seed)
		}
		return inverse(m, &flange, &seed), nil
	})
}

// pose reads the pose that was asked for.
func (in *inverseRequest) pose() (p kin.Pose, err error) {
	switch {
	case in.Matrix != nil && (in.XYZ != nil || in.RPY != nil):
		return p, errors.New(`give either "matrix" or "xyz" and "rpy"`)
	case in.Matrix != nil:
		return poseOfMatrix(in.Matrix)
	case in.XYZ == nil:
		return p, errors.New(`a pose is missing: "matrix", or "xyz" and "rpy"`)
	case in.RPY == nil:
		return p, errors.New(`"rpy" is missing beside "xyz"`)
	}
	if err := errors.Join(count("xyz", in.XYZ, 3), count("rpy", in.RPY, 3)); err != nil {
		return p, err
	}
	p.R = kin.FromRPY(kin.Rad(in.RPY[0]), kin.Rad(in.RPY[1]), kin.Rad(in.RPY[2]))
	p.T = kin.Vec{X: in.XYZ[0], Y: in.XYZ[1], Z: in.XYZ[2]}
	return p, nil
}

// poseOfMatrix reads four rows of four. The rotation must be one to within what
// rounding to six decimals does to it.
func poseOfMatrix(rows [][]float64) (p kin.Pose, err error) {
	if len(rows) != 4 {
		return p, fmt.Errorf(`"matrix" has %d rows, but 4 are needed`, len(rows))
	}
	for _, row := range rows {
		if err := count("matrix", row, 4); err != nil {
			return p, err
		}
	}
	if b := rows[3]; b[0] != 0 || b[1] != 0 || b[2] != 0 || b[3] != 1 {
		return p, errors.New(`the last row of "matrix" must be 0, 0, 0, 1`)
	}
	column := func(c int) kin.Vec { return kin.Vec{X: rows[0][c], Y: rows[1][c], Z: rows[2][c]} }
	p = kin.Pose{R: kin.Rot{X: column(0), Y: column(1), Z: column(2)}, T: column(3)}
	const tol = 1e-5
	x, y, z := p.R.X, p.R.Y, p.R.Z
	for _, off := range []float64{x.Dot(x) - 1, y.Dot(y) - 1, z.Dot(z) - 1, x.Dot(y), y.Dot(z), z.Dot(x)} {
		if math.Abs(off) > tol {
			return p, errors.New(`the first three columns of "matrix" are no rotation: their lengths must be 1 and their angles right`)
		}
	}
	if x.Cross(y).Dot(z) < 0 {
		return p, errors.New(`the first three columns of "matrix" are left-handed`)
	}
	// Square it up, so that rounding in the input is not taken for a miss.
	p.R.X = x.Scale(1 / x.Norm())
	z = p.R.X.Cross(y)
	p.R.Z = z.Scale(1 / z.Norm())
	p.R.Y = p.R.Z.Cross(p.R.X)
	return p, nil
}

func inverse(m *arm.Model, flange *kin.Pose, seed *kin.Joints) inverseAnswer {
	var s kin.Solutions
	m.Inverse().Solve(flange, seed, &s)
	a := inverseAnswer{Solutions: []solution{}}
	if s.Residual == 0 {
		var copies []kin.Joints
		for i := range s.N {
			copies = m.Copies(&s.Q[i], copies[:0])
			sol := solution{Axes: fromAxes(m, &s.Q[i]), Within: len(copies) > 0, Free: s.Loose[i]}
			if s.HasConfig {
				words := s.Config[i].Words()
				sol.Config = &words
			}
			a.Solutions = append(a.Solutions, sol)
		}
	}
	q, miss := m.Nearest(flange, seed, nil)
	if math.IsInf(miss.By, 1) {
		return a // nothing was found at all
	}
	_, _, within := m.Within(&q)
	n := nearest{Axes: fromAxes(m, &q), Within: within}
	if miss.Reason == arm.OutOfReach {
		n.Off = miss.By
	}
	a.Nearest = &n
	return a
}
