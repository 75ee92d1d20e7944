package solid

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"posework/engine/diag"
	"posework/engine/shape"
	"posework/engine/source"
	"posework/kin"
)

func TestShapes(t *testing.T) {
	tests := []struct {
		in   string
		want shape.Shape
	}{
		{"{box: [10, 20, 30]}", shape.Shape{Kind: shape.Box, Half: kin.Vec{X: 5, Y: 10, Z: 15}, Rot: kin.Identity}},
		{"{cylinder: {radius: 4, height: 10 mm}}", shape.Shape{Kind: shape.Cylinder, R: 4, Half: kin.Vec{Z: 5}, Rot: kin.Identity}},
		{"{capsule: {radius: 4 mm, from: [1, 2, 3], to: [1, 2, 3]}}", shape.Shape{Kind: shape.Capsule, R: 4, P: kin.Vec{X: 1, Y: 2, Z: 3}, Q: kin.Vec{X: 1, Y: 2, Z: 3}, Rot: kin.Identity}},
		{"{sphere: {radius: 0.01}}", shape.Shape{Kind: shape.Sphere, R: 0.01, Rot: kin.Identity}},
		{"{sphere: {radius: 100000}}", shape.Shape{Kind: shape.Sphere, R: 100000, Rot: kin.Identity}},
		{"{half-space: on}", shape.Shape{Kind: shape.HalfSpace, Rot: kin.Identity}},
	}
	for _, tt := range tests {
		var l diag.List
		n := source.Parse("f", []byte(tt.in), 1, &l)
		got := Shape(n)
		n.Map().Close()
		if d := cmp.Diff(tt.want, got); d != "" || len(l) > 0 {
			t.Errorf("%s: %v %s", tt.in, l, d)
		}
		Bounded(n, &got)
		if (len(l) == 1 && l[0].Code == "S003") != (got.Kind == shape.HalfSpace) {
			t.Errorf("%s: Bounded reports %v", tt.in, l)
		}
	}
}

func TestMistakes(t *testing.T) {
	tests := []struct{ in, want string }{
		{"{}", "f:1:1: the file has no shape; write one of box, cylinder, capsule, sphere, half-space"},
		{"{bpx: [1, 1, 1]}", `f:1:2: unknown key "bpx" in the file; did you mean "box"?`},
		{"{box: [1, 1, 1], sphere: {radius: 1}}", "f:1:1: the file has box and sphere, but one shape is needed; keep one of them"},
		{"{box: [1, 1, 0.009]}", "f:1:7: box is 0.009 mm, but the least size of a solid is 0.01 mm; write a size in mm"},
		{"{sphere: {radius: 100000.1}}", "f:1:19: radius is 100000.1 mm, but the greatest size of a solid is 100000 mm; write a size in mm"},
		{"{cylinder: {radius: 1, height: 1, axis: z}}", `f:1:35: unknown key "axis" in cylinder; known here: radius, height`},
		{"{capsule: {radius: 1, from: [0, 0, 0], to: [0, 0, -200000]}}", "f:1:44: to holds -200000 mm, but nothing is read that lies beyond 100000 mm; check the digits"},
		{"{half-space: off}", "f:1:14: half-space is off, but the solid has no other shape; write half-space: on"},
	}
	for _, tt := range tests {
		var l diag.List
		n := source.Parse("f", []byte(tt.in), 1, &l)
		Shape(n)
		n.Map().Close()
		if got := l.Error(); got != tt.want {
			t.Errorf("%s reports\n%s\nwant\n%s", tt.in, got, tt.want)
		}
	}
}

func TestPose(t *testing.T) {
	var l diag.List
	m := source.Parse("f", []byte("{xyz: [1, 2, 3], rpy: [90, 0, 0]}"), 1, &l).Map()
	want := kin.Pose{T: kin.Vec{X: 1, Y: 2, Z: 3}, R: kin.Rot{X: kin.Vec{X: 1}, Y: kin.Vec{Z: 1}, Z: kin.Vec{Y: -1}}}
	if d := cmp.Diff(want, Pose(m.Get("xyz"), m.Get("rpy")), cmpopts.EquateApprox(0, 1e-15)); d != "" {
		t.Error(d)
	}
	if p := Pose(nil, nil); p != kin.IdentityPose {
		t.Errorf("Pose of nothing = %v", p)
	}
	Coordinate(m.Node(), math.NaN())
	if len(l) != 1 || l[0].Code != "S001" {
		t.Errorf("a coordinate that is no number: %v", l)
	}
}

func TestCodes(t *testing.T) {
	last := ""
	for _, c := range Codes {
		if c.ID <= last || c.Title == "" || c.Meaning == "" || c.Bad == "" || c.Good == "" {
			t.Errorf("code %+v is out of order or not whole", c)
		}
		last = c.ID
	}
}
