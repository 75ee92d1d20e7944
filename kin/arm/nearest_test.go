package arm

import (
	"math"
	"testing"

	"posework/kin"
)

// Every place of the soap cell is reached from the place before it: tip
// positions and axes of EXAMPLES E11, tool (0, 0, 180) straight down.
func TestNearestSoapCell(t *testing.T) {
	tips := []kin.Vec{
		{X: 520, Y: -420, Z: 150}, {X: 520, Y: -420, Z: 250}, {X: 600, Z: 240}, {X: 540, Y: -60, Z: 240},
		{X: 660, Y: 60, Z: 240}, {X: 600, Y: -200, Z: 340}, {X: 420, Y: 230, Z: 90}, {X: 420, Y: 230, Z: 190},
		{X: 380, Y: 430, Z: 120}, {X: 665, Y: 430, Z: 120}, {X: 665, Y: 570, Z: 120}, {X: 665, Y: 570, Z: 152},
		{X: 665, Y: 570, Z: 252}, {X: 420, Z: 420},
	}
	m, _ := Builtin("hazel")
	for i, tip := range tips {
		p := soapCell[i]
		want := kin.Joints{kin.Rad(p[0]), kin.Rad(p[1]), kin.Rad(p[2]), 0, kin.Rad(p[3]), 0}
		// With q4 = q6 = 0 the tool points down and its x axis away from axis 1.
		yaw := math.Atan2(tip.Y, tip.X)
		target := kin.Pose{R: kin.FromRPY(math.Pi, 0, yaw), T: tip.Add(kin.Vec{Z: 180})}
		got, miss := m.Nearest(&target, &want, &kin.Config{})
		if !miss.OK() {
			t.Errorf("place %d: %+v", i, miss)
			continue
		}
		for a := range want {
			// The axes are given to 0.01 deg; q6 depends on the choice of x.
			if d := got[a] - want[a]; a != 5 && !(math.Abs(d) <= kin.Rad(0.006)) {
				t.Errorf("place %d axis %d = %.3f deg, want %.3f", i, a+1, got[a]/kin.Rad(1), want[a]/kin.Rad(1))
			}
		}
	}
}
