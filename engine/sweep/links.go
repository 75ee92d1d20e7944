package sweep

import (
	"posework/engine/motion"
	"posework/kin"
)

// twist is the motion of a rigid body by the path parameter: of its point o
// velocity and acceleration, and its angular velocity and acceleration. World
// axes.
type twist struct{ o, v, a, w, al kin.Vec }

// point returns the velocity and acceleration of the body's point x.
func (m *twist) point(x kin.Vec) (v, a kin.Vec) {
	r := x.Sub(m.o)
	wr := m.w.Cross(r)
	return m.v.Add(wr), m.a.Add(m.al.Cross(r)).Add(m.w.Cross(wr))
}

// links fills in the motion of the links after base, seen from link base: as if
// the axes up to base stood still. It follows the links outwards (J. Y. S. Luh,
// M. W. Walker and R. P. C. Paul, On-line computational scheme for mechanical
// manipulators, 1980). m[k] is link k, its point o the origin of frame k.
func links(e *motion.Eval, prismatic *[6]bool, base int, m *[7]twist) {
	m[base] = twist{o: e.Frames[base].T}
	for i := base; i < 6; i++ {
		p, n := &m[i], &m[i+1]
		z := e.Frames[i].R.Z
		n.o = e.Frames[i+1].T
		r := n.o.Sub(p.o)
		n.w, n.al = p.w, p.al
		if prismatic[i] {
			wr := p.w.Cross(r)
			n.v = p.v.Add(wr).AddScaled(e.DQ[i], z)
			n.a = p.a.Add(p.al.Cross(r)).Add(p.w.Cross(wr)).AddScaled(2*e.DQ[i], p.w.Cross(z)).AddScaled(e.DDQ[i], z)
			continue
		}
		n.w = p.w.AddScaled(e.DQ[i], z)
		n.al = p.al.AddScaled(e.DDQ[i], z).AddScaled(e.DQ[i], p.w.Cross(z))
		wr := n.w.Cross(r)
		n.v = p.v.Add(wr)
		n.a = p.a.Add(n.al.Cross(r)).Add(n.w.Cross(wr))
	}
}

// powers holds, for each axis m from a base on, sums over axes up to m of which
// m is the outermost, of the bounds on the axes' derivatives. With f[m] the
// greatest distance of a point from axis m, the dot product of f and k1, k2, k3
// bounds the first, second and third derivative of the point: see the package
// documentation.
type powers struct{ k1, k2, k3 [6]float64 }

func (k *powers) set(b, c, d *kin.Joints, base int) {
	*k = powers{}
	var sb, sc float64 // sums of b and c before the axis
	for m := base; m < 6; m++ {
		tb, tc := sb+b[m], sc+c[m]
		k.k1[m] = b[m]
		k.k2[m] = c[m] + tb*tb - sb*sb
		k.k3[m] = d[m] + 3*(tc*tb-sc*sb) + tb*tb*tb - sb*sb*sb
		sb, sc = tb, tc
	}
}

func dot6(a, b *[6]float64) float64 {
	return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] + a[3]*b[3] + a[4]*b[4] + a[5]*b[5]
}
