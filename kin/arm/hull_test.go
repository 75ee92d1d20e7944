package arm

import (
	"math"
	"testing"

	"posework/kin"
)

// TestHullJoinsTheFrames places the capsules at some configurations: each runs
// from one frame's origin to the next one's.
func TestHullJoinsTheFrames(t *testing.T) {
	const tolMM = 1e-9 // 1e-12 of a metre, some thousand roundings
	flange := kin.Pose{R: kin.FromRPY(0.3, -0.2, 1), T: kin.Vec{X: 10, Y: -20, Z: 30}}
	for _, name := range Names() {
		m, _ := Builtin(name)
		c := kin.NewChain(kin.IdentityPose, m.Chain.Rows(), flange)
		solids := Hull(c, 7)
		for _, q := range []kin.Joints{{}, {0.1, -0.5, 1.2, 2, -0.7, 3}} {
			var f kin.Frames
			c.Forward(&q, &f)
			row6 := flange.Inv()
			row6 = f[6].Mul(&row6) // the last row's frame, before the flange
			origins := []kin.Vec{f[0].T, f[1].T, f[2].T, f[3].T, f[4].T, f[5].T, row6.T, f[6].T}
			seen := 0
			for i := 0; i < 7; i++ {
				a, b := origins[i], origins[i+1]
				if a.Sub(b).Norm() < 1e-6 {
					continue
				}
				found := false
				for _, s := range solids {
					from, to := f[s.Link].Apply(s.From), f[s.Link].Apply(s.To)
					ab := from.Sub(a).Norm() + to.Sub(b).Norm()
					ba := from.Sub(b).Norm() + to.Sub(a).Norm()
					found = found || math.Min(ab, ba) < tolMM && s.Radius == 7 && s.Kind == Capsule
				}
				if !found {
					t.Errorf("%s at %v: no capsule from origin %d to %d", name, q, i, i+1)
				}
				seen++
			}
			if seen != len(solids) {
				t.Errorf("%s: %d capsules for %d links with length", name, len(solids), seen)
			}
		}
	}
}

// TestExtent: the stated nominal reach of the built-in arms (reference/arms) is
// the distance from axis 1 to the flange in the stretched arm, or to the wrist
// for some; the sum of lengths is never less.
func TestExtent(t *testing.T) {
	for _, name := range Names() {
		m, _ := Builtin(name)
		if e := m.Extent(); e < m.Reach || e > 1.4*m.Reach {
			t.Errorf("%s: Extent = %.1f mm, nominal reach %.1f mm", name, e, m.Reach)
		}
	}
	m, _ := Builtin("hazel")
	// 40 + 450 + 30 + 440 + 105, the lengths of hazel's rows.
	if e := m.Extent(); !(math.Abs(e-1065) <= 1e-9) {
		t.Errorf("hazel: Extent = %v, want 1065", e)
	}
	slide := *m
	rows := m.Chain.Rows()
	rows[0] = kin.DH{D: 100, Prismatic: true}
	slide.Chain = kin.NewChain(kin.IdentityPose, rows, kin.IdentityPose)
	slide.Limits[0] = Range{-500, 200}
	if e := slide.Extent(); !(math.Abs(e-(400+1025)) <= 1e-9) {
		t.Errorf("sliding axis 1: Extent = %v, want 1425", e)
	}
}
