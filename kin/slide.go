package kin

import "math"

// slide takes q to the place next to it where the flange comes nearest to the target
// with the target's orientation kept, and returns the distance that is left, mm. It
// reports false, and leaves q alone, where the orientation can't be reached from q.
//
// Far from the target the distance curves by more than the arm's own least squares
// know, and their steps creep. These are Newton's on the surface of configurations
// with the orientation: the second derivatives of the distance and of the orientation,
// the latter weighed by their Lagrange multipliers, in the plane that touches the
// surface (sequential quadratic programming with a reduced Hessian; J. Nocedal and
// S. Wright, Numerical Optimization, 2nd edition, 2006, 18.3). Along a direction in
// which the distance falls off to both sides, it goes to one of them.
func (v *Inverse) slide(target *Pose, q *Joints) (miss float64, ok bool) {
	var s surface
	now := *q
	if !v.restore(target, &now, &s.f) {
		return 0, false
	}
	miss = target.T.Sub(s.f[6].T).Norm()
	fresh := true
	for damp := 0.0; damp < 1e6; {
		if fresh {
			v.measure(target, &s)
		}
		step, fall := s.step(damp)
		if !(fall > 1e-14*s.e.Norm2()) {
			break // neither slope nor curvature leads on
		}
		try := now
		for i := range try {
			try[i] += step[i] * s.unit[i]
		}
		var f Frames
		m := math.Inf(1)
		if v.restore(target, &try, &f) {
			m = target.T.Sub(f[6].T).Norm()
		}
		if fresh = m < miss; fresh {
			now, s.f, miss = try, f, m
			damp /= 10
		} else {
			damp = max(10*damp, 1e-3)
		}
	}
	*q = now
	return miss, true
}

// restore takes q to the target's orientation on the shortest way, by Newton steps,
// and fills in the frames there.
func (v *Inverse) restore(target *Pose, q *Joints, f *Frames) bool {
	least := math.Inf(1)
	for range 30 {
		v.chain.Forward(q, f)
		e, off := poseError(&f[6], target, 0)
		if off <= 1e-13 || off <= 1e-11 && off >= least/2 {
			return true
		}
		if !(off < least) {
			return false
		}
		least = off
		var w [6]Vec
		for i := range w {
			if !v.chain.rows[i].Prismatic {
				w[i] = f[i].R.Z
			}
		}
		a := gram(&w)
		x := solveSteps(&a, Vec{e[3], e[4], e[5]})
		for i := range q {
			q[i] += w[i].Dot(x)
		}
	}
	return false
}

// gram returns the columns of the sum of w w^T.
func gram(w *[6]Vec) (a [3]Vec) {
	for _, x := range w {
		a[0] = a[0].AddScaled(x.X, x)
		a[1] = a[1].AddScaled(x.Y, x)
		a[2] = a[2].AddScaled(x.Z, x)
	}
	return a
}

// surface is how half the square of the distance to the target changes along the
// surface of an orientation: to first order by g, to second by h. Lengths are in units
// of the arm's size, and so are prismatic axes.
type surface struct {
	f    Frames
	e    Vec // from the flange to the target
	unit Joints
	g    [6]float64
	h    [6][6]float64 // after diagonalize: eigenvalues on the diagonal
	axes [6][6]float64 // and eigenvectors as rows
}

// measure fills in the surface at the frames.
func (v *Inverse) measure(target *Pose, s *surface) {
	per := 1 / v.size
	p := s.f[6].T
	s.e = target.T.Sub(p).Scale(per)
	var move, w [6]Vec // of the flange, by each axis
	for i := range move {
		z := s.f[i].R.Z
		if v.chain.rows[i].Prismatic {
			move[i], s.unit[i] = z, v.size
		} else {
			move[i], w[i], s.unit[i] = z.Cross(p.Sub(s.f[i].T)).Scale(per), z, 1
		}
		s.g[i] = -move[i].Dot(s.e)
	}
	// The multipliers: what of g the orientation holds against.
	a := gram(&w)
	var b Vec
	for i := range w {
		b = b.AddScaled(-s.g[i], w[i])
	}
	mu := solveSteps(&a, b)
	for i := range w {
		// A turn of axis i carries all later axes along.
		for j := i; j < 6; j++ {
			turned := w[i].Cross(move[j])
			c := mu.Dot(w[i].Cross(w[j])) / 2
			s.h[i][j] = move[i].Dot(move[j]) - s.e.Dot(turned) + c
			s.h[j][i] = s.h[i][j]
		}
	}
	s.keep(&w)
	s.diagonalize()
}

// keep takes out of the surface the directions that change the orientation.
func (s *surface) keep(w *[6]Vec) {
	rows := [3][6]float64{}
	for i, x := range w {
		rows[0][i], rows[1][i], rows[2][i] = x.X, x.Y, x.Z
	}
	for k := range rows {
		// The longest of the rest (pivoted Gram and Schmidt, done twice).
		for range 2 {
			for i := k; i < 3; i++ {
				for j := range k {
					project(&rows[i], &rows[j])
				}
			}
		}
		for i := k + 1; i < 3; i++ {
			if dot6(&rows[i], &rows[i]) > dot6(&rows[k], &rows[k]) {
				rows[i], rows[k] = rows[k], rows[i]
			}
		}
		n := math.Sqrt(dot6(&rows[k], &rows[k]))
		if n < 1e-9 {
			return
		}
		for i := range rows[k] {
			rows[k][i] /= n
		}
		// h becomes (1 - u u^T) h (1 - u u^T)
		u := &rows[k]
		project(&s.g, u)
		for i := range s.h {
			project(&s.h[i], u)
		}
		s.transpose()
		for i := range s.h {
			project(&s.h[i], u)
		}
	}
}

func (s *surface) transpose() {
	for i := range s.h {
		for j := range i {
			s.h[i][j], s.h[j][i] = s.h[j][i], s.h[i][j]
		}
	}
}

func dot6(a, b *[6]float64) (sum float64) {
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// project takes off x what lies along the unit vector u.
func project(x, u *[6]float64) {
	d := dot6(x, u)
	for i := range x {
		x[i] -= d * u[i]
	}
}

// diagonalize finds the eigenvalues and eigenvectors of h by rotations (C. Jacobi,
// 1846).
func (s *surface) diagonalize() {
	s.axes = [6][6]float64{}
	for i := range s.axes {
		s.axes[i][i] = 1
	}
	for range 12 {
		rest, all := 0.0, 0.0
		for i := range 6 {
			all += math.Abs(s.h[i][i])
			for j := range i {
				rest += math.Abs(s.h[i][j])
			}
		}
		if rest <= 1e-15*all {
			return
		}
		for i := range 6 {
			for j := range i {
				s.rotate(i, j)
			}
		}
	}
}

// rotate makes h[i][j] vanish.
func (s *surface) rotate(i, j int) {
	x := s.h[i][j]
	if x == 0 {
		return
	}
	half := (s.h[j][j] - s.h[i][i]) / (2 * x)
	t := 1 / (math.Abs(half) + math.Sqrt(half*half+1))
	if half < 0 {
		t = -t
	}
	c := 1 / math.Sqrt(t*t+1)
	sn := t * c
	for k := range 6 {
		a, b := s.h[k][i], s.h[k][j]
		s.h[k][i], s.h[k][j] = c*a-sn*b, sn*a+c*b
	}
	for k := range 6 {
		a, b := s.h[i][k], s.h[j][k]
		s.h[i][k], s.h[j][k] = c*a-sn*b, sn*a+c*b
		a, b = s.axes[i][k], s.axes[j][k]
		s.axes[i][k], s.axes[j][k] = c*a-sn*b, sn*a+c*b
	}
}

// step returns the step to the lowest place of the surface, or downhill where it has
// none, and by how much it should fall. damp, in units of the greatest curvature,
// shortens it.
func (s *surface) step(damp float64) (d [6]float64, fall float64) {
	most := 0.0
	for i := range s.h {
		most = max(most, math.Abs(s.h[i][i]))
	}
	damp *= most
	for i := range s.axes {
		u := &s.axes[i]
		g, bend := dot6(&s.g, u), s.h[i][i]
		x := 0.0
		if hard := math.Abs(bend) + damp; hard > 1e-12*most {
			x = -g / hard
		}
		x = max(-0.3, min(0.3, x))
		if bend < -1e-9*most && math.Abs(x) < 1e-3 {
			// The top of a ridge.
			x = math.Copysign(0.1*most/(most+10*damp), x)
		}
		fall -= x * (g + x*bend/2)
		for k := range d {
			d[k] += x * u[k]
		}
	}
	return d, fall
}
