package kin

import "math"

// Axis is an axis as a line in space: a revolute axis turns about the line, a
// prismatic one slides along it, both positive in the sense of Dir.
type Axis struct {
	Point, Dir Vec // a point on the line, mm; its direction, of any length but zero
	Prismatic  bool
}

// sameLine is the distance below which two parallel axes count as one line, mm,
// and as a share of how far apart their points are: the rounding of both.
const (
	sameLine      = 1e-10
	sameLineShare = 1e-14
)

// sameDirection is the sine below which two axes count as parallel. Turning an
// axis by a sine of s moves the flange by s times the size of the arm; keeping it
// costs 1e-16/s of the size, since the common normal lies that far away. They are
// equal at 1e-8.
const sameDirection = 1e-8

// FromAxes returns the chain whose axes, in its zero position, are the given
// lines, axis 1 first, and whose flange is then at the given pose; all in the
// outer frame. It is the same arm exactly: base, rows and flange are found from
// the common normals of neighbouring axes (J. Denavit and R. S. Hartenberg, 1955;
// the choice among the many equal ones is ours: frame 0 lies at the foot of the
// outer origin on axis 1, and of a parallel pair no offset is put between).
//
// Digits get lost where neighbours are almost but not quite parallel: as many as
// the sine of their angle has zeros, and at most half of them.
func FromAxes(axes [6]Axis, flange Pose) *Chain {
	base, rows, last := denavitHartenberg(axes, flange, sameDirection)
	return NewChain(base, rows, last)
}

// denavitHartenberg finds base, rows and flange for given axes. Neighbours with a
// sine below same are taken as parallel.
func denavitHartenberg(axes [6]Axis, flange Pose, same float64) (base Pose, rows [6]DH, last Pose) {
	for i := range axes {
		axes[i].Dir = axes[i].Dir.Unit()
	}
	base = axisBase(&axes[0])
	f := base
	for i := range rows {
		d := &rows[i]
		d.Prismatic = axes[i].Prismatic
		var next Pose
		if i < 5 {
			next = nextFrame(&f, &axes[i+1], d, same)
		} else {
			next = lastFrame(&f, &flange, d)
		}
		d.Offset = math.Atan2(f.R.X.Cross(next.R.X).Dot(f.R.Z), f.R.X.Dot(next.R.X))
		f = next
	}
	inv := f.Inv()
	return base, rows, inv.Mul(&flange)
}

// axisBase is frame 0: z along axis 1, x along the outer x as far as it is square
// to that (along the outer y where axis 1 lies along x).
func axisBase(a *Axis) Pose {
	z := a.Dir
	x := Vec{X: 1}.AddScaled(-z.X, z)
	if math.Abs(z.X) > 0.9 {
		x = Vec{Y: 1}.AddScaled(-z.Y, z)
	}
	x = x.Unit()
	return Pose{Rot{x, z.Cross(x), z}, a.Point.AddScaled(-a.Point.Dot(z), z)}
}

// nextFrame returns the frame on the next axis, whose x is the common normal from
// this frame's z to it, and fills A, Alpha and D of the row between.
func nextFrame(f *Pose, a *Axis, d *DH, same float64) Pose {
	z, n := f.R.Z, a.Dir
	across := a.Point.Sub(f.T)
	normal := z.Cross(n)
	sine := normal.Norm()
	if sine < same {
		w := across.AddScaled(-across.Dot(z), z)
		x := f.R.X
		if w.Norm() > math.Max(sameLine, sameLineShare*across.Norm()) {
			w = w.AddScaled(-w.Dot(z), z) // what rounding left along z
			x = w.Unit()
			d.A = across.Dot(x)
		}
		if z.Dot(n) < 0 {
			d.Alpha, n = math.Pi, z.Scale(-1)
		} else {
			n = z
		}
		return Pose{Rot{x, n.Cross(x), n}, f.T.AddScaled(d.A, x)}
	}
	x := normal.Scale(1 / sine)
	if a := across.Dot(x); a < -sameLine || math.Abs(a) <= sameLine && x.Dot(f.R.X) < 0 {
		x = x.Scale(-1)
	}
	// The common normal is the solution of across = D z + A x - t n. It is found
	// in the square frame (x, m, z), so that the three agree to the last digit
	// even where each of them is large.
	m := x.Cross(z)
	t := -across.Dot(m) / n.Dot(m)
	d.D = across.Dot(z) + t*n.Dot(z)
	d.A = across.Dot(x) + t*n.Dot(x)
	d.Alpha = math.Atan2(n.Dot(m), n.Dot(z))
	return Pose{Rot{x, n.Cross(x), n}, f.T.AddScaled(d.D, z).AddScaled(d.A, x)}
}

// lastFrame returns the last row's frame: z stays on axis 6, the origin at the foot of
// the flange's, and x along the flange's where both have one z.
func lastFrame(f, flange *Pose, d *DH) Pose {
	z := f.R.Z
	d.D = flange.T.Sub(f.T).Dot(z)
	x := f.R.X
	if flange.R.Z.Sub(z).Norm() < sameDirection {
		x = flange.R.X.AddScaled(-flange.R.X.Dot(z), z).Unit()
	}
	return Pose{Rot{x, z.Cross(x), z}, f.T.AddScaled(d.D, z)}
}
