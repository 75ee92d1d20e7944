package kin

import "math"

// solveNumerical finds one solution by damped least squares from the seed, with
// deterministic restarts.
func (v *Inverse) solveNumerical(worldFlange *Pose, seed *Joints, out *Solutions) {
	const restarts = 60
	best := math.Inf(1)
	state := uint64(0x9e3779b97f4a7c15)
	q := *seed
	for range restarts {
		if miss := v.descend(worldFlange, &q); miss < best {
			best = miss
			out.Q[0] = q
		}
		if best <= reachTol {
			break
		}
		for i := range q {
			state ^= state << 13
			state ^= state >> 7
			state ^= state << 17
			q[i] = (float64(state>>11)/(1<<53)*2 - 1) * math.Pi
			if v.chain.rows[i].Prismatic {
				q[i] *= v.k.size / math.Pi
			}
		}
	}
	out.N = 1
	for i := range out.Q[0] {
		if !v.chain.rows[i].Prismatic {
			out.Q[0][i] = wrapAngle(out.Q[0][i])
		}
	}
	if best > reachTol {
		out.Residual = best
	}
}

// descend walks from q to a pose that can't be improved and returns by how much
// it misses: mm, with rotations in rad times the arm's size.
func (v *Inverse) descend(target *Pose, q *Joints) float64 {
	scale := 1 / math.Max(v.k.size, 1)
	lambda := 1e-3
	var f Frames
	var j Jacobian
	v.chain.Forward(q, &f)
	e, miss := poseError(&f[6], target, scale)
	for range 100 {
		if miss < 1e-15 || lambda > 1e9 {
			break
		}
		v.chain.JacobianAt(&f, f[6].T, &j)
		for r := range 3 {
			for c := range 6 {
				j[r][c] *= scale
			}
		}
		var m [6][7]float64
		for r := range 6 {
			for c := range 6 {
				for i := range 6 {
					m[r][c] += j[i][r] * j[i][c]
				}
			}
			for i := range 6 {
				m[r][6] += j[i][r] * e[i]
			}
			m[r][r] += lambda
		}
		d := solve6(&m)
		try := *q
		for i := range try {
			try[i] += d[i]
		}
		v.chain.Forward(&try, &f)
		e2, miss2 := poseError(&f[6], target, scale)
		if miss2 < miss {
			*q, e, miss = try, e2, miss2
			lambda = math.Max(lambda/8, 1e-16)
		} else {
			lambda *= 10
			v.chain.Forward(q, &f)
		}
	}
	return miss * v.k.size
}

// poseError returns the change that takes from to to: translation times scale,
// then rotation vector.
func poseError(from, to *Pose, scale float64) ([6]float64, float64) {
	t := to.T.Sub(from.T).Scale(scale)
	w := from.R.X.Cross(to.R.X).Add(from.R.Y.Cross(to.R.Y)).Add(from.R.Z.Cross(to.R.Z)).Scale(0.5)
	s := w.Norm()
	c := (from.R.X.Dot(to.R.X) + from.R.Y.Dot(to.R.Y) + from.R.Z.Dot(to.R.Z) - 1) / 2
	if angle := math.Atan2(s, c); s > 0 {
		w = w.Scale(angle / s)
	} else if c < 0 {
		w = Vec{math.Pi, 0, 0}
	}
	return [6]float64{t.X, t.Y, t.Z, w.X, w.Y, w.Z}, math.Sqrt(t.Norm2() + w.Norm2())
}

// solve6 solves a positive definite system by Gaussian elimination.
func solve6(m *[6][7]float64) [6]float64 {
	var x [6]float64
	for i := range 6 {
		for r := i + 1; r < 6; r++ {
			g := m[r][i] / m[i][i]
			for c := i; c < 7; c++ {
				m[r][c] -= g * m[i][c]
			}
		}
	}
	for i := 5; i >= 0; i-- {
		s := m[i][6]
		for c := i + 1; c < 6; c++ {
			s -= m[i][c] * x[c]
		}
		x[i] = s / m[i][i]
	}
	return x
}
