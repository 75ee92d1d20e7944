package kin

import "math"

// polishAll takes every solution to the pose on the chain itself by Newton steps
// and drops those that don't get there.
func (v *Inverse) polishAll(worldFlange *Pose, out *Solutions) {
	n, failures := 0, 0
	var failed [MaxSolutions]Joints
	for i := range out.N {
		q := out.Q[i]
		if !v.newton(worldFlange, &q) {
			failed[failures] = out.Q[i]
			failures++
			continue
		}
		v.wrap(&q)
		if !repeated(&q, out.Q[:n], 1e-10) {
			out.Q[n], out.Config[n], out.Edge[n], out.Loose[n] = q, out.Config[i], out.Edge[i], out.Loose[i]
			n++
		}
	}
	out.N = n
	// Where two solutions are about to fall together, a start between them needs a
	// push to either side.
	state := uint64(0x9e3779b97f4a7c15)
	for i := range failures {
		q := failed[i]
		if !v.finish(worldFlange, &q, &state) {
			continue
		}
		v.wrap(&q)
		if !repeated(&q, out.Q[:out.N], 1e-6) {
			c, _ := v.ConfigOf(&q)
			out.add(&q, c, Config{}, false)
		}
	}
}

// repeated reports whether q is among others, mod 2 pi, to within tol.
func repeated(q *Joints, others []Joints, tol float64) bool {
	for i := range others {
		most := 0.0
		for a := range q {
			most = math.Max(most, math.Abs(math.Remainder(q[a]-others[i][a], 2*math.Pi)))
		}
		if most < tol {
			return true
		}
	}
	return false
}

// newton improves q until rounding stops it and reports whether it then reaches
// the target to within the tolerances.
func (v *Inverse) newton(target *Pose, q *Joints) bool {
	var f Frames
	var j Jacobian
	scale := 1 / v.size
	v.chain.Forward(q, &f)
	e, miss := poseError(&f[6], target, scale)
	for range 12 {
		if miss < 1e-16 {
			break
		}
		v.chain.JacobianAt(&f, f[6].T, &j)
		var m [6][7]float64
		for r := range 6 {
			for c := range 6 {
				m[r][c] = j[r][c]
				if r < 3 {
					m[r][c] *= scale
				}
			}
			m[r][6] = e[r]
		}
		d := solve6(&m)
		most := 0.0
		for _, x := range d {
			most = math.Max(most, math.Abs(x))
		}
		if !(most < 0.1) {
			for r := range 3 {
				for c := range 6 {
					j[r][c] *= scale
				}
			}
			d = dampedStep(&j, &e, 1e-9)
		}
		try := *q
		for i := range try {
			try[i] += d[i]
		}
		v.chain.Forward(&try, &f)
		e2, miss2 := poseError(&f[6], target, scale)
		if !(miss2 < miss) {
			v.chain.Forward(q, &f)
			break
		}
		*q, e, miss = try, e2, miss2
	}
	e, _ = poseError(&f[6], target, 1)
	return Vec{e[0], e[1], e[2]}.Norm() <= v.reached && Vec{e[3], e[4], e[5]}.Norm() <= 1e-12+10*(v.reached-reachTol)/v.size
}

// gather adds what solutions damped least squares finds from a number of starts.
func (v *Inverse) gather(worldFlange *Pose, seed *Joints, out *Solutions) {
	const starts = 40
	state := uint64(0x9e3779b97f4a7c15)
	q := *seed
	for range starts {
		if v.descend(worldFlange, &q, 1) <= 1e-3 && v.newton(worldFlange, &q) {
			v.wrap(&q)
			if !repeated(&q, out.Q[:out.N], 1e-6) {
				out.add(&q, Config{}, Config{}, false)
			}
		}
		v.restart(&state, &q)
	}
}
