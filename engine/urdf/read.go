package urdf

import (
	"math"

	"posework/engine/diag"
	"posework/kin"
	"posework/kin/arm"
)

// What stands in for what URDF does not say.
const (
	// RampTime is the time in which every axis is taken to reach its rated speed,
	// s: common practice for arms of this size is 0.1 to 0.5 s.
	RampTime = 0.25
	// Turns is the range of a continuous axis to either side, in turns.
	Turns = 1

	maxTurns = 2    // of an axis limit
	maxSpeed = 175  // rad/s
	maxSlide = 20   // m/s
	parallel = 1e-5 // sine below which neighbouring axes are taken as parallel
)

// Options is what reading an arm needs beside its text.
type Options struct {
	// Tip is the link that is the flange; empty: the only end of the tree that has
	// six moving axes before it.
	Tip string
}

// Arm is an arm as read from a file.
type Arm struct {
	Model *arm.Model
	Notes diag.List // what was ignored, replaced or assumed
}

// Read reads a URDF file. The arm is nil when anything was reported.
func Read(name string, data []byte, opt Options) (*Arm, diag.List) {
	var l diag.List
	a := read(name, data, opt, &l)
	l.Sort()
	if len(l) > 0 {
		return nil, l
	}
	a.Notes.Sort()
	return a, nil
}

func read(name string, data []byte, opt Options, l *diag.List) *Arm {
	root := parse(name, data, l)
	if root == nil {
		return nil
	}
	r := &reader{l: l, kinds: map[string]int{}}
	b := r.robot(root)
	if len(*l) > 0 {
		return nil
	}
	base := b.tree()
	if base == nil {
		return nil
	}
	chain := b.chain(base, opt.Tip)
	if chain == nil {
		return nil
	}
	b.branches(base, chain)
	m := b.model(chain)
	r.report(root.pos)
	return &Arm{m, r.notes}
}

// model turns the chain into an arm model.
func (b *robot) model(chain []*joint) *arm.Model {
	m := &arm.Model{Name: b.name, Title: "from " + b.root.pos.Filename}
	var axes [6]kin.Axis
	var moving []*joint
	for _, j := range chain {
		if !j.moves() {
			continue
		}
		i := len(moving)
		moving = append(moving, j)
		p := &j.child.pose
		axes[i] = kin.Axis{Point: p.T, Dir: p.R.Apply(j.axis), Prismatic: j.kind == "prismatic"}
		b.limits(j, m, i)
	}
	flange := chain[len(chain)-1].child.pose
	m.Reach = flange.T.Sub(axes[5].Point).Norm()
	for i := range 5 {
		m.Reach += axes[i+1].Point.Sub(axes[i].Point).Norm()
	}
	for i := range axes {
		if axes[i].Prismatic {
			m.Reach += math.Max(math.Abs(m.Limits[i].Min), math.Abs(m.Limits[i].Max))
		}
	}
	if m.Reach < minLink {
		b.l.Add(b.root.pos, "U011", "give the joints their origins", "the arm has no length")
		return nil
	}
	b.straighten(&axes, moving, m.Reach)
	m.Chain = kin.FromAxes(axes, flange)
	b.bodies(m)
	b.notes.Add(b.root.pos, "U104", "write an arm file to give accelerations", "URDF has no accelerations: every axis is taken to reach its rated speed in %g s", RampTime)
	return m
}

// limits reads what an axis may do.
func (b *robot) limits(j *joint, m *arm.Model, i int) {
	at := j.el.pos
	if j.limit != nil {
		at = j.limit.pos
	}
	unit, most, fastest, scale := "rad", maxTurns*2*math.Pi, float64(maxSpeed), 1.0
	if j.kind == "prismatic" {
		unit, most, fastest, scale = "m", maxMM/1000, maxSlide, 1000
	}
	lower, upper := j.lower, j.upper
	switch {
	case j.kind == "continuous":
		lower, upper = -Turns*2*math.Pi, Turns*2*math.Pi
		b.notes.Add(j.el.pos, "U103", "write a revolute joint with its limits", "the joint %s is continuous: it is taken to turn by %d deg to either side", j.name, 360*Turns)
	case j.limit == nil:
		b.l.Add(at, "U009", "add <limit lower=\"...\" upper=\"...\" velocity=\"...\" effort=\"...\"/>", "the joint %s has no limits", j.name)
		return
	case !(lower < upper):
		b.l.Add(at, "U009", "write the lower limit first", "the limits of the joint %s are %g and %g %s, but the first must be below the second", j.name, lower, upper, unit)
	case lower < -most*(1+1e-9) || upper > most*(1+1e-9):
		b.l.Add(at, "U009", "give the limits of the real axis", "the limits of the joint %s are %g and %g %s, but may reach to %.4g %s at most", j.name, lower, upper, unit, most, unit)
	}
	if !(j.velocity > 0 && j.velocity <= fastest) {
		b.l.Add(at, "U010", "give the rated speed of the axis", "the velocity of the joint %s is %g %s/s, but must be more than 0, at most %g %s/s", j.name, j.velocity, unit, fastest, unit)
	}
	m.Limits[i] = arm.Range{Min: lower * scale, Max: upper * scale}
	m.Speed[i] = j.velocity * scale
	m.Accel[i] = m.Speed[i] / RampTime
}

// straighten takes neighbouring axes as parallel where only rounding keeps them
// from it: their common normal would lie kilometres away.
func (b *robot) straighten(axes *[6]kin.Axis, moving []*joint, reach float64) {
	for i := 1; i < 6; i++ {
		before, dir := axes[i-1].Dir, axes[i].Dir
		sine := before.Cross(dir).Norm()
		if sine >= parallel {
			continue
		}
		axes[i].Dir = before.Scale(math.Copysign(1, before.Dot(dir)))
		if sine*reach > 1e-6 {
			b.notes.Add(moving[i].el.pos, "U105", "write the angles with more digits",
				"the axis %s is %.2g deg from parallel to %s, and is taken as parallel: the flange moves by up to %.2g mm more or less", moving[i].name, kin.Deg(sine), moving[i-1].name, sine*reach)
		}
	}
}

// bodies puts the solids of all links on the chain.
func (b *robot) bodies(m *arm.Model) {
	any := false
	for _, l := range b.links {
		any = any || len(l.solids) > 0 || l.unread != nil
	}
	radius := arm.HullRadius * m.Reach
	if !any {
		m.Solids = arm.Hull(m.Chain, radius)
		base := m.Chain.Base()
		if from := base.ApplyInv(kin.Vec{}); from.Norm() > minLink {
			m.Solids = append(m.Solids, arm.Solid{Link: 0, Name: "base", Kind: arm.Capsule, From: from, Radius: radius})
		}
		b.notes.Add(b.root.pos, "U102", "give boxes, cylinders or spheres", "no link has collision geometry: each is taken for a capsule of radius %.0f mm between its axes, so clearances are rough", radius)
		return
	}
	var f kin.Frames
	m.Chain.Forward(&kin.Joints{}, &f)
	for _, l := range b.links {
		if l.unread != nil {
			b.hull(l, radius)
		}
		inv := f[l.axis].Inv()
		frameLink := inv.Mul(&l.pose)
		for _, s := range l.solids {
			m.Solids = append(m.Solids, carried(s, l.axis, &frameLink))
		}
	}
	if len(m.Solids) > MaxSolids {
		b.l.Add(b.root.pos, "U016", "leave some out", "the arm carries %d solids, but at most %d are read", len(m.Solids), MaxSolids)
	}
}
