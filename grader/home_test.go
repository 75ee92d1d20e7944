package grader_test

import (
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
			m := alone(t, read(t, "cell.yaml"), check, apply(t, good, tt.edits), grader.Options{})
			if got := strings.Join(codes(m), " "); got != tt.want {
				t.Errorf("findings %q, want %q", got, tt.want)
				for _, f := range m.Findings {
					t.Logf("  %s step %s: %s %+v %+v", f.Code, f.Step, f.Text, f.Measured, f.Limit)
				}
			}
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
