package urdf

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"posework/kin"
	"posework/kin/arm"
)

// TestReadOak reads an arm with a wrist whose axes meet and compares what can be
// worked out by hand; the axes are those of a common build: up, across, across,
// along, across, along.
func TestReadOak(t *testing.T) {
	data, err := os.ReadFile("testdata/oak.urdf")
	if err != nil {
		t.Fatal(err)
	}
	a, l := Read("oak.urdf", data, Options{Tip: "flange"})
	if len(l) > 0 {
		t.Fatal(l)
	}
	m := a.Model
	near := cmpopts.EquateApprox(0, 1e-9)
	var f kin.Frames
	m.Chain.Forward(&kin.Joints{}, &f)
	// 50 forward, 400 + 450 + 30 up, then 400 + 100 forward; the flange's z points
	// forward.
	if d := cmp.Diff(kin.Vec{X: 550, Z: 880}, f[6].T, near); d != "" {
		t.Errorf("flange: %s", d)
	}
	if d := cmp.Diff(kin.Vec{X: 1}, f[6].R.Z, near); d != "" {
		t.Errorf("flange axis: %s", d)
	}
	// A quarter turn of axis 2 lays the arm down: the elbow, 450 up from the
	// shoulder, goes to 450 forward; the forearm then points down.
	m.Chain.Forward(&kin.Joints{1: math.Pi / 2}, &f)
	if d := cmp.Diff(kin.Vec{X: 50 + 450 + 30, Z: 400 - 500}, f[6].T, near); d != "" {
		t.Errorf("flange with axis 2 at 90 degrees: %s", d)
	}
	if got := m.Inverse().Family(); got != kin.SphericalWrist {
		t.Errorf("family = %v, want %v", got, kin.SphericalWrist)
	}
	limits := [6]arm.Range{{Min: -2 * math.Pi, Max: 2 * math.Pi}, {Min: -1.5, Max: 2}, {Min: -3, Max: 1.2}, {Min: -3, Max: 3}, {Min: -2, Max: 2}, {Min: -6, Max: 6}}
	if m.Limits != limits || m.Speed != [6]float64{3, 3, 3, 5, 5, 6} || m.Accel != [6]float64{12, 12, 12, 20, 20, 24} {
		t.Errorf("limits %v, speeds %v, accelerations %v", m.Limits, m.Speed, m.Accel)
	}
	wantReach := 50 + 450 + math.Hypot(400, 30) + 100
	if m.Name != "oak" || !(math.Abs(m.Reach-wantReach) <= 1e-9) {
		t.Errorf("name %q, reach %v, want %v", m.Name, m.Reach, wantReach)
	}

	// Where the solids are in the zero position, in the base.
	m.Chain.Forward(&kin.Joints{}, &f)
	var solids []string
	for _, s := range m.Solids {
		p := &f[s.Link]
		c := p.Apply(s.Place.T)
		if s.Kind == arm.Capsule {
			c = p.Apply(s.To)
		}
		solids = append(solids, fmt.Sprintf("%s: link %d, kind %d, at %.1f %.1f %.1f, %.1f, %v", s.Name, s.Link, s.Kind, c.X+0, c.Y+0, c.Z+0, s.Radius, s.Half))
	}
	want := []string{
		"base: link 0, kind 2, at 0.0 0.0 50.0, 100.0, {0 0 50}",
		"turret: link 1, kind 0, at 50.0 0.0 400.0, 50.1, {0 0 0}",
		"upper: link 2, kind 1, at 50.0 0.0 600.0, 0.0, {250 50 60}",
		"fore: link 3, kind 0, at 450.0 0.0 880.0, 50.1, {0 0 0}",
		"wrist-3: link 6, kind 3, at 450.0 0.0 880.0, 40.0, {0 0 0}",
		"palm: link 6, kind 1, at 570.0 0.0 880.0, 0.0, {50 25 20}",
	}
	if d := cmp.Diff(want, tidy(solids)); d != "" {
		t.Errorf("solids: %s", d)
	}
	notes := `oak.urdf:3:1: URDF has no accelerations: every axis is taken to reach its rated speed in 0.25 s; write an arm file to give accelerations
oak.urdf:4:3: <material> in <robot> is not used
oak.urdf:6:5: <inertial> in <link> is not used
oak.urdf:7:5: <visual> in <link> is not used (2 times, first here)
oak.urdf:14:26: the mesh "turret.stl" is not read: capsules of radius 50 mm between the joints stand for the link turret; give boxes, cylinders or spheres
oak.urdf:19:21: the link has <visual> but no <collision>, which is not read: capsules of radius 50 mm between the joints stand for the link fore; give boxes, cylinders or spheres
oak.urdf:32:3: the joint a1 is continuous: it is taken to turn by 360 deg to either side; write a revolute joint with its limits
oak.urdf:36:5: the attribute effort of <limit> is not used (8 times, first here)
oak.urdf:37:5: <dynamics> in <joint> is not used
oak.urdf:74:3: the joint left lies beside the chain to the flange, and is taken to stand still at zero
oak.urdf:80:3: the joint right lies beside the chain to the flange, and is taken to stand still at zero
oak.urdf:85:5: the attribute multiplier of <mimic> is not used
oak.urdf:87:3: <transmission> in <robot> is not used
oak.urdf:88:3: <gazebo> in <robot> is not used (2 times, first here)`
	if d := cmp.Diff(strings.Split(notes, "\n"), strings.Split(a.Notes.Error(), "\n")); d != "" {
		t.Errorf("notes (-want +got): %s", d)
	}
}

// tidy drops the minus of a rounded zero.
func tidy(lines []string) []string {
	for i, s := range lines {
		lines[i] = strings.ReplaceAll(s, "-0.0", "0.0")
	}
	return lines
}

// six is a sound robot whose joints are j1 to j6 and whose links l0 to l6, and
// change is a list of texts to replace by others.
func six(change ...string) string {
	var b strings.Builder
	b.WriteString("<robot name=\"oak\">\n")
	for i := range 7 {
		fmt.Fprintf(&b, "<link name=\"l%d\"/>\n", i)
	}
	for i := 1; i <= 6; i++ {
		fmt.Fprintf(&b, "<joint name=\"j%d\" type=\"revolute\"><parent link=\"l%d\"/><child link=\"l%d\"/><origin xyz=\"0.1 0 0\"/><axis xyz=\"0 %d %d\"/><limit lower=\"-2\" upper=\"2\" velocity=\"1\"/></joint>\n",
			i, i-1, i, i%2, 1-i%2)
	}
	b.WriteString("</robot>\n")
	s := b.String()
	for i := 0; i < len(change); i += 2 {
		if !strings.Contains(s, change[i]) {
			panic("nothing to change: " + change[i])
		}
		s = strings.Replace(s, change[i], change[i+1], 1)
	}
	return s
}

func TestSoundRobot(t *testing.T) {
	a, l := Read("f", []byte("\ufeff"+six()), Options{})
	if len(l) > 0 {
		t.Fatal(l)
	}
	want := `f:1:1: no link has collision geometry: each is taken for a capsule of radius 25 mm between its axes, so clearances are rough; give boxes, cylinders or spheres
f:1:1: URDF has no accelerations: every axis is taken to reach its rated speed in 0.25 s; write an arm file to give accelerations`
	if got := a.Notes.Error(); got != want {
		t.Errorf("notes\n%s\nwant\n%s", got, want)
	}
	if len(a.Model.Solids) != 6 {
		// From the base to axis 1 and from axis to axis; the flange is on axis 6.
		t.Errorf("%d solids", len(a.Model.Solids))
	}
}

// TestMistakes pins the message of every mistake that a file can hold.
func TestMistakes(t *testing.T) {
	const j1 = `<joint name="j1" type="revolute"><parent link="l0"/><child link="l1"/><origin xyz="0.1 0 0"/><axis xyz="0 1 0"/><limit lower="-2" upper="2" velocity="1"/></joint>`
	with := func(old, new string) string { return six(j1, strings.Replace(j1, old, new, 1)) }
	tests := []struct{ name, in, want string }{
		{"empty", " \n", "f:1:1: the file is empty; write a URDF robot"},
		{"10 MB of junk", strings.Repeat("junk ", 2<<20), "f:1:1: the file is larger than 1024 kB, the greatest size that is read; hand in the arm alone, without embedded data"},
		{"no XML", "arm: hazel", "f:1:1: a URDF file holds a <robot> element; hand in a URDF file"},
		{"other XML", "<!-- x -->\n <svg/>", "f:2:2: a URDF file holds a <robot> element; hand in a URDF file"},
		{"not closed", "<robot name=\"oak\">\n<link name=\"l0\">", "f:2:1: the element <link> is never closed; write </link> or />"},
		{"closed wrongly", "<robot name=\"oak\">\n  <link></joint></robot>", "f:2:9: this is no XML: element <link> closed by </joint>; mend the tags around it"},
		{"no quotes", "<robot name=oak/>", "f:1:1: this is no XML: unquoted or missing attribute value in element; mend the tags around it"},
		{"entity", "<robot name=\"a&b;\"/>", "f:1:1: a & stands here that begins no known character; write &amp; for &"},
		{"entity bomb", "<!DOCTYPE robot [<!ENTITY a \"aaaa\"><!ENTITY b \"&a;&a;\">]>\n<robot name=\"&b;\"/>", "f:1:1: declarations (<!...>) are not read; delete it"},
		{"not UTF-8", "<robot name=\"\xff\"/>", "f:1:1: this is no UTF-8 text; save the file as UTF-8 text"},
		{"another encoding", "<?xml version=\"1.0\" encoding=\"latin-1\"?>\n<robot name=\"oak\"/>", "f:1:1: the file says that it has another encoding than UTF-8; save the file as UTF-8 text"},
		{"NUL", "<robot name=\"o\x00k\"/>", "f:1:1: this is no XML: illegal character code U+0000; mend the tags around it"},
		{"deep", "<robot name=\"oak\">" + strings.Repeat("<link>", 1000), "f:1:157: elements are nested deeper than 24, the greatest depth that is read; hand in the arm alone"},
		{"many elements", "<robot name=\"oak\">" + strings.Repeat("<a/>", MaxElements) + "</robot>", "f:1:80015: the file has more than 20000 elements, the most that are read; hand in the arm alone"},
		{"xacro", "<robot name=\"oak\" xmlns:xacro=\"http://wiki.ros.org/xacro\">\n<xacro:macro name=\"arm\"/></robot>", "f:2:1: this is a xacro macro, and only the URDF made from it is read; expand the file first and hand in the result"},
		{"two robots", "<robot name=\"oak\"/><robot name=\"elm\"/>", "f:1:20: a second root element <robot> begins here; keep one robot a file"},

		{"no name", six("name=\"oak\"", ""), "f:1:1: <robot> has no name; add name=\"...\""},
		{"hidden name", six("name=\"oak\"", "name=\"o\u202ek\""), "f:1:1: <robot> has the name \"o\\u202ek\", which is too long or holds invisible characters; choose a short plain name"},
		{"no links", "<robot name=\"oak\"/>", "f:1:1: the robot has no links; add links and joints"},
		{"link twice", six("name=\"l2\"", "name=\"l1\""), "f:4:1: a second link has the name \"l1\"; choose another name\nf:10:53: there is no link \"l2\"; did you mean \"l0\"?\nf:11:34: there is no link \"l2\"; did you mean \"l0\"?"},
		{"joint twice", six("name=\"j2\"", "name=\"j1\""), "f:10:1: a second joint has the name \"j1\"; choose another name"},
		{"no type", with("type=\"revolute\"", ""), "f:9:1: <joint> has no type; add type=\"...\""},
		{"type", with("revolute", "revolut"), `f:9:1: the joint j1 has the unknown type "revolut"; did you mean "revolute"?`},
		{"strange type", with("revolute", "screw"), `f:9:1: the joint j1 has the unknown type "screw"; write one of revolute, continuous, prismatic, fixed`},
		{"no parent", with(`<parent link="l0"/>`, ""), `f:9:1: <joint> has no <parent>; add <parent link="..."/>`},
		{"parent without link", with(`<parent link="l0"/>`, "<parent/>"), `f:9:34: <parent> has no link; add link="..."`},
		{"unknown child", with(`<child link="l1"/>`, `<child link="lever"/>`), `f:9:53: there is no link "lever"; add <link name="lever"/>`},
		{"two parents", six(`<child link="l2"/>`, `<child link="l1"/>`), "f:10:1: the link l1 has a second parent: joint j2 after joint j1; give every link one parent"},
		{"two bases", six("</robot>", `<link name="table"/></robot>`), "f:2:1: 2 links have no parent (l0, table), but one arm has one base; join them, or delete the others"},
		{"many bases", "<robot name=\"oak\"><link name=\"a\"/><link name=\"b\"/><link name=\"c\"/><link name=\"d\"/><link name=\"e\"/><link name=\"f\"/></robot>", "f:1:19: 6 links have no parent (a, b, c, d, e, ...), but one arm has one base; join them, or delete the others"},
		{"ring", with(`<parent link="l0"/>`, `<parent link="l6"/>`), "f:3:1: the links go round in a ring: l2 -> l3 -> l4 -> l5 -> l6 -> l1 -> l2; let the first of them hang on the base"},
		{"nothing but a ring", `<robot name="oak"><link name="a"/><link name="b"/><joint name="j" type="fixed"><parent link="a"/><child link="b"/></joint><joint name="k" type="fixed"><parent link="b"/><child link="a"/></joint></robot>`,
			"f:1:19: the links go round in a ring: b -> a -> b; let the first of them hang on the base"},

		{"no direction", with("0 1 0", "0 0 0"), "f:9:94: the axis of the joint j1 has no direction; write a direction such as 0 0 1"},
		{"axis of two", with("0 1 0", "0 1"), `f:9:94: xyz of <axis> is "0 1", which is not three numbers; write three finite numbers with blanks between`},
		{"commas", with("0.1 0 0", "0.1, 0, 0"), `f:9:71: xyz of <origin> is "0.1, 0, 0", which is not three numbers; write three finite numbers with blanks between`},
		{"not finite", with("0.1 0 0", "0.1 nan 0"), `f:9:71: xyz of <origin> is "0.1 nan 0", which is not three numbers; write three finite numbers with blanks between`},
		{"far away", with("0.1 0 0", "101 0 0"), "f:9:71: the joint j1 lies farther than 100 m from its parent; write metres"},
		{"limit no number", with(`lower="-2"`, `lower="low"`), `f:9:113: lower of <limit> is "low", which is no number; write a finite decimal number`},
		{"limit infinite", with(`lower="-2"`, `lower="-inf"`), `f:9:113: lower of <limit> is "-inf", which is no number; write a finite decimal number`},
		{"limit too large", with(`lower="-2"`, `lower="-1e308"`), `f:9:113: lower of <limit> is "-1e308", which is no number; write a finite decimal number`},
		{"limits turned round", with(`lower="-2"`, `lower="3"`), "f:9:113: the limits of the joint j1 are 3 and 2 rad, but the first must be below the second; write the lower limit first"},
		{"limits missing", with(`lower="-2" upper="2"`, ""), "f:9:113: the limits of the joint j1 are 0 and 0 rad, but the first must be below the second; write the lower limit first"},
		{"no limit", with(`<limit lower="-2" upper="2" velocity="1"/>`, ""), `f:9:1: the joint j1 has no limits; add <limit lower="..." upper="..." velocity="..." effort="..."/>`},
		{"three turns", with(`upper="2"`, `upper="13"`), "f:9:113: the limits of the joint j1 are -2 and 13 rad, but may reach to 12.57 rad at most; give the limits of the real axis"},
		{"long slide", with("revolute", "prismatic") + "", "f:9:1: the arm has no length"},
		{"no velocity", with(`velocity="1"`, ""), "f:9:113: the velocity of the joint j1 is 0 rad/s, but must be more than 0, at most 175 rad/s; give the rated speed of the axis"},
		{"continuous without velocity", six(j1, `<joint name="j1" type="continuous"><parent link="l0"/><child link="l1"/></joint>`), "f:9:1: the velocity of the joint j1 is 0 rad/s, but must be more than 0, at most 175 rad/s; give the rated speed of the axis"},

		{"planar", with("revolute", "planar"), "f:9:1: the joint j1 between base and flange is planar, and has no single axis; hand in an arm whose joints are revolute, prismatic or fixed"},
		{"mimic", with("</joint>", `<mimic joint="j2"/></joint>`), "f:9:155: the axis j1 follows j2, and is none of its own; delete <mimic>, if the axis is driven by itself"},
		{"mimic of nothing", with("</joint>", `<mimic/></joint>`), `f:9:155: <mimic> has no joint; add joint="..."`},
		{"five axes", with("revolute", "fixed"), "f:8:1: 5 moving axes lead to the link l6, but an arm has six; hand in an arm of six axes"},
		{"five and two", six("</robot>", `<link name="l7"/><joint name="j7" type="fixed"><parent link="l2"/><child link="l7"/></joint></robot>`, "type=\"revolute\"", "type=\"fixed\""), "f:2:1: no end of the tree has six moving axes before it: l6 (5 axes), l7 (1 axes); hand in an arm of six axes"},
		{"seven axes", six("</robot>", `<link name="l7"/><joint name="j7" type="revolute"><parent link="l6"/><child link="l7"/><axis xyz="0 0 1"/><limit lower="-1" upper="1" velocity="1"/></joint></robot>`), "f:2:1: the tree goes on past its sixth axis; the flange may be l6; name the one that is the flange as tip"},
		{"branches", six("</robot>", `<link name="l7"/><joint name="j7" type="fixed"><parent link="l6"/><child link="l7"/></joint><link name="l8"/><joint name="j8" type="fixed"><parent link="l6"/><child link="l8"/></joint></robot>`), "f:2:1: the chain of six axes branches to l7, l8; name the one that is the flange as tip"},
		{"no length", strings.ReplaceAll(six(), "0.1 0 0", "0 0 0"), "f:1:1: the arm has no length; give the joints their origins"},

		{"collision of nothing", six(`<link name="l1"/>`, `<link name="l1"><collision><geometry/></collision></link>`), "f:3:17: <collision> has no geometry; add <geometry> with a box, cylinder, sphere or mesh"},
		{"flat box", six(`<link name="l1"/>`, `<link name="l1"><collision><geometry><box size="0.1 0 0.1"/></geometry></collision></link>`), "f:3:38: size of <box> is 0 m, but must be from 1e-05 to 100 m; write a size in metres"},
		{"sphere of nothing", six(`<link name="l1"/>`, `<link name="l1"><collision><geometry><sphere/></geometry></collision></link>`), "f:3:38: radius of <sphere> is 0 m, but must be from 1e-05 to 100 m; write a size in metres"},
		{"inverted cylinder", six(`<link name="l1"/>`, `<link name="l1"><collision><geometry><cylinder radius="0.1" length="-1"/></geometry></collision></link>`), "f:3:38: length of <cylinder> is -1 m, but must be from 1e-05 to 100 m; write a size in metres"},
		{"many solids", six(`<link name="l1"/>`, `<link name="l1">`+strings.Repeat(`<collision><geometry><sphere radius="1"/></geometry></collision>`, 201)+`</link>`), "f:1:1: the arm carries 201 solids, but at most 200 are read; leave some out"},
	}
	for _, tt := range tests {
		if tt.name == "long slide" {
			tt.in = with(`type="revolute"`, `type="prismatic"`)
			tt.in = strings.Replace(tt.in, `upper="2"`, `upper="101"`, 1)
			tt.want = "f:9:114: the limits of the joint j1 are -2 and 101 m, but may reach to 100 m at most; give the limits of the real axis"
		}
		t.Run(tt.name, func(t *testing.T) {
			a, l := Read("f", []byte(tt.in), Options{})
			if got := l.Error(); got != tt.want || a != nil {
				t.Errorf("Read reports\n%s\nwant\n%s", got, tt.want)
			}
		})
	}
}

func TestTip(t *testing.T) {
	text := six("</robot>", `<link name="l7"/><joint name="j7" type="fixed"><parent link="l6"/><child link="l7"/><origin xyz="0 0 0.2"/></joint><link name="l8"/><joint name="j8" type="fixed"><parent link="l6"/><child link="l8"/></joint></robot>`)
	for tip, want := range map[string]float64{"l7": 200, "l8": 0, "l6": 0} {
		a, l := Read("f", []byte(text), Options{Tip: tip})
		if len(l) > 0 {
			t.Fatal(l)
		}
		var f kin.Frames
		a.Model.Chain.Forward(&kin.Joints{}, &f)
		if d := f[6].T.Sub(kin.Vec{X: 600, Z: want}).Norm(); d > 1e-9 {
			t.Errorf("tip %s: flange %v mm off", tip, d)
		}
	}
	for tip, want := range map[string]string{
		"l77":  `f:1:1: there is no link "l77" to be the flange; did you mean "l7"?`,
		"tool": `f:1:1: there is no link "tool" to be the flange; name one of l7 (6 axes), l8 (6 axes)`,
		"l5":   "f:7:1: 5 moving axes lead to the link l5, but an arm has six; hand in an arm of six axes",
		"l0":   "f:2:1: 0 moving axes lead to the link l0, but an arm has six; hand in an arm of six axes",
	} {
		if _, l := Read("f", []byte(text), Options{Tip: tip}); l.Error() != want {
			t.Errorf("tip %s reports\n%s\nwant\n%s", tip, l.Error(), want)
		}
	}
}

func TestNotes(t *testing.T) {
	attrs, kinds := "", ""
	for i := range 60 {
		attrs += fmt.Sprintf(" a%d=\"1\"", i)
		kinds += fmt.Sprintf("<k%d/>", i)
	}
	tests := []struct{ name, in, want string }{
		{"many kinds", six("</robot>", kinds+"</robot>"), "f:1:1: 20 more things of other kinds are not used"},
		{"many attributes", six("name=\"oak\"", "name=\"oak\""+attrs), "f:1:1: 20 more things of other kinds are not used"},
		{"two shapes", six(`<link name="l1"/>`, `<link name="l1"><collision><geometry><sphere radius="1"/><box size="1 1 1"/></geometry></collision></link>`), "f:3:58: a second shape in <geometry> is not used"},
		{"unknown shape", six(`<link name="l6"/>`, `<link name="l6"><collision><geometry><cone/></geometry></collision></link>`), "f:8:38: <cone> is not read: capsules of radius 25 mm between the joints stand for the link l6; give boxes, cylinders or spheres"},
		{"almost parallel", six(`<axis xyz="0 0 1"/>`, `<axis xyz="0 0.999999999999 1e-6"/>`), "f:10:1: the axis j2 is 5.7e-05 deg from parallel to j1, and is taken as parallel: the flange moves by up to 0.0005 mm more or less; write the angles with more digits"},
		{"axis of a fixed joint", six(`type="revolute"`, `type="fixed"`, `<robot name="oak">`, `<robot name="oak"><link name="l-1"/><joint name="j0" type="revolute"><parent link="l-1"/><child link="l0"/><axis xyz="0 0 1"/><limit lower="-1" upper="1" velocity="1"/></joint>`), "f:1:1: URDF has no accelerations: every axis is taken to reach its rated speed in 0.25 s; write an arm file to give accelerations"},
	}
	for _, tt := range tests {
		a, l := Read("f", []byte(tt.in), Options{})
		if len(l) > 0 {
			t.Errorf("%s: %v", tt.name, l)
			continue
		}
		if !strings.Contains("\n"+a.Notes.Error()+"\n", "\n"+tt.want+"\n") {
			t.Errorf("%s: notes\n%s\nwant among them\n%s", tt.name, a.Notes.Error(), tt.want)
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
