package kin

import "math"

// Joints holds the positions of the six axes of an arm, axis 1 (next to the
// base) first: radians for a revolute axis, mm for a prismatic one.
type Joints [6]float64

// DH is one row of standard (distal) Denavit-Hartenberg parameters. The link
// transform is Rz(q+Offset) Tz(D) Tx(A) Rx(Alpha) for a revolute axis and
// Rz(Offset) Tz(q+D) Tx(A) Rx(Alpha) for a prismatic one.
//
// J. Denavit and R. S. Hartenberg, 1955; the form and the letters follow
// J. J. Craig, Introduction to Robotics, and P. Corke, Robotics, Vision and
// Control (standard convention).
type DH struct {
	A, Alpha, D, Offset float64 // mm, rad, mm, rad
	Prismatic           bool
}

// Chain is a serial arm of six axes. It is immutable after [NewChain].
type Chain struct {
	base   Pose // pose of the arm's base in the frame that results are wanted in
	rows   [6]DH
	flange Pose // from the last link frame to the flange
	bare   bool // flange is the last row's frame
	ca, sa [6]float64
	inv    *Inverse
}

// NewChain builds a chain from its six rows. base places the arm's base frame
// in the frame that results are wanted in (the world frame of a cell); flange
// is a constant transform after the last row, [IdentityPose] for an arm given
// by its rows alone.
func NewChain(base Pose, rows [6]DH, flange Pose) *Chain {
	c := bareChain(base, rows, flange)
	c.inv = NewInverse(c)
	return c
}

// bareChain is NewChain without the inverse.
func bareChain(base Pose, rows [6]DH, flange Pose) *Chain {
	c := &Chain{base: base, rows: rows, flange: flange, bare: flange == IdentityPose}
	for i := range rows {
		c.sa[i], c.ca[i] = math.Sincos(rows[i].Alpha)
		// Right angles are exact: cos(pi/2) is 6e-17 in floating point, which
		// would tilt every later axis by it.
		if math.Abs(c.ca[i]) < 1e-15 {
			c.ca[i] = 0
		}
		if math.Abs(c.sa[i]) < 1e-15 {
			c.sa[i] = 0
		}
	}
	return c
}

// Inverse returns the solver of the chain's inverse kinematics.
func (c *Chain) Inverse() *Inverse { return c.inv }

// Prismatic reports whether axis i (from 0) slides.
func (c *Chain) Prismatic(i int) bool { return c.rows[i].Prismatic }

// WithBase returns the same arm mounted elsewhere.
func (c *Chain) WithBase(base Pose) *Chain { return NewChain(base, c.rows, c.flange) }

// Base returns the pose of the arm's base frame.
func (c *Chain) Base() Pose { return c.base }

// Rows returns the Denavit-Hartenberg rows.
func (c *Chain) Rows() [6]DH { return c.rows }

// Flange returns the constant transform from the last row's frame to the flange.
func (c *Chain) Flange() Pose { return c.flange }

// Frames holds the pose of the base and of every link frame: [0] the base,
// [i] the frame carried by axis i, and [6] the flange (ISO 9787: the
// mechanical interface). Axis i turns about, or slides along, the z axis of
// frame i-1.
type Frames [7]Pose

// Forward computes every link frame at q.
func (c *Chain) Forward(q *Joints, f *Frames) {
	f[0] = c.base
	for i := range c.rows {
		d := &c.rows[i]
		theta, slide := q[i]+d.Offset, d.D
		if d.Prismatic {
			theta, slide = d.Offset, d.D+q[i]
		}
		t := turnOf(theta)
		p, n := &f[i], &f[i+1]
		n.R.X = p.R.X.Scale(t.c).AddScaled(t.s, p.R.Y)
		y := p.R.Y.Scale(t.c).AddScaled(-t.s, p.R.X)
		n.T = p.T.AddScaled(slide, p.R.Z).AddScaled(d.A, n.R.X)
		// The twist; most are right angles or none.
		switch ca, sa := c.ca[i], c.sa[i]; {
		case ca == 0:
			n.R.Y = p.R.Z.Scale(sa)
			n.R.Z = y.Scale(-sa)
		case sa == 0:
			n.R.Y = y.Scale(ca)
			n.R.Z = p.R.Z.Scale(ca)
		default:
			n.R.Y = y.Scale(ca).AddScaled(sa, p.R.Z)
			n.R.Z = p.R.Z.Scale(ca).AddScaled(-sa, y)
		}
	}
	if !c.bare {
		f[6] = f[6].Mul(&c.flange)
	}
}

// Jacobian is the geometric Jacobian of a point fixed to the last link: rows
// vx vy vz wx wy wz in the axes of the chain's outer frame, a column an axis.
// Linear rows are mm/rad (mm/mm for a prismatic axis), angular rows rad/rad.
type Jacobian [6][6]float64

// JacobianAt fills j with the Jacobian of the point p (in the outer frame),
// which moves with the flange, at the configuration that f was computed for.
func (c *Chain) JacobianAt(f *Frames, p Vec, j *Jacobian) {
	for i := range c.rows {
		z := f[i].R.Z
		if c.rows[i].Prismatic {
			j[0][i], j[1][i], j[2][i] = z.X, z.Y, z.Z
			j[3][i], j[4][i], j[5][i] = 0, 0, 0
			continue
		}
		v := z.Cross(p.Sub(f[i].T))
		j[0][i], j[1][i], j[2][i] = v.X, v.Y, v.Z
		j[3][i], j[4][i], j[5][i] = z.X, z.Y, z.Z
	}
}
