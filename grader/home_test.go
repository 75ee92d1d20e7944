package grader_test

import (
	"math"
	"strings"
	"testing"

	"posework/grader"
)

func TestHomeQuality(t *testing.T) {
	const check = "{check: home-quality, pose: home, clearance: 150 mm, limit-room: 15 deg, wrist: 20 deg, ways-from: [grip, lay], way-clearance: 20 mm, except: [{body: tool, solid: bar, least: -1 mm}, {body: part, solid: [shelf-top, bin-floor], least: 0 mm}, {body: part, solid: bin-wall, least: 5 mm}]}"
	good := read(t, "pick.yaml")
	home := "home: {axes: [0, -4, 29, 0, 65, 0]}"
	for _, tt := range []struct {
		name  string
		edits []edit
		want  string
	}{
		{"good", nil, ""},
		{"close to the plate", []edit{{home, "home: {axes: [0, 18, 20, 0, 52, 0]}"}}, "HOME_CLEARANCE"},
		{"close to a limit", []edit{{home, "home: {axes: [0, -4, 29, 0, 65, 340]}"}}, "HOME_NEAR_LIMIT"},
		{"wrist in line", []edit{{home, "home: {axes: [0, -20, 20, 0, 5, 0]}"}}, "HOME_NEAR_SINGULARITY"},
		// 154 mm from the post with the bare cup, 149 with the bar.
		{"home with a bar in the cup is closer", []edit{{home, "home: {axes: [0, 11, 20, 0, 59, 0]}"}}, "HOME_CLEARANCE"},
		{"left on a line", []edit{line("s14", "  - {to: home, path: line, speed: 80 mm/s, end: stop}")}, "HOME_LEFT_STRAIGHT"},
		{"a way home straight from the bin", []edit{line("s13", "")}, ""},
		{"a way home through the post", []edit{
			{"  lay:", "  by-post: {xyz: [640, -300, 260], rpy: [180, 0, 0]}\n  past-post: {xyz: [640, -110, 260], rpy: [180, 0, 0]}\n  lay:"},
			line("s7", "  - {to: by-post, path: joint, speed: 5 %, end: stop}\n  - {to: past-post, path: line, speed: 80 mm/s, end: stop}\n  - {to: home, path: joint, speed: 9 %, end: stop}"),
		}, "CONTACT WAY_HOME_BLOCKED"},
		{"a way home close by the post", []edit{
			{"  lay:", "  by-post: {xyz: [575, -300, 260], rpy: [180, 0, 0]}\n  past-post: {xyz: [575, -110, 260], rpy: [180, 0, 0]}\n  lay:"},
			line("s7", "  - {to: by-post, path: joint, speed: 5 %, end: stop}\n  - {to: past-post, path: line, speed: 80 mm/s, end: stop}\n  - {to: home, path: joint, speed: 9 %, end: stop}"),
		}, "WAY_HOME_BLOCKED"},
		{"no way home from the shelf", []edit{line("s7", "")}, "WAY_HOME_MISSING"},
		{"never at rest at home", []edit{
			line("s1", ""), line("s7", ""), line("s14", "  - {to: home, path: joint, speed: 9 %, end: fly-by 5 mm}"),
		}, "NOT_HOME_AT_START"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			raises(t, alone(t, read(t, "cell.yaml"), check, apply(t, good, tt.edits), grader.Options{}), tt.want)
		})
	}
}

// Home is a place of the whole arm, not of the tool alone: another
// configuration that puts the tool in the same place is not home.
func TestHomeIsTheWholeArm(t *testing.T) {
	program := head + "  turned: {axes: [0, -4, 29, 180, -65, 180]}\nsteps:\n" +
		"- {to: home, path: joint, speed: 9 %, end: stop}\n- {to: turned, path: joint, speed: 5 %, end: stop}\n"
	m := alone(t, read(t, "cell.yaml"), "{check: ends-home, pose: home}", program, grader.Options{})
	if got := strings.Join(codes(m), " "); got != "NOT_HOME_AT_END" {
		t.Errorf("findings %q, want NOT_HOME_AT_END", got)
	}
}

// A program that goes nowhere, as one that only teaches may, is judged by where
// the arm stands.
func TestStandingStill(t *testing.T) {
	const good = "home: {axes: [0, -4, 29, 0, 65, 0]}"
	for _, tt := range []struct{ name, check, home, want string }{
		{"a good home", "{check: home-quality, pose: home, clearance: 20 mm}", good, ""},
		{"the wrist in line", "{check: home-quality, pose: home, clearance: 20 mm}", "home: {axes: [0, -20, 20, 0, 5, 0]}", "HOME_NEAR_SINGULARITY"},
		{"clear", "{check: clearance, least: 50 mm}", good, ""},
		{"in the table", "{check: clearance, least: 50 mm}", "home: {xyz: [0, 0, -60], rpy: [180, 0, 0], frame: plate}", "CONTACT"},
		{"next to a limit", "{check: axis-room, least: 5 deg}", "home: {axes: [0, -4, 29, 0, 118, 0]}", "NEAR_AXIS_LIMIT"},
		{"in the walkway", "{check: keeps-out}", "home: {axes: [125, 10, 10, 0, 60, 0]}", "KEEP_OUT_ENTERED"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			for _, more := range []string{"", "- {to: home, path: joint, speed: 9 %, end: stop}\n- {set: {vacuum: on}}\n"} {
				program := "posework: program/1\ntool: cup\nposes: {" + tt.home + "}\nsteps:\n- {to: home, path: joint, speed: 9 %, end: stop}\n" + more
				raises(t, alone(t, read(t, "cell.yaml"), tt.check, program, grader.Options{}), tt.want)
			}
		})
	}
}

// Home is where the arm stands; that another tool hangs on it now, or another
// centre point of it is used, changes nothing.
func TestHomeWithAnotherTool(t *testing.T) {
	cellText := apply(t, read(t, "cell.yaml"), []edit{{"  needle:\n    tcp: {xyz: [0, 0, 180]", "  needle:\n    tcp: {xyz: [15, 0, 240]"}})
	const program = head + "steps:\n- {to: home, path: joint, speed: 9 %, end: stop}\n- {to: away, path: joint, speed: 9 %, end: stop}\n- {tool: needle}\n- {to: home, path: joint, speed: 9 %, end: stop}\n"
	for _, tt := range []struct{ away, want string }{
		{"  away: {axes: [20, -4, 29, 0, 65, 0]}\n", ""},
		{"  away: {axes: [20, -4, 29, 0, 65, 0]}\n  elsewhere: {axes: [1.9, -4, 29, 0, 65, 0]}\n", "NOT_HOME_AT_END"},
	} {
		p := strings.Replace(program, "steps:", tt.away+"steps:", 1)
		if tt.want != "" {
			p = strings.Replace(p, "needle}\n- {to: home", "needle}\n- {to: elsewhere", 1)
		}
		raises(t, alone(t, cellText, "{check: ends-home, pose: home}", p, grader.Options{}), tt.want)
	}
}

// A tool that is in the right place at the start, and turned, is off by an angle.
func TestHomeTurned(t *testing.T) {
	m := alone(t, read(t, "cell.yaml"), "{check: starts-home, at: {xyz: [500, 0, 400], rpy: [180, 0, 0]}}", head+
		"  a: {xyz: [500, 0, 400], rpy: [180, 1, 0]}\nsteps:\n- {to: a, path: joint, speed: 9 %, end: stop}\n", grader.Options{})
	if len(m.Findings) != 1 || m.Findings[0].Measured.Unit != "deg" || !(math.Abs(m.Findings[0].Measured.Lo-1) <= 1e-6) || m.Findings[0].Limit.Unit != "deg" {
		t.Errorf("findings %+v, want 1 deg off", m.Findings)
	}
}

// The eye at the gate is put where the post just hides the tool at home, or just
// does not.
func TestHomeInView(t *testing.T) {
	const program = head + "  away: {axes: [30, -4, 29, 0, 65, 0]}\nsteps:\n" +
		"- {to: home, path: joint, speed: 9 %, end: stop}\n- {to: away, path: joint, speed: 9 %, end: stop}\n- {to: home, path: joint, speed: 9 %, end: stop}\n"
	// At home the tool centre point is at (420.1, 0, 425.1), the flange 180 higher.
	// The post stands about (640, -170), 25 mm in radius and 300 mm high: seen over
	// it from below, the flange is free and the tool is not.
	for _, tt := range []struct{ name, eye, want string }{
		{"in plain view", "{xyz: [0, -1200, 1300]}", ""},
		{"over the top of the post", "{xyz: [772, -272, 900]}", ""},
		{"behind the post", "{xyz: [772, -272, 120]}", "HOME_NOT_VISIBLE"},
		{"24.8 mm beside the axis of the post", "{xyz: [796.4, -240.5, 120]}", "HOME_NOT_VISIBLE"},
		{"25.1 mm beside the axis of the post", "{xyz: [796.7, -240.1, 120]}", ""},
		{"on the other side, 25.1 mm", "{xyz: [747.3, -303.9, 120]}", ""},
		{"below the plate, in its frame", "{xyz: [0, 0, -60], frame: plate}", "HOME_NOT_VISIBLE"},
		{"above the plate, in its frame", "{xyz: [0, 0, 60], frame: plate}", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			check := "{check: home-quality, pose: home, clearance: 20 mm, seen-from: " + tt.eye + "}"
			raises(t, alone(t, read(t, "cell.yaml"), check, program, grader.Options{}), tt.want)
		})
	}
}
