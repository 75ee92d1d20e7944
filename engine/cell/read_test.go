package cell

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"posework/engine/diag"
	"posework/engine/shape"
	"posework/engine/source"
	"posework/kin"
	"posework/kin/arm"
)

// near compares numbers within 1e-9: a few roundings of 1000 mm.
var near9 = cmpopts.EquateApprox(0, 1e-9)

func readRack(t *testing.T, changes ...Change) *Cell {
	t.Helper()
	c, l := Read("rack.yaml", Options{FS: os.DirFS("testdata"), Changes: changes})
	if len(l) > 0 {
		t.Fatal(l)
	}
	return c
}

// turned is a pose by its axes, in numbers worked out by hand.
func turned(x, y, z kin.Vec, t kin.Vec) kin.Pose { return kin.Pose{R: kin.Rot{X: x, Y: y, Z: z}, T: t} }

var (
	ex, ey, ez = kin.Vec{X: 1}, kin.Vec{Y: 1}, kin.Vec{Z: 1}
	nx, ny     = kin.Vec{X: -1}, kin.Vec{Y: -1}
)

// TestReadRack compares every place with one worked out by hand: the frame rack
// is turned by 90 degrees about z, so its x axis is the world's y.
func TestReadRack(t *testing.T) {
	c := readRack(t)
	mount := turned(ey, nx, ez, kin.Vec{Z: 100})
	rack := turned(ey, nx, ez, kin.Vec{X: 420, Y: -150, Z: 30})
	shelf := turned(ey, nx, ez, kin.Vec{X: 420, Y: -150, Z: 42})
	want := &Cell{
		Mount: mount,
		Tools: []Tool{
			{Name: "cup", TCP: turned(ex, ey, ez, kin.Vec{Z: 110}), Mass: 0.4, Solids: []ToolSolid{
				{"neck", shape.Shape{Kind: shape.Cylinder, P: kin.Vec{Z: 30}, R: 20, Rot: kin.Identity, Half: kin.Vec{Z: 30}}},
				{"cup", shape.Shape{Kind: shape.Capsule, P: kin.Vec{Z: 60}, Q: kin.Vec{Z: 95}, R: 15, Rot: kin.Identity}},
			}},
			{Name: "bare", TCP: kin.IdentityPose},
		},
		Frames: []Frame{
			{"shelf", shelf},
			{"rack", rack},
			{"plate", turned(ey, nx, ez, kin.Vec{Y: 10, Z: 100})},
		},
		Floor: Floor{true, -300},
		Solids: []Solid{
			{"crate", shape.Shape{Kind: shape.Box, P: kin.Vec{X: 420, Y: -150, Z: 105}, Half: kin.Vec{X: 150, Y: 100, Z: 75}, Rot: rack.R}},
			{"post", shape.Shape{Kind: shape.Cylinder, P: kin.Vec{X: 700, Z: 450}, R: 40, Half: kin.Vec{Z: 450}, Rot: kin.Rot{X: ex, Y: ez, Z: ny}}},
			{"rail", shape.Shape{Kind: shape.Capsule, P: kin.Vec{X: 920, Y: -150, Z: 30}, Q: kin.Vec{X: -80, Y: -150, Z: 30}, R: 20, Rot: kin.Identity}},
			{"knob", shape.Shape{Kind: shape.Sphere, P: kin.Vec{X: 1, Y: 2, Z: 3}, R: 30, Rot: kin.Identity}},
			{"wall", shape.Shape{Kind: shape.HalfSpace, P: kin.Vec{Y: 900}, Rot: kin.Rot{X: ex, Y: ez, Z: ny}}},
		},
		Zones: []Zone{
			{"walkway", shape.Shape{Kind: shape.Box, P: kin.Vec{Z: 1000}, Half: kin.Vec{X: 50, Y: 50, Z: 50}, Rot: kin.Identity}, KeepOut, 0},
			{"reach-in", shape.Shape{Kind: shape.Sphere, P: kin.Vec{X: 420, Y: -150, Z: 42}, R: 100, Rot: kin.Identity}, AtMost, 250},
		},
		Parts: []Part{{"tile-1", shape.Shape{Kind: shape.Box, Half: kin.Vec{X: 30, Y: 20, Z: 6}, Rot: kin.Identity},
			turned(ey, nx, ez, kin.Vec{X: 420, Y: -150, Z: 186}), 0.6}},
		Signals: []Signal{{"vacuum", true, false}, {"part-held", false, false}, {"gate", false, true}, {"lamp", true, true}},
		Events: []Event{
			{[]SignalState{{0, true}}, 0, []SignalState{{1, true}}, 0, -1, 0.15},
			{[]SignalState{{0, false}}, -1, []SignalState{{1, false}}, -1, 0, 0},
		},
		Motion: Motion{Smooth, 2000, 0.1},
	}
	if d := cmp.Diff(want, c, near9, cmpopts.IgnoreFields(Cell{}, "Arm")); d != "" {
		t.Errorf("cell (-want +got): %s", d)
	}
	// Hazel in its zero position has the flange at (585, 0, 900) in its base,
	// pointing along x (worked example, Denavit-Hartenberg rows of the arm).
	var f kin.Frames
	c.Arm.Chain.Forward(&kin.Joints{}, &f)
	if d := cmp.Diff(kin.Vec{X: 0, Y: 585, Z: 1000}, f[6].T, near9); c.Arm.Name != "hazel" || d != "" {
		t.Errorf("flange of the mounted arm %s: %s", c.Arm.Name, d)
	}
}

// TestChanges moves a frame with all that stands in it, a solid, a zone and a
// part.
func TestChanges(t *testing.T) {
	c := readRack(t,
		Change{Name: "rack", Key: "y", Value: -180},
		Change{Name: "rack", Key: "yaw", Value: 0},
		Change{Name: "post", Key: "roll", Value: 0},
		Change{Name: "walkway", Key: "x", Value: 5},
		Change{Name: "tile-1", Key: "z", Value: 200},
		Change{Name: "post", Key: "pitch", Value: -90})
	if d := cmp.Diff(turned(ex, ey, ez, kin.Vec{X: 420, Y: -180, Z: 42}), c.Frames[0].Pose, near9); d != "" {
		t.Errorf("shelf: %s", d)
	}
	if d := cmp.Diff(kin.Vec{X: 420, Y: -680, Z: 30}, c.Solids[2].Shape.P, near9); d != "" {
		t.Errorf("rail: %s", d)
	}
	if d := cmp.Diff(nx, c.Solids[1].Shape.Rot.Z, near9); d != "" {
		t.Errorf("post: %s", d)
	}
	if c.Zones[0].Shape.P != (kin.Vec{X: 5, Z: 1000}) || c.Parts[0].Pose.T.Z != 230 {
		t.Errorf("walkway at %v, tile at %v", c.Zones[0].Shape.P, c.Parts[0].Pose.T)
	}
	// The values that were replaced lead back to the cell as written.
	if d := cmp.Diff(readRack(t), readRack(t, c.Replaced...), near9, cmpopts.IgnoreFields(Cell{}, "Arm", "Replaced")); d != "" {
		t.Errorf("changed back: %s", d)
	}
	if len(c.Replaced) != 6 || c.Replaced[0].Name != "rack" || c.Replaced[0].Key != "y" {
		t.Errorf("replaced: %v", c.Replaced)
	}
	at := diag.Pos{Filename: "lesson.md", Line: 9, Column: 3}
	for _, tt := range []struct {
		c    Change
		want string
	}{
		{Change{at, "rakc", "y", 0}, `lesson.md:9:3: the cell has no frame, solid, part or zone named "rakc"; did you mean "rack"?`},
		{Change{at, "tool-9", "y", 0}, `lesson.md:9:3: the cell has no frame, solid, part or zone named "tool-9"; name a frame, solid, part or zone`},
		{Change{at, "rack", "w", 0}, `lesson.md:9:3: "w" is no coordinate of rack; write x, y, z, roll, pitch or yaw`},
		{Change{at, "rack", "x", math.NaN()}, `lesson.md:9:3: rack.x is NaN, but a cell reaches to at most 100000 mm; check the digits`},
	} {
		_, l := Read("rack.yaml", Options{FS: os.DirFS("testdata"), Changes: []Change{tt.c}})
		if got := l.Error(); got != tt.want {
			t.Errorf("%+v reports\n%s\nwant\n%s", tt.c, got, tt.want)
		}
	}
}

func TestFrame(t *testing.T) {
	c := readRack(t)
	for name, want := range map[string]kin.Vec{"world": {}, "base": {Z: 100}, "rack": {X: 420, Y: -150, Z: 30}} {
		if p, ok := c.Frame(name); !ok || p.T != want {
			t.Errorf("Frame(%s) = %v, %v", name, p, ok)
		}
	}
	if _, ok := c.Frame("none"); ok {
		t.Error("a frame is named none")
	}
}

// TestUse builds cells on others in a file system like a course's.
func TestUse(t *testing.T) {
	course := fstest.MapFS{
		"cells/base.yaml": {Data: []byte("cell:\n  arm: hazel\n  floor: none\n  signals: {a: output, b: input}\n  frames: {f: {xyz: [1, 0, 0]}, g: {xyz: [2, 0, 0], frame: f}}\n" +
			"  solids:\n  - {name: one, sphere: {radius: 1}, xyz: [0, 0, 0], frame: f}\n  - {name: two, sphere: {radius: 2}, xyz: [0, 0, 0]}\n  events: [{when: {a: on}, then: {b: on}}]\n  motion: {law: smooth}\n")},
		"cells/mid.yaml":    {Data: []byte("cell: {use: base.yaml, mount: {xyz: [0, 0, 5]}, solids: [{name: three, sphere: {radius: 3}, xyz: [0, 0, 0]}]}")},
		"cells/arm.yaml":    {Data: []byte("cell: {use: base.yaml, arm: short.yaml}")},
		"cells/short.yaml":  {Data: []byte("posework: arm/1\nname: short\naxes:\n" + strings.Repeat("  - {a: 100, alpha: 0, d: 0, limits: [-90, 90], speed: 100 deg/s, acceleration: 100 deg/s2}\n", 6))},
		"cells/self.yaml":   {Data: []byte("cell: {use: self.yaml}")},
		"cells/a.yaml":      {Data: []byte("cell: {use: b.yaml}")},
		"cells/b.yaml":      {Data: []byte("cell: {use: a.yaml}")},
		"cells/bad.yaml":    {Data: []byte("cell: {arm: hazel, floor: none, solid: []}")},
		"cells/nocell.yaml": {Data: []byte("arm: hazel")},
		"cells/big.yaml":    {Data: []byte(strings.Repeat("#", source.MaxBytes+1))},
	}
	for i := range 9 {
		course[fmt.Sprintf("cells/deep%d.yaml", i)] = &fstest.MapFile{Data: fmt.Appendf(nil, "cell: {use: deep%d.yaml}", i+1)}
	}
	course["cells/deep9.yaml"] = course["cells/base.yaml"]
	decode := func(text string) (*Cell, diag.List) {
		var l diag.List
		n := source.Parse("01-lesson/lesson.md", []byte(text), 1, &l)
		c := Decode(n.Map().Get("cell"), Options{FS: course, Dir: "01-lesson"})
		l.Sort()
		return c, l
	}
	c, l := decode("cell: {use: ../cells/mid.yaml, without: [two], frames: {f: {xyz: [7, 0, 0]}, h: {xyz: [0, 1, 0]}}, solids: [{name: three, sphere: {radius: 4}, xyz: [0, 0, 9]}, {name: four, sphere: {radius: 5}, xyz: [0, 0, 0]}], events: [], motion: {}}")
	if len(l) > 0 {
		t.Fatal(l)
	}
	var got strings.Builder
	for _, f := range c.Frames {
		fmt.Fprintf(&got, "%s %v; ", f.Name, f.Pose.T)
	}
	for _, s := range c.Solids {
		fmt.Fprintf(&got, "%s %v %v; ", s.Name, s.Shape.P, s.Shape.R)
	}
	fmt.Fprintf(&got, "%v %v %d %d", c.Mount.T, c.Motion, len(c.Events), len(c.Signals))
	want := "f {7 0 0}; g {9 0 0}; h {0 1 0}; one {7 0 0} 1; three {0 0 9} 4; four {0 0 0} 5; {0 0 5} {0 2500 0.05} 0 2"
	if got.String() != want {
		t.Errorf("cell = %s\nwant   %s", got.String(), want)
	}
	if c, l := decode("cell: {use: ../cells/arm.yaml}"); len(l) > 0 || c.Arm.Name != "short" {
		t.Errorf("arm beside the used cell: %v, %v", c, l)
	}
	if c, l := decode("cell: {use: ../cells/deep2.yaml}"); len(l) > 0 || c == nil {
		t.Errorf("eight cells in a row: %v", l)
	}
	oak, err := os.ReadFile("../urdf/testdata/oak.urdf")
	if err != nil {
		t.Fatal(err)
	}
	course["arms/oak.urdf"] = &fstest.MapFile{Data: oak}
	c, l = decode("cell: {use: ../cells/base.yaml, mount: {xyz: [0, 0, 100]}, arm: {file: ../arms/oak.urdf, tip: flange}}")
	if len(l) > 0 {
		t.Fatal(l)
	}
	var f kin.Frames
	c.Arm.Chain.Forward(&kin.Joints{}, &f)
	if d := cmp.Diff(kin.Vec{X: 550, Z: 980}, f[6].T, near9); d != "" {
		t.Errorf("URDF arm: %s", d)
	}
	for _, tt := range []struct{ in, want string }{
		{"cell: {use: ../cells/base.yaml, arm: ../arms/oak.urdf}", "arms/oak.urdf:5:3: the tree goes on past its sixth axis; the flange may be wrist-3, flange, palm; name the one that is the flange as tip"},
		{"cell: {use: ../cells/base.yaml, arm: {file: ../cells/short.yaml, tip: a}}", "01-lesson/lesson.md:1:71: only a URDF file can have several tips; delete it"},
		{"cell: {use: ../cells/base.yaml, arm: {tip: a}}", "01-lesson/lesson.md:1:38: arm has no \"file\"; add \"file: ...\"\n01-lesson/lesson.md:1:44: only a URDF file can have several tips; delete it"},
		{"cell: {use: ../cells/none.yaml}", `01-lesson/lesson.md:1:13: the cell "../cells/none.yaml" can't be used: there is no such file; check its name`},
		{"cell: {use: ../../etc/passwd}", `01-lesson/lesson.md:1:13: the cell "../../etc/passwd" can't be used: it leads out of the course's folder; name a file of the course, such as ../cells/soap.yaml`},
		{"cell: {use: /etc/passwd}", `01-lesson/lesson.md:1:13: the cell "/etc/passwd" can't be used: a path from the root of the disk is not read; name a file of the course, such as ../cells/soap.yaml`},
		{`cell: {use: "..\\cells\\base.yaml"}`, `01-lesson/lesson.md:1:13: the cell "..\\cells\\base.yaml" can't be used: write it with / and without a drive letter; name a file of the course, such as ../cells/soap.yaml`},
		{`cell: {use: "C:base.yaml"}`, `01-lesson/lesson.md:1:13: the cell "C:base.yaml" can't be used: write it with / and without a drive letter; name a file of the course, such as ../cells/soap.yaml`},
		{`cell: {use: ""}`, `01-lesson/lesson.md:1:13: the cell "" can't be used: the name is empty; name a file of the course, such as ../cells/soap.yaml`},
		{"cell: {use: ..}", `01-lesson/lesson.md:1:13: the cell ".." can't be used: it leads out of the course's folder; name a file of the course, such as ../cells/soap.yaml`},
		{"cell: {use: ../cells}", `01-lesson/lesson.md:1:13: the cell "../cells" can't be used: it is no regular file; check its name`},
		{"cell: {use: ../cells/self.yaml}", `cells/self.yaml:1:13: the cell "self.yaml" uses itself; delete this use`},
		{"cell: {use: ../cells/a.yaml}", `cells/b.yaml:1:13: the cell "a.yaml" uses itself; delete this use`},
		{"cell: {use: ../cells/deep0.yaml}", `cells/deep7.yaml:1:13: more than 8 cells use each other in a row, the most that are read; use a cell that stands on its own`},
		{"cell: {use: ../cells/bad.yaml, without: [x]}", `cells/bad.yaml:1:33: unknown key "solid" in cell; did you mean "solids"?`},
		{"cell: {use: ../cells/nocell.yaml}", "cells/nocell.yaml:1:1: unknown key \"arm\" in the file; known here: cell\ncells/nocell.yaml:1:1: the file has no \"cell\"; add \"cell: ...\""},
		{"cell: {use: ../cells/big.yaml}", `cells/big.yaml:1:1: the file is larger than 256 kB, the greatest size that is read; split it or delete what it does not need`},
		{"cell: {use: [a]}", `01-lesson/lesson.md:1:13: use is a list, but a text is needed; write a text, in quotes if need be`},
		{"cell: {use: ../cells/base.yaml, without: [tow]}", `01-lesson/lesson.md:1:43: the cell that is used has nothing named "tow"; delete it`},
		{"cell: {arm: hazel, floor: none, without: [x]}", `01-lesson/lesson.md:1:42: without takes things out of the cell that is used, but there is no "use"; delete it`},
		{"cell: {use: ../cells/base.yaml, arm: ../../x.yaml}", `01-lesson/lesson.md:1:38: the arm "../../x.yaml" can't be read: it leads out of the course's folder; name a file of the course`},
		{"cell: {use: ../cells/base.yaml, arm: x.yaml}", `01-lesson/lesson.md:1:38: the arm "x.yaml" can't be read: there is no such file; check its name`},
		{"cell: {use: ../cells/base.yaml, arm: ../cells/base.yaml}", "cells/base.yaml:1:1: unknown key \"cell\" in the file; known here: posework, name, title, source, axes, flange, reach, links\ncells/base.yaml:1:1: the file has no \"axes\"; add \"axes: ...\"\ncells/base.yaml:1:1: the file has no \"name\"; add \"name: ...\"\ncells/base.yaml:1:1: the file has no \"posework\"; add \"posework: ...\""},
	} {
		c, l := decode(tt.in)
		if got := l.Error(); got != tt.want || c != nil {
			t.Errorf("%s reports\n%s\nwant\n%s", tt.in, got, tt.want)
		}
	}
	if c, l := Read("none.yaml", Options{}); c != nil || l.Error() != "none.yaml:1:1: none.yaml can't be read: there is no such file; check its name" {
		t.Errorf("Read of no file reports %v", l)
	}
	if Decode(nil, Options{}) != nil {
		t.Error("a cell was decoded from nothing")
	}
	if names := arm.Names(); len(names) == 0 {
		t.Error("no arm is built in")
	}
}

// TestMistakes pins the message of every mistake that a cell can hold.
func TestMistakes(t *testing.T) {
	cell := func(s string) string { return "cell: {arm: hazel, floor: none, " + s + "}" }
	solid := func(s string) string { return cell("solids: [{name: s, " + s + "}]") }
	event := func(s string) string {
		return cell("signals: {out: output, in: input}, parts: [{name: p, box: [1, 1, 1], xyz: [0, 0, 0], mass: 1 kg}, {name: q, box: [1, 1, 1], xyz: [0, 0, 0], mass: 1 kg}], events: [" + s + "]")
	}
	tests := []struct{ name, in, want string }{
		{"nothing", "cell: {}", "f:1:7: the cell has no \"arm\"; add \"arm: hazel\"\nf:1:7: the cell has no \"floor\"; add \"floor: -300\" (mm in the world frame) or \"floor: none\""},
		{"text", "cell: soap", `f:1:7: cell is "soap", but a mapping is needed; write "key: value" lines or {key: value}`},
		{"unknown key", cell("solid: []"), `f:1:33: unknown key "solid" in cell; did you mean "solids"?`},
		{"unknown arm", "cell: {arm: hazle, floor: none}", `f:1:13: no built-in arm is named "hazle"; did you mean "hazel"?`},
		{"strange arm", "cell: {arm: oak, floor: none}", `f:1:13: no built-in arm is named "oak"; write one of hazel, aspen, rowan, alder, or name a .yaml or .urdf file`},
		{"arm of a strange kind", "cell: {arm: oak.step, floor: none}", `f:1:13: the arm "oak.step" is neither a built-in one nor a .yaml or .urdf file; name a .yaml or .urdf file`},
		{"arm is a list", "cell: {arm: [hazel], floor: none}", `f:1:13: arm is a list, but a text is needed; write a text, in quotes if need be`},
		{"floor", "cell: {arm: hazel, floor: low}", `f:1:27: floor: "low" is not a number; write a decimal number such as 12.5`},
		{"floor too low", "cell: {arm: hazel, floor: -100001}", "f:1:27: floor holds -100001 mm, but nothing is read that lies beyond 100000 mm; check the digits"},
		{"mount", cell("mount: {rpy: [0, 0, 0]}"), `f:1:40: mount has no "xyz"; add "xyz: ..."`},
		{"mount in a frame", cell("mount: {xyz: [0, 0, 0], frame: f}"), `f:1:57: unknown key "frame" in mount; known here: xyz, rpy`},
		{"law", cell("motion: {law: smoth}"), `f:1:47: law is "smoth", but must be one of trapezoid, smooth; did you mean "smooth"?`},
		{"acceleration", cell("motion: {tool-acceleration: 0 mm/s2}"), "f:1:61: tool-acceleration is 0 mm/s2, but must be more than 0, at most 100000 mm/s2; write more than 0, at most 100000 mm/s2"},
		{"ramp", cell("motion: {ramp-time: 50 ms}"), `f:1:53: ramp-time is in "ms", but must be in s; write 0.05 s`},

		{"tool without mass", cell("tools: {t: {tcp: {xyz: [0, 0, 0]}}}"), `f:1:44: t has no "mass"; add "mass: ..."`},
		{"tool of no mass", cell("tools: {t: {tcp: {xyz: [0, 0, 0]}, mass: -1 kg}}"), "f:1:74: mass is -1 kg, but must be from 0 to 10000 kg; write at most 10000 kg"},
		{"tool of a wall", cell("tools: {t: {tcp: {xyz: [0, 0, 0]}, mass: 1 kg, solids: [{name: s, half-space: on, xyz: [0, 0, 0]}]}}"), "f:1:89: a half-space has no end, and can't be carried; use a box"},
		{"tool solid nowhere", cell("tools: {t: {tcp: {xyz: [0, 0, 0]}, mass: 1 kg, solids: [{name: s, box: [1, 1, 1]}]}}"), `f:1:89: item 1 of solids has no "xyz"; add "xyz: ..."`},
		{"tool solid in a frame", cell("tools: {t: {tcp: {xyz: [0, 0, 0]}, mass: 1 kg, solids: [{name: s, capsule: {radius: 1, from: [0, 0, 0], to: [0, 0, 1]}, frame: f}]}}"), `f:1:153: unknown key "frame" in item 1 of solids; known here: name, capsule, xyz, rpy`},

		{"frame named world", cell("frames: {world: {xyz: [0, 0, 0]}}"), `f:1:42: the frame name "world" is taken: it is a frame of every cell; choose another name`},
		{"frame in none", cell("frames: {f: {xyz: [0, 0, 0], frame: g}}"), `f:1:69: the cell has no frame named "g"; add it to frames`},
		{"frame in itself", cell("frames: {f: {xyz: [0, 0, 0], frame: f}}"), `f:1:69: the frame f is written in "f", which is written in it; write it in base or world`},
		{"frames in a ring", cell("frames: {f: {xyz: [0, 0, 0], frame: g}, g: {xyz: [0, 0, 0], frame: f}}"), `f:1:100: the frame g is written in "f", which is written in it; write it in base or world`},
		{"frame far away", cell("frames: {f: {xyz: [0, 1e6, 0]}}"), "f:1:51: xyz holds 1e+06 mm, but nothing is read that lies beyond 100000 mm; check the digits"},

		{"solid without a name", cell("solids: [{box: [1, 1, 1], xyz: [0, 0, 0]}]"), `f:1:42: item 1 of solids has no "name"; add "name: ..."`},
		{"solid twice", cell("solids: [{name: s, box: [1, 1, 1], xyz: [0, 0, 0]}, {name: s, box: [1, 1, 1], xyz: [0, 0, 0]}]"), `f:1:92: the name "s" is taken in line 1; choose another name`},
		{"solid named floor", cell("solids: [{name: floor, box: [1, 1, 1], xyz: [0, 0, 0]}]"), `f:1:49: the name "floor" is taken: lessons mean the floor itself by it; choose another name`},
		{"solid without a shape", solid("xyz: [0, 0, 0]"), "f:1:42: item 1 of solids has no shape; write one of box, cylinder, capsule, sphere, half-space"},
		{"solid of a misspelt shape", solid("bx: [1, 1, 1], xyz: [0, 0, 0]"), `f:1:52: unknown key "bx" in item 1 of solids; did you mean "box"?`},
		{"solid of two shapes", solid("box: [1, 1, 1], sphere: {radius: 1}, xyz: [0, 0, 0]"), "f:1:42: item 1 of solids has box and sphere, but one shape is needed; keep one of them"},
		{"solid nowhere", solid("box: [1, 1, 1]"), `f:1:42: item 1 of solids has no "xyz"; add "xyz: ..."`},
		{"flat box", solid("box: [1, 0, 1], xyz: [0, 0, 0]"), "f:1:57: box is 0 mm, but the least size of a solid is 0.01 mm; write a size in mm"},
		{"huge box", solid("box: [1, 100001, 1], xyz: [0, 0, 0]"), "f:1:57: box is 100001 mm, but the greatest size of a solid is 100000 mm; write a size in mm"},
		{"inverted sphere", solid("sphere: {radius: -1}, xyz: [0, 0, 0]"), "f:1:69: radius is -1 mm, but the least size of a solid is 0.01 mm; write a size in mm"},
		{"cylinder without height", solid("cylinder: {radius: 1}, xyz: [0, 0, 0]"), `f:1:62: cylinder has no "height"; add "height: ..."`},
		{"capsule of one end", solid("capsule: {radius: 1, from: [0, 0, 0]}"), `f:1:61: capsule has no "to"; add "to: ..."`},
		{"no half-space", solid("half-space: off, xyz: [0, 0, 0]"), "f:1:64: half-space is off, but the solid has no other shape; write half-space: on"},
		{"solid in no frame", solid("box: [1, 1, 1], xyz: [0, 0, 0], frame: bse"), `f:1:91: the cell has no frame named "bse"; did you mean "base"?`},
		{"capsule in no frame", solid("capsule: {radius: 1, from: [0, 0, 0], to: [0, 0, 1]}, frame: bse"), `f:1:113: the cell has no frame named "bse"; did you mean "base"?`},

		{"zone without a rule", cell("zones: [{name: z, box: [1, 1, 1], xyz: [0, 0, 0]}]"), `f:1:41: item 1 of zones has no "rule"; add "rule: ..."`},
		{"zone of another rule", cell("zones: [{name: z, box: [1, 1, 1], xyz: [0, 0, 0], rule: slow}]"), `f:1:89: the rule "slow" is neither keep-out nor at-most with a speed; write keep-out, or at-most 250 mm/s`},
		{"zone without a unit", cell("zones: [{name: z, box: [1, 1, 1], xyz: [0, 0, 0], rule: at-most 250}]"), "f:1:97: rule is 250 without a unit; write 250 mm/s"},
		{"zone of no speed", cell("zones: [{name: z, box: [1, 1, 1], xyz: [0, 0, 0], rule: at-most 0 mm/s}]"), "f:1:97: rule is 0 mm/s, but must be more than 0, at most 100000 mm/s; write more than 0, at most 100000 mm/s"},

		{"part named as a solid", cell("solids: [{name: s, box: [1, 1, 1], xyz: [0, 0, 0]}], parts: [{name: s, box: [1, 1, 1], xyz: [0, 0, 0], mass: 1 kg}]"), `f:1:101: the name "s" is that of a solid in line 1; choose another name`},
		{"part without mass", cell("parts: [{name: p, box: [1, 1, 1], xyz: [0, 0, 0], mass: 0 kg}]"), "f:1:89: mass is 0 kg, but must be more than 0, at most 10000 kg; write more than 0, at most 10000 kg"},
		{"part of a wall", cell("parts: [{name: p, half-space: on, xyz: [0, 0, 0], mass: 1 kg}]"), "f:1:41: a half-space has no end, and can't be carried; use a box"},

		{"signal", cell("signals: {a: outputs}"), `f:1:46: a is "outputs", but must be one of input, output, input on, output on; did you mean "output"?`},
		{"signal named near", cell("signals: {near: output}"), `f:1:43: the signal name "near" is taken: it is a word of waits and events; choose another name`},
		{"event of nothing", event("{when: {}, then: {}}"), "f:1:203: the event has no condition; write {signal: on}\nf:1:213: the event does nothing; write {signal: on}"},
		{"event half", event("{when: {out: on}}"), `f:1:196: item 1 of events has no "then"; add "then: ..."`},
		{"event of an unknown signal", event("{when: {oot: on}, then: {in: on}}"), `f:1:204: the cell has no signal named "oot"; did you mean "out"?`},
		{"event near no part", event("{when: {near: x}, then: {in: on}}"), `f:1:210: the cell has no part named "x"; add it to parts`},
		{"event near a list", event("{when: {near: [p]}, then: {in: on}}"), `f:1:210: near is a list, but a name is needed; write a name of letters, digits, - and _`},
		{"event sets an output", event("{when: {out: on}, then: {out: off}}"), "f:1:221: the event sets out, which is an output: only the program sets it; let the event set an input"},
		{"event sets an unknown signal", event("{when: {out: on}, then: {on: off}}"), `f:1:221: the cell has no signal named "on"; did you mean "in"?`},
		{"event takes from afar", event("{when: {out: on, near: q}, then: {hold: p}}"), "f:1:236: the event takes p wherever it lies; write near: p in when"},
		{"event in the past", event("{when: {out: on}, then: {in: on}, after: -1 s}"), "f:1:237: after is -1 s, but must be from 0 to 3600 s; write at most 3600 s"},

		{"too many solids", cell("solids: [" + many(300, "{name: s%d, box: [1, 1, 1], xyz: [0, 0, 0]}") + "], zones: [" + many(201, "{name: s%d, box: [1, 1, 1], xyz: [0, 0, 0], rule: keep-out}") + "]"), "f:1:7: the cell has 501 solids, zones, parts and solids of tools, but at most 500 are read; leave some out"},
		{"a long list", cell("solids: [" + many(501, "{name: s%d, box: [1, 1, 1], xyz: [0, 0, 0]}") + "]"), "f:1:41: solids has 501 entries, but at most 500 are read; leave some out"},
		{"a long mapping", cell("signals: {" + many(501, "s%d: input") + "}"), "f:1:42: signals has 501 entries, but at most 500 are read; leave some out"},
		{"many events", cell("signals: {a: input}, events: [" + many(501, "{when: {a: on}, then: {a: off}, after: %d s}") + "]"), "f:1:62: events has 501 entries, but at most 500 are read; leave some out"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var l diag.List
			c := Decode(source.Parse("f", []byte(tt.in), 1, &l).Map().Get("cell"), Options{})
			if got := l.Err().Error(); got != tt.want {
				t.Errorf("Decode reports\n%s\nwant\n%s", got, tt.want)
			}
			if c != nil {
				t.Error("Decode returned a cell")
			}
		})
	}
}

func many(n int, format string) string {
	var all []string
	for i := range n {
		all = append(all, fmt.Sprintf(format, i))
	}
	return strings.Join(all, ", ")
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

// TestParsed shares a parsed file among cells: each is built as if it had read
// the file itself, changes of one do not reach the other, and a file with a
// mistake tells each of them.
func TestParsed(t *testing.T) {
	shared := new(Parsed)
	decode := func(text string, files fstest.MapFS, changes ...Change) (*Cell, diag.List) {
		var l diag.List
		c := Decode(source.Parse("a/lesson.md", []byte(text), 1, &l), Options{FS: files, Dir: "a", Parsed: shared, Changes: changes})
		return c, l
	}
	files := fstest.MapFS{
		"cells/base.yaml":  {Data: []byte("cell:\n  arm: hazel\n  floor: none\n  frames: {rack: {xyz: [500, 0, 200], rpy: [0, 0, 0]}}\n")},
		"cells/wrong.yaml": {Data: []byte("cell:\n  arm: hazel\n  flor: none\n")},
	}
	at := func(c *Cell) float64 { p, _ := c.Frame("rack"); return p.T.X }
	for _, want := range []float64{500, 480, 500} {
		var changes []Change
		if want != 500 {
			changes = []Change{{Name: "rack", Key: "x", Value: want}}
		}
		c, l := decode("{use: ../cells/base.yaml}", files, changes...)
		if len(l) > 0 || at(c) != want {
			t.Fatalf("with changes %v the rack stands at %v, want %g: %v", changes, c, want, l)
		}
	}
	if c, l := decode("{use: ../cells/base.yaml}", nil); len(l) > 0 || at(c) != 500 {
		t.Errorf("a file that was read is read again: %v", l)
	}
	for range 2 {
		if c, l := decode("{use: ../cells/wrong.yaml}", files); c != nil || len(l) != 1 || l[0].Pos.String() != "cells/wrong.yaml:3:3" {
			t.Errorf("a file with a mistake reports %v", l)
		}
	}
}
