package armfile

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"posework/kin"
	"posework/kin/arm"
)

func read(t *testing.T, name string) *Arm {
	t.Helper()
	data, err := os.ReadFile("testdata/" + name + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	a, l := Read(name+".yaml", data)
	if len(l) > 0 {
		t.Fatal(l)
	}
	return a
}

// TestBuiltinArmsAreTheReference holds the four built-in arms to the reference
// files: every row, limit, speed and acceleration.
func TestBuiltinArmsAreTheReference(t *testing.T) {
	// Both sides turn the same degrees into radians; a rounding may differ.
	near := cmpopts.EquateApprox(1e-15, 0)
	for _, name := range arm.Names() {
		m, _ := arm.Builtin(name)
		f := read(t, name).Model
		if f.Name != m.Name || f.Title != m.Title || f.Reach != m.Reach {
			t.Errorf("%s: head = %q, %q, %v, want %q, %q, %v", name, m.Name, m.Title, m.Reach, f.Name, f.Title, f.Reach)
		}
		for what, pair := range map[string][2]any{
			"rows":         {f.Chain.Rows(), m.Chain.Rows()},
			"limits":       {f.Limits, m.Limits},
			"speed":        {f.Speed, m.Speed},
			"acceleration": {f.Accel, m.Accel},
			"flange":       {f.Chain.Flange(), m.Chain.Flange()},
			"base":         {f.Chain.Base(), m.Chain.Base()},
		} {
			if d := cmp.Diff(pair[0], pair[1], near); d != "" {
				t.Errorf("%s: %s (-file +built in): %s", name, what, d)
			}
		}
	}
}

// TestForwardOfTheReference checks the arms as read from their files against
// forward kinematics by Orocos KDL 1.5.1 (kin/testdata): the whole way from the
// text to a pose.
func TestForwardOfTheReference(t *testing.T) {
	const tolMM = 1e-9 // 1e-12 of a metre
	for _, name := range []string{"hazel", "aspen", "rowan", "alder", "puma560", "lynch_park_4_5"} {
		m := read(t, name).Model
		data, err := os.ReadFile("../../kin/testdata/fk_" + name + ".json")
		if err != nil {
			t.Fatal(err)
		}
		type sample struct {
			Q kin.Joints    `json:"q_rad"`
			T [4][4]float64 `json:"T"`
		}
		samples := decodeSamples[sample](t, data)
		if len(samples) < 100 {
			t.Fatalf("%s: %d samples", name, len(samples))
		}
		for i, s := range samples {
			var f kin.Frames
			m.Chain.Forward(&s.Q, &f)
			want := kin.Vec{X: s.T[0][3], Y: s.T[1][3], Z: s.T[2][3]}
			if d := f[6].T.Sub(want).Norm(); !(d <= tolMM) {
				t.Errorf("%s, sample %d: flange %g mm off", name, i, d)
			}
			axis := kin.Vec{X: s.T[0][2], Y: s.T[1][2], Z: s.T[2][2]}
			if d := f[6].R.Z.Sub(axis).Norm(); !(d <= 1e-12) {
				t.Errorf("%s, sample %d: axis %g rad off", name, i, d)
			}
		}
	}
}

func decodeSamples[S any](t *testing.T, data []byte) []S {
	t.Helper()
	var list []S
	if json.Unmarshal(data, &list) == nil {
		return list
	}
	var file map[string]json.RawMessage
	if err := json.Unmarshal(data, &file); err != nil {
		t.Fatal(err)
	}
	for _, raw := range file {
		if json.Unmarshal(raw, &list) == nil && len(list) > 0 {
			return list
		}
	}
	t.Fatal("no samples")
	return nil
}

const axisRow = "{a: 100, alpha: 90, d: 50, offset: -90, limits: [-90, 180], speed: 100 deg/s, acceleration: 200 deg/s2}"

func file(first, rest string) string {
	return "posework: arm/1\nname: short\n" + rest + "axes:\n- " + first + "\n" + strings.Repeat("- "+axisRow+"\n", 5)
}

// TestReadAll reads every construct of the format.
func TestReadAll(t *testing.T) {
	text := file("{a: 0, alpha: 0, d: 20 mm, joint: prismatic, limits: [-50, 150], speed: 300 mm/s, acceleration: 900 mm/s2}",
		"title: An arm\nsource: invented\nflange: {xyz: [0, 0, 10], rpy: [0, 0, 90]}\nlinks:\n"+
			"- {link: 0, box: [10, 20, 30], xyz: [1, 2, 3], rpy: [0, 0, 90]}\n"+
			"- {link: 6, name: wrist, capsule: {radius: 5, from: [0, 0, 1], to: [0, 0, 2]}, xyz: [7, 0, 0]}\n"+
			"- {link: 1, cylinder: {radius: 5, height: 8}}\n"+
			"- {link: 2, sphere: {radius: 6}, xyz: [0, 9, 0]}\n")
	a, l := Read("f", []byte(text))
	if len(l) > 0 {
		t.Fatal(l)
	}
	m := a.Model
	near := cmpopts.EquateApprox(0, 1e-12)
	quarter := kin.Rot{X: kin.Vec{Y: 1}, Y: kin.Vec{X: -1}, Z: kin.Vec{Z: 1}}
	solids := []arm.Solid{
		{Link: 0, Name: "link 0", Kind: arm.Box, Half: kin.Vec{X: 5, Y: 10, Z: 15}, Place: kin.Pose{R: quarter, T: kin.Vec{X: 1, Y: 2, Z: 3}}},
		{Link: 6, Name: "wrist", Kind: arm.Capsule, Radius: 5, From: kin.Vec{X: 7, Z: 1}, To: kin.Vec{X: 7, Z: 2}, Place: kin.Pose{R: kin.Identity, T: kin.Vec{X: 7}}},
		{Link: 1, Name: "link 1", Kind: arm.Cylinder, Radius: 5, Half: kin.Vec{Z: 4}, Place: kin.IdentityPose},
		{Link: 2, Name: "link 2", Kind: arm.Sphere, Radius: 6, From: kin.Vec{Y: 9}, To: kin.Vec{Y: 9}, Place: kin.Pose{R: kin.Identity, T: kin.Vec{Y: 9}}},
	}
	if d := cmp.Diff(solids, m.Solids, near); d != "" {
		t.Errorf("solids: %s", d)
	}
	rows := m.Chain.Rows()
	if d := cmp.Diff([2]kin.DH{{D: 20, Prismatic: true}, {A: 100, Alpha: math.Pi / 2, D: 50, Offset: -math.Pi / 2}}, [2]kin.DH{rows[0], rows[1]}, near); d != "" {
		t.Errorf("rows: %s", d)
	}
	if m.Limits[0] != (arm.Range{Min: -50, Max: 150}) || m.Speed[0] != 300 || m.Accel[0] != 900 {
		t.Errorf("axis 1: %v, %v, %v", m.Limits[0], m.Speed[0], m.Accel[0])
	}
	if d := cmp.Diff(arm.Range{Min: -math.Pi / 2, Max: math.Pi}, m.Limits[1], near); d != "" {
		t.Errorf("axis 2: %s", d)
	}
	// 170 + 5 times hypot(100, 50) + 10, by hand.
	if want := 180 + 5*math.Hypot(100, 50); !(math.Abs(m.Reach-want) <= 1e-9) {
		t.Errorf("reach = %v, want %v", m.Reach, want)
	}
	if flange := m.Chain.Flange(); flange.T != (kin.Vec{Z: 10}) || len(a.Notes) != 0 {
		t.Errorf("flange %v, notes %v", flange, a.Notes)
	}
}

func TestHullWithoutLinks(t *testing.T) {
	a, l := Read("f", []byte(file(axisRow, "reach: 1000\n")))
	if len(l) > 0 {
		t.Fatal(l)
	}
	want := `f:1:1: the arm has no "links": each link is taken for a capsule of radius 50 mm between its axes, so clearances are rough; give the real solids under "links"`
	if got := a.Notes.Error(); got != want {
		t.Errorf("notes\n%s\nwant\n%s", got, want)
	}
	if len(a.Model.Solids) != 6 || a.Model.Solids[0].Radius != 50 {
		t.Errorf("solids = %+v", a.Model.Solids)
	}
}

// TestMistakes pins the message of every mistake that an arm file can hold.
func TestMistakes(t *testing.T) {
	tests := []struct{ name, in, want string }{
		{"empty", "", "f:1:1: the file is empty; write its first key"},
		{"a program", strings.Replace(file(axisRow, ""), "arm/1", "program/1", 1), `f:1:11: this file is marked "program/1", but an arm file is needed; write "posework: arm/1", or hand in another file`},
		{"five axes", strings.Replace(file(axisRow, ""), "- "+axisRow+"\n", "", 1), "f:4:1: axes has 5 entries, but an arm has six axes; give six axes, the one next to the base first"},
		{"seven axes", file(axisRow+"\n- "+axisRow, ""), "f:4:1: axes has 7 entries, but an arm has six axes; give six axes, the one next to the base first"},
		{"no alpha", file("{a: 1, d: 0, limits: [-1, 1], speed: 1 deg/s, acceleration: 1 deg/s2}", ""), `f:4:3: item 1 of axes has no "alpha"; add "alpha: ..."`},
		{"limits turned round", file("{a: 1, alpha: 0, d: 0, limits: [1, -1], speed: 1 deg/s, acceleration: 1 deg/s2}", ""), "f:4:34: the limits of axis 1 are 1 and -1, but the first must be below the second; write the lower limit first"},
		{"no room", file("{a: 1, alpha: 0, d: 0, limits: [1, 1], speed: 1 deg/s, acceleration: 1 deg/s2}", ""), "f:4:34: the limits of axis 1 are 1 and 1, but the first must be below the second; write the lower limit first"},
		{"three turns", file("{a: 1, alpha: 0, d: 0, limits: [-721, 720], speed: 1 deg/s, acceleration: 1 deg/s2}", ""), "f:4:34: the limits of axis 1 hold -721 deg, but may reach to 720 deg at most; write limits from -720 to 720"},
		{"one limit", file("{a: 1, alpha: 0, d: 0, limits: [1], speed: 1 deg/s, acceleration: 1 deg/s2}", ""), "f:4:34: limits has 1 value, but 2 are needed; write 2"},
		{"infinite", file("{a: 1, alpha: 0, d: 0, limits: [-.inf, .inf], speed: 1 deg/s, acceleration: 1 deg/s2}", ""), "f:4:35: item 1 of limits: \"-.inf\" is infinite; write a finite number\nf:4:42: item 2 of limits: \".inf\" is infinite; write a finite number"},
		{"standing", file("{a: 1, alpha: 0, d: 0, limits: [-1, 1], speed: 0 deg/s, acceleration: 1 deg/s2}", ""), "f:4:50: speed is 0 deg/s, but must be more than 0, at most 10000 deg/s; write more than 0, at most 10000 deg/s"},
		{"mm of a turn", file("{a: 1, alpha: 0, d: 0, limits: [-1, 1], speed: 5 mm/s, acceleration: 1 deg/s2}", ""), `f:4:50: speed is in "mm/s", but must be in deg/s; write it as in "20 deg/s"`},
		{"rad", file("{a: 1, alpha: 0, d: 0, limits: [-1, 1], speed: 3.5 rad/s, acceleration: 1 deg/s2}", ""), `f:4:50: speed is in "rad/s", but must be in deg/s; write 200.535 deg/s`},
		{"joint", file("{a: 1, alpha: 0, d: 0, joint: linear, limits: [-1, 1], speed: 5 mm/s, acceleration: 1 mm/s2}", ""), "f:4:33: joint is \"linear\", but must be one of revolute, prismatic; write one of revolute, prismatic\nf:4:65: speed is in \"mm/s\", but must be in deg/s; write it as in \"20 deg/s\"\nf:4:87: acceleration is in \"mm/s2\", but must be in deg/s2; write it as in \"20 deg/s2\""},
		{"long link", file("{a: 100001, alpha: 0, d: 0, limits: [-1, 1], speed: 1 deg/s, acceleration: 1 deg/s2}", ""), "f:4:7: a holds 100001 mm, but nothing is read that lies beyond 100000 mm; check the digits"},
		{"reach", file(axisRow, "reach: 0\n"), "f:3:8: reach is 0 mm, but the least size of a solid is 0.01 mm; write a size in mm"},
		{"no length", strings.ReplaceAll(file(axisRow, ""), "a: 100, alpha: 90, d: 50", "a: 0, alpha: 90, d: 0"), "f:4:1: the arm has no length; give the lengths a and d of its links"},
		{"link", file(axisRow, "links: [{link: 7, sphere: {radius: 1}}]\n"), "f:3:16: link is 7, but must be from 0 to 6; write a whole number from 0 to 6"},
		{"link of a wall", file(axisRow, "links: [{link: 1, half-space: on}]\n"), "f:3:9: a half-space has no end, and can't be carried; use a box"},
		{"link of nothing", file(axisRow, "links: [{link: 1}]\n"), "f:3:9: item 1 of links has no shape; write one of box, cylinder, capsule, sphere, half-space"},
		{"link in a frame", file(axisRow, "links: [{link: 1, sphere: {radius: 1}, frame: base}]\n"), `f:3:40: unknown key "frame" in item 1 of links; did you mean "name"?`},
		{"too many solids", file(axisRow, "links: ["+strings.Repeat("{link: 1, sphere: {radius: 1}},", 101)+"]\n"), "f:3:8: the links have 101 solids, but at most 100 are read; leave some out"},
		{"flange", file(axisRow, "flange: {rpy: [0, 0, 0]}\n"), `f:3:9: flange has no "xyz"; add "xyz: ..."`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			a, l := Read("f", []byte(tt.in))
			if got := l.Error(); got != tt.want || a != nil {
				t.Errorf("Read reports\n%s\nwant\n%s", got, tt.want)
			}
		})
	}
}

// TestLimitsAreInclusive reads an arm exactly at its limits.
func TestLimitsAreInclusive(t *testing.T) {
	for _, row := range []string{
		"{a: 1, alpha: 0, d: 0, limits: [-720, 720], speed: 10000 deg/s, acceleration: 500000 deg/s2}",
		"{a: 100000, alpha: 0, d: 0, joint: prismatic, limits: [-100000, 100000], speed: 20000 mm/s, acceleration: 500000 mm/s2}",
	} {
		if _, l := Read("f", []byte(file(row, ""))); len(l) > 0 {
			t.Error(l)
		}
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
