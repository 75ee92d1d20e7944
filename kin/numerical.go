package kin

import "math"

// search finds one solution by damped least squares from the seed, with
// deterministic restarts, or else the nearest approach. Of 2,000 reachable poses of
// random arms with six revolute axes it finds all, as many with prismatic ones; the
// test holds it to 99.9 and 99 %.
func (v *Inverse) search(worldFlange *Pose, seed *Joints, out *Solutions) {
	const restarts = 60
	state := uint64(0x9e3779b97f4a7c15)
	q := *seed
	for range restarts {
		if v.descend(worldFlange, &q, 1) <= 1e-2 && v.finish(worldFlange, &q, &state) {
			v.wrap(&q)
			out.N, out.Q[0], out.Complete = 1, q, false
			out.Config[0], out.HasConfig = v.ConfigOf(&q)
			out.Edge[0], out.Loose[0] = Config{}, false
			return
		}
		v.restart(&state, &q)
	}
	v.approach(worldFlange, seed, out)
}

// finish takes a near miss to the target. Near a singularity the squared equations
// of the descent lose the last digits, where Newton's don't; and midway between two
// solutions about to fall together both stand still, so that small kicks must help.
func (v *Inverse) finish(worldFlange *Pose, q *Joints, state *uint64) bool {
	if v.newton(worldFlange, q) {
		return true
	}
	for size := 1e-4; size < 0.1; size *= 10 {
		for range 2 {
			var kick Joints
			v.restart(state, &kick)
			try := *q
			for i := range try {
				try[i] += size * kick[i]
			}
			if v.newton(worldFlange, &try) {
				*q = try
				return true
			}
		}
	}
	return false
}

// restart draws the next starting configuration, the same ones every time
// (xorshift, G. Marsaglia, 2003).
func (v *Inverse) restart(state *uint64, q *Joints) {
	for i := range q {
		*state ^= *state << 13
		*state ^= *state >> 7
		*state ^= *state << 17
		q[i] = (float64(*state>>11)/(1<<53)*2 - 1) * math.Pi
		if v.chain.rows[i].Prismatic {
			q[i] *= v.size / math.Pi
		}
	}
}

func (v *Inverse) wrap(q *Joints) {
	for i := range q {
		if !v.chain.rows[i].Prismatic {
			q[i] = wrapAngle(q[i])
		}
	}
}

// approach finds the nearest approach to a pose out of reach: from some starts, least
// squares of position and orientation until slide can take over, which keeps the
// orientation. Where the arm can't take it, it counts as heavily as it may.
func (v *Inverse) approach(worldFlange *Pose, seed *Joints, out *Solutions) {
	const starts = 12
	best := math.Inf(1)
	state := uint64(0x2545f4914f6cdd1d)
	q := *seed
	for range starts {
		// The orientation gains weight in stages, until it can be kept: at once it
		// would make a valley too narrow to walk along.
		miss, kept := 0.0, false
		for weight := 1.0; weight <= 1e3 && !kept; weight *= 10 {
			miss = v.descend(worldFlange, &q, weight)
			if m, ok := v.slide(worldFlange, &q); ok {
				miss, kept = m, true
			}
		}
		if miss < best {
			best = miss
			out.Q[0] = q
		}
		v.restart(&state, &q)
	}
	out.N = 1
	v.wrap(&out.Q[0])
	out.Config[0], out.HasConfig = v.ConfigOf(&out.Q[0])
	out.Edge[0], out.Loose[0] = Config{}, false
	if best > v.reached {
		out.Residual = best
	}
	out.Complete = false
}

// descend walks from q to a pose that can't be improved (D. Marquardt, 1963) and
// returns by how much it misses: mm, with rotations in rad times the arm's size.
// Rotations count weight times more than that on the way.
func (v *Inverse) descend(target *Pose, q *Joints, weight float64) float64 {
	scale := 1 / math.Max(v.size*weight, 1)
	lambda := 1e-3
	var f Frames
	var j Jacobian
	v.chain.Forward(q, &f)
	e, miss := poseError(&f[6], target, scale)
	for range 200 {
		if miss < 1e-16 || lambda > 1e12 {
			break
		}
		v.chain.JacobianAt(&f, f[6].T, &j)
		for r := range 3 {
			for c := range 6 {
				j[r][c] *= scale
			}
		}
		d := dampedStep(&j, &e, lambda)
		try := *q
		for i := range try {
			try[i] += d[i]
		}
		v.chain.Forward(&try, &f)
		e2, miss2 := poseError(&f[6], target, scale)
		if miss2 < miss {
			small := miss-miss2 < 1e-14*miss
			*q, e, miss = try, e2, miss2
			lambda = math.Max(lambda/8, 1e-16)
			if small {
				break
			}
		} else {
			lambda *= 10
			v.chain.Forward(q, &f)
		}
	}
	v.chain.Forward(q, &f)
	e, _ = poseError(&f[6], target, 1)
	t := Vec{e[0], e[1], e[2]}
	return math.Hypot(t.Norm(), Vec{e[3], e[4], e[5]}.Norm()*v.size)
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

// dampedStep solves (J^T J + lambda D) d = J^T e, D the diagonal of J^T J.
func dampedStep(j *Jacobian, e *[6]float64, lambda float64) [6]float64 {
	var m [6][7]float64
	most := 0.0
	for r := range 6 {
		for c := range 6 {
			for i := range 6 {
				m[r][c] += j[i][r] * j[i][c]
			}
		}
		for i := range 6 {
			m[r][6] += j[i][r] * e[i]
		}
		most = math.Max(most, m[r][r])
	}
	for r := range 6 {
		m[r][r] += lambda * (m[r][r] + 1e-6*most)
	}
	return solve6(&m)
}

// solve6 solves a system by Gaussian elimination with partial pivoting.
func solve6(m *[6][7]float64) [6]float64 {
	var x [6]float64
	for i := range 6 {
		p := i
		for r := i + 1; r < 6; r++ {
			if math.Abs(m[r][i]) > math.Abs(m[p][i]) {
				p = r
			}
		}
		m[i], m[p] = m[p], m[i]
		if m[i][i] == 0 {
			m[i][i] = 1e-300
		}
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
