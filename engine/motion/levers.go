package motion

import (
	"math"

	"posework/kin"
	"posework/kin/arm"
)

// levers holds what never changes about an arm with a tool, for bounds on its
// motion.
type levers struct {
	chain *kin.Chain
	tcp   kin.Pose // flange to tool centre point
	// tool[i] bounds how far a unit motion of axis i can move the tool centre
	// point: its greatest distance from a revolute axis, mm/rad, and 1 for a
	// prismatic axis.
	tool [6]float64
	turn [6]float64 // 1 for a revolute axis, 0 for a prismatic one
	// Arms with a spherical wrist only: the same for the wrist centre and the
	// first three axes.
	spherical bool
	wrist     [3]float64
	// scale is the length by which linear rows of the Jacobian are divided, mm.
	scale float64
}

// newLevers measures an arm with a tool.
func newLevers(m *arm.Model, tcp kin.Pose) *levers {
	l := &levers{chain: m.Chain, tcp: tcp}
	rows := m.Chain.Rows()
	var slide kin.Joints
	for i := range rows {
		if rows[i].Prismatic {
			slide[i] = max(math.Abs(m.Limits[i].Min), math.Abs(m.Limits[i].Max))
			continue
		}
		l.turn[i] = 1
	}
	l.tool = m.Chain.PointBounds(6, tcp.T, 0, &slide)
	flange := m.Chain.Flange()
	l.scale = flange.T.Norm() + tcp.T.Norm()
	for i := range rows {
		l.scale += math.Hypot(rows[i].A, rows[i].D) + slide[i]
	}
	l.scale = max(l.scale, 1)
	l.spherical = sphericalWrist(&rows)
	if l.spherical {
		w := m.Chain.PointBounds(4, kin.Vec{}, 0, &slide)
		copy(l.wrist[:], w[:3])
	}
	return l
}

// sphericalWrist reports whether axes 4, 5 and 6 are revolute, meet in a point
// and stand at right angles to their neighbours.
func sphericalWrist(rows *[6]kin.DH) bool {
	for i := range rows {
		if rows[i].Prismatic {
			return false
		}
	}
	const tol = 1e-12
	return math.Abs(rows[3].A) < tol && math.Abs(rows[4].A) < tol && math.Abs(rows[4].D) < tol &&
		math.Abs(math.Cos(rows[3].Alpha)) < tol && math.Abs(math.Cos(rows[4].Alpha)) < tol
}

// state is an arm in motion along a path at one s.
type state struct {
	q, dq, ddq kin.Joints
	f          kin.Frames
	tcp        kin.Pose
}

// place computes the frames and the tool centre point at e.q.
func (l *levers) place(e *state) {
	l.chain.Forward(&e.q, &e.f)
	e.tcp = e.f[6].Mul(&l.tcp)
}

// velocity returns the twist of the tool centre point when the axes move at
// rates dq.
func (l *levers) velocity(e *state, dq *kin.Joints) (v, w kin.Vec) {
	for i := range 6 {
		z := e.f[i].R.Z
		if l.turn[i] == 0 {
			v = v.AddScaled(dq[i], z)
			continue
		}
		v = v.AddScaled(dq[i], z.Cross(e.tcp.T.Sub(e.f[i].T)))
		w = w.AddScaled(dq[i], z)
	}
	return v, w
}

// coasting returns the acceleration of the tool centre point (linear, angular)
// when the axes move at constant rates dq: the product of the Jacobian's
// derivative with dq. It follows the links outwards (J. Y. S. Luh, M. W. Walker
// and R. P. C. Paul, 1980).
func (l *levers) coasting(e *state, dq *kin.Joints) (acc, ang kin.Vec) {
	var w kin.Vec
	for i := range 6 {
		z := e.f[i].R.Z
		next := e.tcp.T
		if i < 5 {
			next = e.f[i+1].T
		}
		d := next.Sub(e.f[i].T)
		if l.turn[i] == 0 {
			acc = acc.Add(ang.Cross(d)).Add(w.Cross(w.Cross(d))).AddScaled(2*dq[i], w.Cross(z))
			continue
		}
		ang = ang.AddScaled(dq[i], w.Cross(z))
		w = w.AddScaled(dq[i], z)
		acc = acc.Add(ang.Cross(d)).Add(w.Cross(w.Cross(d)))
	}
	return acc, ang
}

// acceleration returns the second derivative of the tool centre point's
// position, e.dq and e.ddq given.
func (l *levers) acceleration(e *state) kin.Vec {
	a, _ := l.coasting(e, &e.dq)
	b, _ := l.velocity(e, &e.ddq)
	return a.Add(b)
}
