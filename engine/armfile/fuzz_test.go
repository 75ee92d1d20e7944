package armfile

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"posework/kin"
)

// FuzzRead: any text is read or refused with a message, and an arm that was read
// has sound limits and finite forward kinematics.
func FuzzRead(f *testing.F) {
	names, err := filepath.Glob("testdata/*.yaml")
	if err != nil || len(names) == 0 {
		f.Fatal("no seeds")
	}
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add([]byte(file("{a: 0, alpha: 0, d: 20 mm, joint: prismatic, limits: [-50, 150], speed: 300 mm/s, acceleration: 900 mm/s2}",
		"flange: {xyz: [0, 0, 10]}\nlinks: [{link: 0, box: [10, 20, 30], xyz: [1, 2, 3]}, {link: 6, capsule: {radius: 5, from: [0, 0, 1], to: [0, 0, 2]}}]\n")))
	f.Fuzz(func(t *testing.T, data []byte) {
		a, l := Read("f", data)
		if (a == nil) != (len(l) > 0) {
			t.Fatalf("arm %v with reports %v", a, l)
		}
		if a == nil {
			return
		}
		m := a.Model
		for i := range m.Limits {
			if !(m.Limits[i].Min < m.Limits[i].Max) || !(m.Speed[i] > 0) || !(m.Accel[i] > 0) || math.IsInf(m.Speed[i]+m.Accel[i], 0) {
				t.Fatalf("axis %d: %v, %v, %v", i+1, m.Limits[i], m.Speed[i], m.Accel[i])
			}
		}
		if !(m.Reach > 0) || len(m.Solids) == 0 {
			t.Fatalf("reach %v, %d solids", m.Reach, len(m.Solids))
		}
		var frames kin.Frames
		m.Chain.Forward(&kin.Joints{1, 2, 3, -1, -2, -3}, &frames)
		for _, s := range m.Solids {
			if v := frames[s.Link].Apply(s.From.Add(s.Place.T)); !v.Finite() {
				t.Fatalf("a solid is at %v", v)
			}
		}
	})
}
