package cell

import (
	"os"
	"testing"
	"testing/fstest"

	"posework/engine/source"
	"posework/kin"
)

// FuzzRead: any text is read or refused with a message, and a cell that was read
// holds finite numbers only. The file may use itself and its neighbours.
func FuzzRead(f *testing.F) {
	rack, err := os.ReadFile("testdata/rack.yaml")
	if err != nil {
		f.Fatal(err)
	}
	oak, err := os.ReadFile("../urdf/testdata/oak.urdf")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(rack)
	f.Add([]byte("cell: {use: rack.yaml, without: [post], frames: {rack: {xyz: [1, 2, 3], frame: base}}, arm: {file: oak.urdf, tip: flange}}"))
	f.Add([]byte("cell: {use: self.yaml}"))
	f.Add([]byte("cell: {arm: hazel, floor: none, frames: {a: {xyz: [0, 0, 0], frame: b}, b: {xyz: [0, 0, 0], frame: a}}}"))
	f.Fuzz(func(t *testing.T, data []byte) {
		course := fstest.MapFS{"self.yaml": {Data: data}, "rack.yaml": {Data: rack}, "oak.urdf": {Data: oak}}
		c, l := Read("self.yaml", Options{FS: course, Changes: []Change{{Name: "rack", Key: "yaw", Value: 5}}})
		if (c == nil) != (len(l) > 0) {
			t.Fatalf("cell %v with reports %v", c, l)
		}
		if c == nil {
			return
		}
		if c.Arm == nil {
			t.Fatal("a cell without an arm")
		}
		var all []kin.Vec
		for _, x := range c.Frames {
			all = append(all, x.Pose.T, x.Pose.R.X, x.Pose.R.Z)
		}
		for _, x := range c.Solids {
			all = append(all, x.Shape.P, x.Shape.Q, x.Shape.Half, x.Shape.Rot.X)
		}
		for _, x := range c.Zones {
			all = append(all, x.Shape.P, x.Shape.Q, x.Shape.Half, x.Shape.Rot.X)
		}
		for _, x := range c.Parts {
			all = append(all, x.Pose.T, x.Shape.Half)
		}
		for _, v := range all {
			if !v.Finite() || v.Norm() > 1e9 {
				t.Fatalf("a cell holds %v", v)
			}
		}
		if len(data) > source.MaxBytes {
			t.Fatal("a file past the limit was read")
		}
	})
}
